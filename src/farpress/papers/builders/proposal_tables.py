"""Tables of the proposal about what is fitted: outputs, inputs, receivers, supplies, cables."""

from __future__ import annotations

from farpress.case.case import OutputAt
from farpress.case.driven import driven_of
from farpress.case.feeding import supply_behind
from farpress.domain.finding import Link
from farpress.domain.refs import DeviceRef, InputRef, OutputRef, PanelRef, ReceiverRef, SupplyRef
from farpress.papers.builders.basis import Basis
from farpress.papers.builders.words import (
    after_power_words,
    cable_words,
    contact_words,
    loop_ohm_cell,
    mode_words,
    place_words,
    protection_words,
    sheet_cell,
    works_words,
)
from farpress.papers.typesetting.paper import Cell, Column, PaperTable
from farpress.sources import Citation
from farpress.units import write_quantity

__all__ = [
    "cables_table",
    "contact_sources",
    "inputs_table",
    "load_cell",
    "outputs_table",
    "receivers_table",
    "supply_table",
]


def outputs_table(basis: Basis) -> PaperTable:
    """Every output: purpose, mode, contact, load, protection, state after power return, terminal, verdict."""
    rows: list[tuple[Cell | str | None, ...]] = [
        (
            output.path,
            ", ".join(output.functions) or "no function",
            mode_words(output.output),
            works_words(basis.case, output),
            load_cell(basis, output),
            Cell(contact_words(basis.case, output), "", contact_sources(basis, output)),
            protection_words(output),
            after_power_words(basis.case, output),
            basis.sheet(output.path),
        )
        for output in basis.case.outputs()
    ]
    columns = (
        Column("output", 0.7),
        Column("purpose", 0.8),
        Column("mode and time", 0.95, sources=basis.given),
        Column("works, terminal", 1.0),
        Column("load", 0.6),
        Column("contact", 0.85),
        Column("protection", 0.75, sources=basis.given),
        Column("after power return", 0.6),
        Column("worst word", 0.6),
    )
    return PaperTable("outputs", columns, tuple(rows), empty="No output is described yet.")


def load_cell(basis: Basis, output: OutputAt) -> Cell | None:
    """Volts and amperes of what an output works, from its sheet or of the command input."""
    words: dict[str, None] = {}
    sources: list[Citation] = []
    for load in driven_of(basis.case, output):
        part, name = load.device or load.panel, load.works.partition(".")[2]
        given = (
            [
                (load.input.voltage_v, "voltage", f"inputs.{name}.voltage_v"),
                (load.input.current_a, "current", f"inputs.{name}.current_a"),
            ]
            if load.input is not None
            else []
        )
        if load.device is not None and not any(value for value, _, _ in given):
            given = [
                (load.sheet.voltage_v, "voltage", "voltage_v"),
                (load.sheet.current_a, "current", "current_a"),
            ]
        shown = [write_quantity(value, kind) for value, kind, _ in given if value is not None]
        if shown:
            words[" ".join(shown)] = None
            sources += (
                part.cite(*(path for value, _, path in given if value is not None))
                if part is not None
                else ()
            )
    return Cell(" + ".join(words), "", tuple(dict.fromkeys(sources)) or basis.given) if words else None


def contact_sources(basis: Basis, output: OutputAt) -> tuple[Citation, ...]:
    """Where form and rating of an output's contact come from."""
    part = basis.case.equipment.receivers.get(output.receiver_path)
    return part.cite("contact_form", "contact_rated_a", "contact_rated_v") if part is not None else ()


def inputs_table(basis: Basis) -> PaperTable:
    """Inputs of receivers: what they read, and what is answered."""
    rows: list[tuple[Cell | str | None, ...]] = [
        (
            f"{premises}/{name} input {number}",
            given.reads,
            _normally(basis, premises, given.reads),
            _answers(basis, premises, name, given.reads),
            cable_words(given.cable),
            basis.judged(
                finding
                for finding in basis.of_code("PAN-04")
                if finding.touches(InputRef(f"{premises}/{name}/in{number}"))
            ),
        )
        for premises, house in basis.case.job.premises.items()
        for name, box in house.receivers.items()
        for number, given in box.inputs.items()
    ]
    return PaperTable(
        "inputs",
        (
            Column("input", 0.8),
            Column("source", 0.6),
            Column("normal state", 0.6),
            Column("response", 0.8),
            Column("cable", sources=basis.given),
            Column("judged", 1.5),
        ),
        tuple(rows),
        empty="None: nothing is told back to a receiver.",
    )


def _normally(basis: Basis, premises: str, reads: str) -> Cell | None:
    """How the line stands at rest, as far as the panel's sheet says."""
    name, _, output = reads.partition(".")
    part = basis.case.equipment.panels.get(f"{premises}/{name}")
    found = (part.sheet.outputs or {}).get(output) if part is not None else None
    says = (
        {"relay": "open, closed by the panel's relay", "open collector": "open, drawn to 0 V when on"}.get(
            found.form or ""
        )
        if found is not None
        else None
    )
    return (
        Cell(says, "", part.cite(f"outputs.{output}.form")) if says is not None and part is not None else None
    )


def _answers(basis: Basis, premises: str, receiver: str, reads: str) -> str:
    """What is told back with it: the functions whose output works the same panel or device."""
    thing = reads.partition(".")[0]
    told = [
        function
        for output in basis.case.outputs()
        if output.receiver_path == f"{premises}/{receiver}"
        and thing in {driven.partition(".")[0] for driven in output.works}
        for function in output.functions
    ]
    return f"acknowledges {', '.join(dict.fromkeys(told))}" if told else "shown at the receiver only"


def receivers_table(basis: Basis) -> PaperTable:
    """Receivers: place, aerial, housing, supply."""
    rows: list[tuple[Cell | str | None, ...]] = []
    for premises, house in basis.case.job.premises.items():
        for name, box in house.receivers.items():
            part = basis.case.equipment.receivers.get(f"{premises}/{name}")
            aerial = box.antenna
            coax = (
                f", {aerial.coax.part} {aerial.coax.length_m:g} m"
                if aerial is not None and aerial.coax is not None
                else ""
            )
            rows.append(
                (
                    f"{premises}/{name}",
                    part.says if part is not None else None,
                    place_words(box.at),
                    box.housing,
                    (
                        f"{aerial.part} at {place_words(aerial.at)}{coax}"
                        if aerial is not None
                        else "inside the receiver"
                    ),
                    basis.judged(basis.about(ReceiverRef(f"{premises}/{name}"), links=(Link.RECEIVER,))),
                )
            )
    columns = (
        Column("receiver", 0.6),
        Column("part"),
        Column("where", 0.8, sources=basis.given),
        Column("housing", 0.5),
        Column("aerial", 1.2, sources=basis.given),
        Column("judged", 1.4),
    )
    return PaperTable("receivers", columns, tuple(rows), empty="No receiver is placed yet.")


def supply_table(basis: Basis) -> PaperTable:
    """Supplies: load and standby."""
    rows: list[tuple[Cell | str | None, ...]] = []
    for path, part in basis.case.equipment.supplies.items():
        load = [finding for finding in basis.of_code("SUP-03") if finding.touches(SupplyRef(path))]
        stand = [finding for finding in basis.of_code("SUP-04") if finding.touches(SupplyRef(path))]
        rows.append(
            (
                path,
                part.says or part.name,
                sheet_cell(part, "rated_a", "current") or sheet_cell(part, "rated_va", "apparent power"),
                basis.judged(load, load[0].says if load else ""),
                basis.judged(stand, stand[0].says) if stand else "no battery",
            )
        )
    return PaperTable(
        "supply",
        (
            Column("supply", 0.6),
            Column("what it is", 0.9),
            Column("rated", 0.45),
            Column("everything on", 1.4),
            Column("standby", 1.4),
        ),
        tuple(rows),
        empty="No supply is described yet.",
    )


def cables_table(basis: Basis) -> PaperTable:
    """Cables and their judgement."""
    rows: list[tuple[Cell | str | None, ...]] = []
    for output in basis.case.outputs():
        rows.append(
            (
                output.path,
                works_words(basis.case, output),
                cable_words(output.output.cable),
                loop_ohm_cell(basis.case, output.output.cable),
                _cable_judged(basis, output),
            )
        )
    for premises, house in basis.case.job.premises.items():
        fed = [
            (kind(f"{premises}/{name}"), name, device.fed)
            for kind, things in (
                (ReceiverRef, house.receivers),
                (DeviceRef, house.devices),
                (PanelRef, house.panels),
            )
            for name, device in things.items()
        ]
        for thing, name, feed in fed:
            if feed is not None:
                judged = basis.fed(thing, SupplyRef(f"{premises}/{supply_behind(house, feed)}"))
                rows.append(
                    (
                        f"{premises}/{feed.from_}",
                        f"{name}: supply",
                        cable_words(feed.cable),
                        loop_ohm_cell(basis.case, feed.cable),
                        basis.judged(judged),
                    )
                )
    columns = (
        Column("from", 0.7),
        Column("to", 1.1),
        Column("cable", 1.1, sources=basis.given),
        Column("there and back, 20 °C", 0.7, True),
        Column("judged", 1.5),
    )
    return PaperTable("cables", columns, tuple(rows), empty="No cable is described yet.")


def _cable_judged(basis: Basis, output: OutputAt) -> Cell:
    if output.output.cable is None:
        return Cell("cable not described", "unknown")
    found = basis.about(OutputRef(output.path), links=(Link.SUPPLY,))
    return (
        basis.judged(found) if found else Cell("carries a command only; its current is judged at the contact")
    )
