"""The meter: touch two terminals in any state; what it must read, and what with a core broken or changed."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from farpress.case.case import Case
from farpress.case.circuit.electrics import electrics_of
from farpress.desk.access import DeskRole
from farpress.desk.form_schema import value_at
from farpress.desk.frame import JobRequest, sheet_of
from farpress.desk.pages.changing import body_of, saved
from farpress.domain.finding import Change
from farpress.errors import InputError
from farpress.wiring.core_faults import CoreFault, far_end
from farpress.wiring.metering import (
    METER_LEVELS,
    MeterReading,
    cores_everywhere,
    meter_terminals,
    metered,
    volts_everywhere,
    what_faults_read,
)

__all__ = ["ROUTES", "reading_text"]

FAULTS: Final = {
    "": "nothing is wrong",
    "broken": "this core is broken",
    "swapped": "this core and another are changed over",
    "shorted": "this core touches another at its far end",
    "moved": "its far end is led to another terminal",
}
"""What may be tried on a core, in words."""


@dataclass(frozen=True)
class _Touch:
    """Where the meter is held, in which state, and what is wrong; names that are not there are refused."""

    premises: str
    a: str
    b: str
    moment: str
    level: str
    fault: CoreFault | None


def _page(request: Request) -> Response:
    sheet = sheet_of(request)
    case, query = sheet.state.case, request.query_params
    touch = _touch(case, query)
    circuit = electrics_of(case, touch.premises).circuit
    terminals = meter_terminals(case, touch.premises)
    reading = wrong = None
    rows: list[tuple[str, MeterReading, bool]] = []
    if terminals:
        reading = metered(case, touch.premises, touch.a, touch.b, moment=touch.moment, level=touch.level)
        if touch.fault is not None:
            wrong = metered(
                case,
                touch.premises,
                touch.a,
                touch.b,
                moment=touch.moment,
                level=touch.level,
                fault=touch.fault,
            )
        if query.get("each"):
            found = what_faults_read(
                case, touch.premises, touch.a, touch.b, moment=touch.moment, level=touch.level
            )
            rows = [(_fault_text(row.fault), row.reading, row.differs) for row in found]
    volts = volts_everywhere(case, touch.premises, moment=touch.moment, level=touch.level, fault=touch.fault)
    return sheet.page(
        "meter.html",
        here="meter",
        touch=touch,
        premises=list(case.job.premises),
        terminals=_by_thing(terminals),
        moments=[moment.name for moment in electrics_of(case, touch.premises).moments],
        levels=list(METER_LEVELS),
        kinds=FAULTS,
        cores=[core.name for core in circuit.conductors],
        given=query,
        reading=reading,
        wrong=wrong,
        fault_text=_fault_text(touch.fault) if touch.fault else "",
        rows=rows,
        volts=volts,
        drawn=_cores(case, touch, {name: value for there, value, _ in volts for name in there}),
        told=reading_text,
        unknown=circuit.unknown,
        movable=touch.fault is not None and touch.fault.kind == "moved",
    )


def _touch(case: Case, query: Mapping[str, str]) -> _Touch:
    """What a request asks for; what it leaves out is the first that there is."""
    every = list(case.job.premises)
    premises = query.get("premises") or every[0]
    if premises not in case.job.premises:
        raise InputError(f"There are no premises '{premises[:60]}'; there are {', '.join(every)}.")
    electrics = electrics_of(case, premises)
    there = meter_terminals(case, premises)
    source = next(iter(electrics.circuit.sources), None)
    usual = (source.plus, source.zero) if source is not None else (*there[:2], "", "")[:2]
    fault = None
    if query.get("fault"):
        if query["fault"] not in FAULTS:
            raise InputError(f"'{query['fault'][:40]}' cannot be tried on a core.")
        other = query.get("to" if query["fault"] == "moved" else "other", "")
        fault = CoreFault(query["fault"], query.get("core", ""), other)  # type: ignore[arg-type]
    return _Touch(
        premises,
        query.get("a") or usual[0],
        query.get("b") or usual[1],
        query.get("moment") or electrics.moments[0].name,
        query.get("level") or next(iter(METER_LEVELS)),
        fault,
    )


def _cores(case: Case, touch: _Touch, volts: Mapping[str, float | None]) -> list[dict[str, Any]]:
    """Every core for its drawing: its ends with their volts, its amperes, what is wrong with it."""
    found = cores_everywhere(case, touch.premises, moment=touch.moment, level=touch.level, fault=touch.fault)
    return [
        {
            "name": core.name,
            "mark": core.core,
            "ends": [(end, volts.get(end)) for end in (core.a, core.b)],
            "amperes": amperes,
            "wrong": wrong,
            "broken": wrong and touch.fault is not None and touch.fault.kind == "broken",
        }
        for core, amperes, wrong in found
    ]


def _by_thing(terminals: tuple[str, ...]) -> dict[str, list[str]]:
    """Thing → its terminals, for lists to choose from."""
    made: dict[str, list[str]] = {}
    for terminal in terminals:
        made.setdefault(terminal.partition(".")[0], []).append(terminal)
    return {thing: sorted(made[thing]) for thing in sorted(made)}


def _fault_text(fault: CoreFault) -> str:
    match fault.kind:
        case "broken":
            return f"{fault.core} broken"
        case "swapped":
            return f"{fault.core} changed over with {fault.other}"
        case "shorted":
            return f"{fault.core} touching {fault.other}"
        case "moved":
            return f"far end of {fault.core} led to {fault.other}"
        case "left out":
            return f"{fault.core} never fitted"


def reading_text(reading: MeterReading) -> dict[str, str]:
    """Volts, ohms and amperes as a meter shows them."""
    volts = reading.no_volts
    if reading.volts is not None:
        kind = " AC" if reading.is_alternating else " DC"
        volts = f"{round(reading.volts, 3) + 0.0:.4g} V{kind}"
    ohms = "open" if math.isinf(reading.ohms) else f"{round(reading.ohms, 2):.4g} ohm"
    return {"volts": volts.replace("-", "\u2212"), "ohms": ohms}


async def _move(request: Request) -> Response:
    """Lead the far end of a drawn core to another terminal, in the job."""
    body = await body_of(request)

    def work() -> Response:
        sheet = sheet_of(request, role=DeskRole.INSTALLER)
        query = {key: str(value) for key, value in body.items() if isinstance(value, str)}
        touch = _touch(sheet.state.case, {**query, "fault": "moved"})
        assert touch.fault is not None
        metered(  # refuses a core or terminal that is not there
            sheet.state.case,
            touch.premises,
            touch.a,
            touch.b,
            moment=touch.moment,
            level=touch.level,
            fault=touch.fault,
        )
        return saved(sheet, [_moved(sheet, touch)], says=_fault_text(touch.fault))

    return await run_in_threadpool(work)


def _moved(sheet: JobRequest, touch: _Touch) -> Change:
    assert touch.fault is not None
    circuit = electrics_of(sheet.state.case, touch.premises).circuit
    core = next(core for core in circuit.conductors if core.name == touch.fault.core)
    if core.run_path[2:3] != ("cables",):
        raise InputError(
            "This core is entered as a whole run, not core by core. Enter its cable under Job, Cables, with"
            " the terminals of each core; then single cores can be led elsewhere."
        )
    path = (*core.run_path, "cores", core.core)
    which = 0 if far_end(circuit, core) == core.a else 1
    laid: Any = value_at(sheet.bench.values(), path)
    if isinstance(laid, dict):
        return Change((*path, "ends"), _led_to(laid.get("ends"), touch.fault.other, which))
    return Change(path, _led_to(laid, touch.fault.other, which))


def _led_to(ends: Any, terminal: str, which: int) -> list[str]:
    there = [str(end) for end in ends] if isinstance(ends, list) else []
    return [*there[:which], terminal, *there[which + 1 :]]


ROUTES: Final = [Route("/j/{job}/meter", _page), Route("/j/{job}/meter/move", _move, methods=["POST"])]
