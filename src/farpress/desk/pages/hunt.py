"""A fault hidden for a learner: found with the meter, scored in minutes against the best order of tests."""

from __future__ import annotations

import random
from dataclasses import dataclass, field, replace
from typing import Final

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from farpress.case.circuit.electrics import electrics_of
from farpress.desk.frame import JobRequest, answer, sheet_of
from farpress.desk.pages.changing import body_of, table_in
from farpress.desk.pages.meter import FAULTS, reading_text
from farpress.errors import InputError
from farpress.wiring.hidden_fault import Hunt, LearnerTouch, hunt_of, minutes_of
from farpress.wiring.metering import CoreFault, core_faults, meter_terminals

__all__ = ["ROUTES"]

MOST_HUNTS: Final = 100
"""Kept at once, one for each person and job; our choice."""

MOST_TOUCHES: Final = 100
"""Of one hunt; our choice."""

_DICE: Final = random.SystemRandom()


@dataclass(frozen=True)
class _Running:
    """A hunt of one person.

    Attributes:
        hunt: the hidden fault.
        fingerprint: of the job that it is hidden in.
        touches: where the meter was held.
        wrong: faults that were named and are not it.
        helped: how often the best next test was asked for.
        is_over: it was found, or given up.
    """

    hunt: Hunt
    fingerprint: str
    touches: tuple[LearnerTouch, ...] = ()
    wrong: tuple[CoreFault, ...] = ()
    helped: int = 0
    is_over: bool = False
    is_found: bool = False


@dataclass
class _Hunts:
    """The hunts that go on, one for each person and job."""

    running: dict[tuple[str, str], _Running] = field(default_factory=dict)

    def of(self, sheet: JobRequest) -> _Running | None:
        """The hunt of who asks; none of a job that has changed since."""
        found = self.running.get((sheet.name, sheet.session.mark))
        return found if found is not None and found.fingerprint == sheet.state.fingerprint else None

    def put(self, sheet: JobRequest, hunt: _Running) -> None:
        """Keep it, the oldest given up where there are too many."""
        self.running[sheet.name, sheet.session.mark] = hunt
        while len(self.running) > MOST_HUNTS:
            self.running.pop(next(iter(self.running)), None)


_HUNTS: Final = _Hunts()


def _page(request: Request) -> Response:
    sheet = sheet_of(request)
    running, case = _HUNTS.of(sheet), sheet.state.case
    rows: list[tuple[LearnerTouch, dict[str, str], dict[str, str]]] = []
    best: tuple[LearnerTouch, ...] = ()
    if running is not None:
        hunt = running.hunt
        rows = [
            (touch, reading_text(hunt.reads(touch)), reading_text(hunt.reads(touch, right=True)))
            for touch in running.touches
        ]
        best = hunt.best if running.is_over else ()
    premises = running.hunt.premises if running is not None else ""
    terminals: dict[str, list[str]] = {}
    for terminal in meter_terminals(case, premises) if premises else ():
        terminals.setdefault(terminal.partition(".")[0], []).append(terminal)
    electrics = electrics_of(case, premises) if premises else None
    return sheet.page(
        "hunt.html",
        here="rehearsal",
        running=running,
        rows=rows,
        best=best,
        spent=minutes_of(running.touches, len(running.wrong)) if running is not None else 0.0,
        best_min=minutes_of(best),
        terminals={thing: sorted(ends) for thing, ends in sorted(terminals.items())},
        moments=[moment.name for moment in electrics.moments] if electrics is not None else [],
        cores=[core.name for core in electrics.circuit.conductors] if electrics is not None else [],
        every=list(case.job.premises),
        fault_words=_words,
    )


def _words(fault: CoreFault) -> str:
    if fault.kind == "swapped":
        return f"{fault.core} changed over with {fault.other}"
    return f"{fault.core} broken"


async def _act(request: Request) -> Response:
    body = await body_of(request)

    def work() -> Response:
        sheet = sheet_of(request)
        given = {key: str(value) for key, value in table_in(body, "values").items()}
        act = request.path_params["act"]
        if act == "begin":
            return _begun(sheet, given.get("premises", ""))
        running = _HUNTS.of(sheet)
        if running is None:
            raise InputError("No fault is hidden, or the job has changed since. Hide another one.")
        if running.is_over:
            raise InputError("This hunt is over. Hide another fault.")
        match act:
            case "touch":
                return _touched(sheet, running, given)
            case "name":
                return _named(sheet, running, given)
            case "help":
                return _helped(sheet, running)
            case "end":
                _HUNTS.put(sheet, replace(running, is_over=True))
                return answer("It was: " + _words(running.hunt.fault) + ".")
        raise InputError("A hunt knows begin, touch, name, help and end.")

    return await run_in_threadpool(work)


def _begun(sheet: JobRequest, premises: str) -> Response:
    case = sheet.state.case
    premises = premises or next(iter(case.job.premises))
    if premises not in case.job.premises:
        raise InputError(f"There are no premises '{premises[:60]}' in this job.")
    possible = list(core_faults(electrics_of(case, premises).circuit))
    for fault in _DICE.sample(possible, len(possible)):
        hunt = hunt_of(case, premises, fault, possible)
        if hunt is not None:
            _HUNTS.put(sheet, _Running(hunt, sheet.state.fingerprint))
            return answer("A fault is hidden.")
    raise InputError(
        "Nothing can be hidden here: no core is described whose fault anybody would see. Enter cables first."
    )


def _touched(sheet: JobRequest, running: _Running, given: dict[str, str]) -> Response:
    if len(running.touches) >= MOST_TOUCHES:
        raise InputError(f"{MOST_TOUCHES} readings are enough; name the fault, or give up.")
    touch = LearnerTouch(given.get("a", ""), given.get("b", ""), given.get("moment", ""))
    running.hunt.reads(touch)  # refuses a terminal or moment that is not there
    _HUNTS.put(sheet, replace(running, touches=(*running.touches, touch)))
    return answer("")


def _named(sheet: JobRequest, running: _Running, given: dict[str, str]) -> Response:
    kind, core, other = given.get("kind", ""), given.get("core", ""), given.get("other", "")
    if kind not in FAULTS or kind not in ("broken", "swapped") or not core:
        raise InputError("Say which core it is, and whether it is broken or changed over with another.")
    named = CoreFault("broken", core) if kind == "broken" else CoreFault("swapped", core, other)
    hidden = running.hunt.fault
    if named.kind == hidden.kind and {named.core, named.other} == {hidden.core, hidden.other}:
        _HUNTS.put(sheet, replace(running, is_over=True, is_found=True))
        return answer("Found.")
    _HUNTS.put(sheet, replace(running, wrong=(*running.wrong, named)))
    return answer("That is not it: the complaint is still there.")


def _helped(sheet: JobRequest, running: _Running) -> Response:
    touch = running.hunt.next_touch(running.touches)
    _HUNTS.put(sheet, replace(running, helped=running.helped + 1))
    if touch is None:
        return answer("No reading tells more: name the fault.")
    return answer(f"Hold the meter to {touch.a} and {touch.b}, {touch.moment}.")


ROUTES: Final = [Route("/j/{job}/hunt", _page), Route("/j/{job}/hunt/{act}", _act, methods=["POST"])]
