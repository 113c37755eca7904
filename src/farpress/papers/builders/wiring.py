"""The wiring paper: block diagram, wiring schedule core by core, terminal drawings, tamper legs.

Drawings and schedule come from the wiring task; this module only lays them on paper.
"""

from __future__ import annotations

from collections.abc import Iterator

from farpress.case.case import Case, OutputAt
from farpress.case.drawn_wires import DrawnFeed, drawn_feeds
from farpress.case.feeding import supply_behind
from farpress.domain.acts import JobChanged
from farpress.domain.cautions import CAUTIONS, DUTIES
from farpress.domain.finding import Finding
from farpress.domain.premises import CableRun
from farpress.domain.refs import CableRef, DeviceRef, OutputRef, PanelRef, ReceiverRef, SupplyRef
from farpress.papers.builders.basis import Basis
from farpress.papers.builders.drawings import block_diagrams, location_drawings, terminal_drawings
from farpress.papers.builders.wiring_tables import cores_table, readings_table, slips_table
from farpress.papers.builders.words import loop_ohm_cell, protection_words, quantity, sheet_cell, works_words
from farpress.papers.typesetting.paper import (
    Cautions,
    Cell,
    Column,
    Fields,
    Paper,
    PaperField,
    PaperTable,
    Section,
    Signatures,
    Text,
)
from farpress.phrases import called
from farpress.sources import Citation
from farpress.wiring.schedule import wiring_schedule

__all__ = ["paper"]


def paper(basis: Basis) -> Paper:
    """Block diagram and wiring schedule, as planned and to be corrected as fitted."""
    schedule = wiring_schedule(basis.case)
    return Paper(
        "wiring-schedule",
        "Block diagram and wiring schedule",
        "For whoever wires, measures or mends: every run core by core, with the ohms to expect. Correct it in"
        " red as fitted and print it anew.",
        (
            Section(
                "Before you open anything",
                (Cautions((CAUTIONS["mains"], DUTIES["electrical test"], CAUTIONS["deference"])),),
            ),
            Section("Runs and their judgement", (_runs(basis),)),
            Section("Block diagram", block_diagrams(basis), is_on_new_page=True),
            Section("Location drawing", location_drawings(basis)),
            Section(
                "Wiring schedule, core by core",
                (cores_table(schedule, basis.given, _fuse_sources(basis)),),
                is_on_new_page=True,
            ),
            Section(
                "Readings to expect",
                (
                    Text("Unplugged at its start, nothing else connected; supply off.", is_note=True),
                    readings_table(schedule),
                ),
            ),
            Section("From the symptom back to the slip", (slips_table(schedule),)),
            Section("Tamper loops, leg by leg", (_tamper(basis),)),
            Section(
                "Fuses and earthing",
                (
                    _fuses(basis),
                    Fields(
                        (
                            PaperField(
                                "Earthing and bonding",
                                None,
                                "where screens and 0 V are earthed, or that they are not; by the licensed"
                                " person",
                            ),
                            PaperField("Joint boxes", None, "where they are, or that there are none"),
                            PaperField("Screens of cables", None),
                        )
                    ),
                ),
            ),
            Section("Terminal drawings", terminal_drawings(basis), is_on_new_page=True),
            Section("Changes of this paper", (_changes(basis),)),
            Section(
                "As fitted",
                (
                    Signatures(
                        (
                            ("Wired by", "as drawn, or with the corrections marked"),
                            ("Licensed person", "electrical test made and recorded on its own certificate"),
                        )
                    ),
                ),
            ),
        ),
        is_wide=True,
    )


def _runs(basis: Basis) -> PaperTable:
    case = basis.case
    rows: list[tuple[Cell | str | None, ...]] = []
    for output in case.outputs():
        drawn = _drawn_over(case, output)
        run = output.output.cable or (drawn.run if drawn is not None else None)
        fed_from = _fed_from(output, drawn)
        cable = case.equipment.cables.get(run.part) if run is not None else None
        judged = basis.sheet(output.path)
        side = "normally open" if output.output.contact == "normally open" else "normally closed"
        rows.append(
            (
                f"{output.receiver_path}, output {output.number}, {side} and common",
                works_words(case, output),
                run.part if run is not None else None,
                run.cores if run is not None else None,
                sheet_cell(cable, "area_mm2", "area"),
                quantity(run.length_m, "length") if run is not None else None,
                loop_ohm_cell(case, run),
                None,
                _voltage_class(basis, output.path),
                protection_words(output),
                fed_from,
                judged,
            )
        )
        if run is not None and run.shares_return_with:
            rows[-1] = (*rows[-1][:-2], f"{fed_from}, return shared with {run.shares_return_with}", judged)
    for premises, house in case.job.premises.items():
        for name, box in house.receivers.items():
            for number, given in box.inputs.items():
                rows.append(
                    _run(
                        basis,
                        f"{premises}/{given.reads}",
                        f"{premises}/{name}, input {number} and 0 V",
                        given.cable,
                        "extra-low voltage",
                    )
                )
            for signal, told in box.signals.items():
                end = f"{premises}/{told.works}"
                rows.append(_run(basis, f"{premises}/{name}, {signal}", end, told.cable, "extra-low voltage"))
        for name, panel in house.panels.items():
            for zone, entry in panel.zones.items():
                start = f"{premises}/{name}, {called('zone', zone)}"
                rows.append(_run(basis, start, "its far end", entry.cable, "extra-low voltage"))
        rows += _drawn_runs(basis, premises)
        for kind, things in (
            (ReceiverRef, house.receivers),
            (DeviceRef, house.devices),
            (PanelRef, house.panels),
            (SupplyRef, house.supplies),
        ):
            for name, device in things.items():
                if device.fed is not None:
                    rows.append(
                        _run(
                            basis,
                            f"{premises}/{device.fed.from_}, + and −",
                            f"{premises}/{name}, supply + and −",
                            device.fed.cable,
                            "as the supply",
                            basis.fed(
                                kind(f"{premises}/{name}"),
                                SupplyRef(f"{premises}/{supply_behind(house, device.fed)}"),
                            ),
                        )
                    )
    columns = (
        Column("from, terminal", 1.25),
        Column("to, terminal", 1.3),
        Column("cable", 0.75),
        Column("cores", 0.6, sources=basis.given),
        Column("area", 0.55),
        Column("length", 0.5, True, basis.given),
        Column("loop, 20 °C", 0.5, True),
        Column("found", 0.45),
        Column("class", 0.65),
        Column("protection", 0.8),
        Column("fed from", 0.7),
        Column("judged", 1.35),
    )
    return PaperTable("runs", columns, tuple(rows), empty="No cable is described yet.")


def _drawn_over(case: Case, output: OutputAt) -> DrawnFeed | None:
    """What drawn wires lead over the contact of an output; the first of several, None for nothing."""
    feeds = drawn_feeds(case, output.premises)
    return next((feed for feed in feeds if feed.output is not None and feed.output.path == output.path), None)


def _fed_from(output: OutputAt, drawn: DrawnFeed | None) -> str:
    """The supply that a contact switches, or its branch."""
    supply, branch = output.output.load_from, output.output.load_branch
    if supply is None and drawn is not None:
        supply, branch = drawn.supply, drawn.branch or None
    if supply is None:
        return "potential-free"
    return f"{supply}, branch {branch}" if branch else supply


def _drawn_runs(basis: Basis, premises: str) -> Iterator[tuple[Cell | str | None, ...]]:
    """What supplies feed straight over wires that are drawn core by core."""
    kinds = {"receiver": ReceiverRef, "device": DeviceRef, "panel": PanelRef}
    for feed in drawn_feeds(basis.case, premises):
        if feed.output is None:
            branch = f", branch {feed.branch}" if feed.branch else ""
            start, end = (
                f"{premises}/{feed.supply}{branch}, + and −",
                f"{premises}/{feed.thing}, supply + and −",
            )
            thing = kinds[feed.kind](f"{premises}/{feed.thing}")
            judged = basis.fed(thing, SupplyRef(f"{premises}/{feed.supply}"))
            yield _run(basis, start, end, feed.run, "as the supply", judged)


def _run(
    basis: Basis, start: str, end: str, run: CableRun | None, kind: str, judged: tuple[Finding, ...] = ()
) -> tuple[Cell | str | None, ...]:
    cable = basis.case.equipment.cables.get(run.part) if run is not None else None
    if run is None:
        return (
            start,
            end,
            None,
            None,
            None,
            None,
            None,
            None,
            kind,
            "",
            "",
            Cell("cable not described", "unknown"),
        )
    return (
        start,
        end,
        run.part,
        run.cores,
        sheet_cell(cable, "area_mm2", "area"),
        quantity(run.length_m, "length"),
        loop_ohm_cell(basis.case, run),
        None,
        kind,
        "",
        "",
        basis.judged(judged) if judged else "",
    )


def _voltage_class(basis: Basis, path: str) -> str:
    return (
        "mains: licensed person"
        if any(finding.touches(OutputRef(path)) for finding in basis.of_code("SAFE-07"))
        else "extra-low voltage"
    )


def _tamper(basis: Basis) -> PaperTable:
    rows: list[tuple[Cell | str | None, ...]] = []
    for premises, house in basis.case.job.premises.items():
        for name, loop in house.tamper_loops.items():
            for leg, ohms in loop.legs.items():
                judged = [
                    finding
                    for finding in basis.of_code("PAN-05")
                    if finding.touches(CableRef(f"{premises}/{name}/{leg}"))
                ]
                later = quantity(loop.later[leg], "resistance") if leg in loop.later else ""
                rows.append(
                    (
                        f"{premises}/{name}",
                        loop.panel,
                        leg,
                        quantity(ohms, "resistance"),
                        later,
                        None,
                        basis.judged(judged),
                    )
                )
    columns = (
        Column("loop"),
        Column("panel", 0.7),
        Column("leg", 0.7),
        Column("read", 0.5, True, basis.read),
        Column("read later", 0.5, True, basis.read),
        Column("read today", 0.6),
        Column("judged", 2),
    )
    return PaperTable(
        "tamper-legs",
        columns,
        tuple(rows),
        empty="No tamper loop is described. Housings of receivers want one where an alarm is set or unset.",
    )


def _fuses(basis: Basis) -> PaperTable:
    rows: list[tuple[Cell | str | None, ...]] = [
        (
            path,
            part.says or part.name,
            sheet_cell(part, "fuse_a", "current"),
            basis.judged(
                [finding for finding in basis.of_code("SUP-05") if SupplyRef(path) in finding.subjects]
            ),
        )
        for path, part in basis.case.equipment.supplies.items()
    ]
    return PaperTable(
        "fuses",
        (
            Column("supply"),
            Column("what it is", 1.5),
            Column("fuse", 0.5, True),
            Column("operates at a short in every cable", 3),
        ),
        tuple(rows),
    )


def _fuse_sources(basis: Basis) -> tuple[Citation, ...]:
    return tuple(
        dict.fromkeys(
            source for part in basis.case.equipment.supplies.values() for source in part.cite("fuse_a")
        )
    )


def _changes(basis: Basis) -> PaperTable:
    rows: list[tuple[Cell | str | None, ...]] = [
        (event.moment[:10], change.after[:16], ", ".join(change.changes), event.by)
        for event, change in basis.happened(JobChanged)
    ]
    return PaperTable(
        "changes",
        (Column("date", 0.4), Column("job fingerprint", 0.7), Column("what changed", 3), Column("by", 0.6)),
        tuple(rows),
        blank_rows=4,
    )
