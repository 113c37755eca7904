"""The wiring of a job as tables: every core from terminal to terminal, every loop with the ohms a meter
should show.

Figures are those of the judging: cores at their largest permitted resistance; ohms are given
at 20 °C, as somebody with a meter finds them; volts over all corners of the supply.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from farpress.case.cables import cables_of, core_names, runs
from farpress.case.cabling import core_of_run
from farpress.case.case import Case
from farpress.case.cores import metered_ohm
from farpress.case.corners import EndVolts, corners
from farpress.case.run_terminals import source_of, turning_links
from farpress.case.runs import Run, contact_terminals, supply_terminals
from farpress.case.tampers import TamperCircuit, tamper_circuits
from farpress.core.wiring.loops import LoopState, terminal_band, terminal_states
from farpress.core.wiring.wrong_wiring import WrongWiring, series_slips, wrong_wirings
from farpress.domain.finding import Finding
from farpress.domain.parts import Loop
from farpress.errors import InputError
from farpress.judging.contact import load as contact
from farpress.judging.device import mains_cables
from farpress.judging.panel import coupling as panel
from farpress.judging.panel.loops import WIDEST_SHARE, accepted_bands
from farpress.judging.supply import cable_stock, cables_found, volts_found, wires
from farpress.judging.supply import volts as supply
from farpress.judging.supply.cables_found import HIGHEST_SHARE, LOWEST_SHARE
from farpress.units import write_quantity
from farpress.wiring.drawings import block_diagram, terminal_drawing
from farpress.wiring.drawn import drawn_cores, drawn_readings, fuse_before, link_cores
from farpress.wiring.rows import OUTSIDE, CoreRow, LoopRow
from farpress.wiring.tamper_rows import tamper_readings

__all__ = [
    "CoreRow",
    "LoopRow",
    "Schedule",
    "SlipRow",
    "block_diagram",
    "terminal_drawing",
    "wiring_findings",
    "wiring_schedule",
]

USUAL_TOLERANCE_SHARE: Final = 0.05
"""Of resistors where nothing is given, in a reading to expect; common practice."""


@dataclass(frozen=True)
class SlipRow:
    """A wrong wiring of one loop, with its readings and symptom."""

    premises: str
    cable_no: str
    loop: str
    slip: WrongWiring


@dataclass(frozen=True)
class Schedule:
    """All tables of a job's wiring."""

    job: str
    fingerprint: str
    cores: tuple[CoreRow, ...]
    loops: tuple[LoopRow, ...]
    slips: tuple[SlipRow, ...]


def wiring_schedule(case: Case) -> Schedule:
    """Every core, every reading to expect, every slip with its symptom, cable by cable.

    Args:
        case: the job; what is not known in it stays empty in the tables.
    """
    cores: list[CoreRow] = []
    loops: list[LoopRow] = []
    slips: list[SlipRow] = []
    for premises, house in case.job.premises.items():
        volts = {
            (source, end_volts.end.name): end_volts
            for source in house.supplies
            for end_volts in corners(case, premises, source)[1]
        }
        every = runs(case, premises)
        for body in cables_of(case, premises):
            for run in every:
                if run.name == body.label:
                    cores += _cores(case, run, volts)
                    loops += _readings(case, run)
                    slips += _slips(run)
            cores += drawn_cores(case, body)
            loops += drawn_readings(case, body)
        cores += link_cores(case, premises)
        for circuit in tamper_circuits(case, premises):
            name = next(
                (run.name for run in every if run.kind == "tamper" and run.start == circuit.panel), ""
            )
            loops += tamper_readings(case, premises, circuit, name)
            slips += (
                SlipRow(premises, name, f"{circuit.panel}.{circuit.entry}", slip)
                for slip in series_slips(housings=len(circuit.receivers))
            )
    return Schedule(case.job.job, case.fingerprint, tuple(cores), tuple(loops), tuple(slips))


def _is_leg(run: Run, circuit: TamperCircuit) -> bool:
    return run.kind == "tamper" and run.start == circuit.panel and run.target in circuit.receivers


def wiring_findings(case: Case) -> Iterator[Finding]:
    """All findings about supplies, cables, contacts and panels, in the order of the job."""
    yield from supply.judge(case)
    yield from cable_stock.judge(case)
    yield from cables_found.judge(case)
    yield from volts_found.judge(case)
    yield from wires.judge(case)
    yield from mains_cables.judge(case)
    yield from contact.judge(case)
    yield from panel.judge(case)


def _cores(case: Case, run: Run, volts: dict[tuple[str, str], EndVolts]) -> Iterator[CoreRow]:
    if run.is_mains:
        yield CoreRow(
            run.premises,
            run.name,
            run.start,
            "/".join(run.start_terminals),
            run.target,
            "mains",
            "",
            False,
            run.run.part if run.run else "",
            run.run.length_m if run.run else None,
            None,
            None,
            None,
            None,
            None,
            "mains: by a licensed electrician; not drawn core by core",
        )
        return
    (out, back), named = core_names(case, run)
    core = core_of_run(case, run.run)
    ohm = core.cold_ohm_per_km * run.run.length_m / 1000 if core is not None and run.run is not None else None
    seen = volts.get((run.supply, run.end.name)) if run.supply and run.end is not None else None
    fuse = fuse_before(case, run.premises, source_of(case, run)) if run.supply else None
    amperes = (
        run.end.amperes
        if run.end is not None and not (run.end.is_panel and not run.end.amperes)
        else run.amperes
    )
    lowest, highest = (seen.lowest_v, seen.highest_v) if seen is not None else (run.volts, run.volts)
    shared = run.run.shares_return_with if run.run is not None else None
    if run.common and run.supply and (run.at is not None or run.kind == "signal"):
        live = supply_terminals(case, f"{run.premises}/{run.supply}")[0]
        yield CoreRow(
            run.premises,
            run.name,
            run.supply,
            live,
            run.start,
            run.common,
            "link",
            False,
            "",
            None,
            None,
            None,
            None,
            amperes,
            fuse,
            "the supply's live side to the contact",
        )
    yield from _turning_rows(case, run, amperes, fuse)
    for number, (name, note) in enumerate(
        zip((out, back), (_note(case, run), f"shared with {shared}" if shared else ""))
    ):
        yield CoreRow(
            run.premises,
            run.name,
            run.back if number and run.back else run.start,
            run.start_terminals[number],
            run.target,
            run.target_terminals[number],
            "link" if run.is_link else name,
            named,
            run.run.part if run.run else "",
            run.run.length_m if run.run else None,
            ohm,
            lowest,
            highest,
            amperes,
            fuse,
            note,
        )


def _turning_rows(case: Case, run: Run, amperes: float | None, fuse: float | None) -> Iterator[CoreRow]:
    """The wires in the housing by which two changeover contacts turn a motor's volts round."""
    form = case.equipment.receivers[run.at.receiver_path].sheet.contact_form if run.at is not None else None
    for links, pole in zip(turning_links(case, run), ("plus", "0 V"), strict=False):
        for side in links[1:]:
            number, _, name = side.name.partition(".")
            _, breaks, makes = contact_terminals(form, number)
            yield CoreRow(
                run.premises,
                run.name,
                links[0].thing,
                "0 V" if links[0].name.endswith("0") else links[0].name,
                side.thing,
                makes if name == "make" else breaks,
                "link",
                False,
                "",
                None,
                None,
                None,
                None,
                amperes,
                fuse,
                f"{pole} to the {name} side: the volts are turned round by the other contact",
            )


def _note(case: Case, run: Run) -> str:
    if run.is_link:
        return f"side by side with {run.start}, on the same cable"
    if run.run is None and run.kind != "coil":
        return "cable not described"
    output = run.at
    if (
        output is not None
        and output.output.suppression not in (None, "none")
        and run.kind in ("power", "coil")
    ):
        return f"{output.output.suppression} across the load"
    if run.loop is not None and run.loop.scheme not in ("closed", "open"):
        return f"{run.loop.scheme}, {_resistors_sit(case, run)}"
    return ""


def _resistors_sit(case: Case, run: Run) -> str:
    """Where the resistors of a loop sit, as the job says of the zone; else at the contact that works it."""
    panel = case.job.premises[run.premises].panels.get(run.target)
    zone = panel.zones.get(run.target_terminals[0]) if panel is not None else None
    if zone is not None and zone.resistor == "panel":
        return "its end-of-line resistor in the panel"
    if zone is not None and zone.resistor == "between":
        return "its end-of-line resistor on the way"
    return "resistors at the receiver's terminals"


def _readings(case: Case, run: Run) -> Iterator[LoopRow]:
    cable = metered_ohm(case, run.run)
    if cable is None or run.run is None or run.is_mains:
        return
    place = (
        run.premises,
        run.name,
        run.start if not run.loop else run.target,
        run.target if not run.loop else run.start,
    )
    note = OUTSIDE
    part = case.equipment.cables.get(run.run.part)
    if part is not None and part.sheet.capacitance_f is not None:
        between = write_quantity(part.sheet.capacitance_f * run.run.length_m, "capacitance")
        note = f"{note}; a meter for capacitance shows {between} with the far end open, less where it is cut"
    yield LoopRow(
        *place,
        "far end joined",
        "unplug both ends, join the two cores at the far end",
        LOWEST_SHARE * cable,
        cable,
        HIGHEST_SHARE * cable,
        note,
    )
    if run.loop is None:
        return
    for name, low, expected, high in _states(run.loop, cable, break_contact=run.has_break_contact):
        yield LoopRow(
            *place,
            name,
            "unplug at the panel; "
            + ("leave the receiver at rest" if name.startswith("at rest") else "press, or hold the relay"),
            low,
            expected,
            high,
            "else see the slips of this loop"
            + ("" if run.loop.tolerance_share == _tolerance(run.loop) else "; resistors taken as 5 %"),
        )


def _states(
    loop: Loop, cable_ohm: float, *, break_contact: bool
) -> Iterator[tuple[str, float, float, float]]:
    """Readings at rest and while worked: name, lowest, expected, highest."""
    try:
        right = wrong_wirings(
            scheme=loop.scheme,
            bands=(),
            normal_ohm=loop.normal_ohm or 0.0,
            alarm_ohm=loop.alarm_ohm or 0.0,
            break_contact=break_contact,
        )[0]
        terminal_states(
            scheme=loop.scheme, normal_ohm=loop.normal_ohm, alarm_ohm=loop.alarm_ohm, mask_ohm=loop.mask_ohm
        )
    except InputError:
        return
    share = _tolerance(loop)
    for name, ohm in (("at rest", right.rest_ohm), ("worked", right.worked_ohm)):
        if math.isinf(ohm):
            yield name, math.inf, math.inf, math.inf
        else:
            band = terminal_band(state=LoopState(name, ohm), tolerance_share=share, loop_ohm=cable_ohm)
            yield name, band.low_ohm, ohm + cable_ohm, band.high_ohm if ohm else HIGHEST_SHARE * cable_ohm


def _tolerance(loop: Loop) -> float:
    """Of the resistors; the usual one where none that can be true is given."""
    known = loop.tolerance_share is not None and loop.tolerance_share <= WIDEST_SHARE
    return loop.tolerance_share if known and loop.tolerance_share is not None else USUAL_TOLERANCE_SHARE


def _slips(run: Run) -> Iterator[SlipRow]:
    if run.loop is None or not run.is_worked:
        return
    bands = accepted_bands(run.loop)
    if bands is None:
        return
    known = wrong_wirings(
        scheme=run.loop.scheme,
        bands=bands,
        normal_ohm=run.loop.normal_ohm or 0.0,
        alarm_ohm=run.loop.alarm_ohm or 0.0,
        break_contact=run.has_break_contact,
    )
    for slip in known[1:]:
        yield SlipRow(run.premises, run.name, f"{run.target}.{run.target_terminals[0]}", slip)
