"""A fault hidden for a learner: found with the meter and the tests of the book of faults, scored in minutes
against an order of tests, each the one that tells most a minute.
"""

from __future__ import annotations

import random
from dataclasses import dataclass, field, replace
from typing import Final

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from farpress.case.case import Case
from farpress.case.circuit.electrics import electrics_of
from farpress.desk.frame import JobRequest, answer, sheet_of
from farpress.desk.pages.changing import body_of, table_in
from farpress.desk.pages.meter import reading_text
from farpress.errors import InputError
from farpress.phrases import carried_on, listed
from farpress.wiring.hidden_fault import (
    Hunt,
    LearnerStep,
    LearnerTest,
    LearnerTouch,
    hunt_of,
    learner_tests,
    minutes_of,
)
from farpress.wiring.metering import meter_terminals
from farpress.wiring.staged_faults import STAGED_KINDS, StagedFault, Symptom, staged_faults

__all__ = ["ROUTES"]

MOST_HUNTS: Final = 100
"""Kept at once, one for each person and job; our choice."""

MOST_STEPS: Final = 100
"""Of one hunt; our choice."""

_DICE: Final = random.SystemRandom()

KIND_WORDS: Final = {
    "broken": "a core is broken",
    "swapped": "a core is changed over with another",
    "left out": "a resistor was never fitted",
    "dead cell": "the fob of a group has a dead cell",
    "not learned": "a button of a group is not learned",
    "wrong kind": "an output is set to another kind",
    "wrong time": "an output is set to another time",
}
"""What a learner may name, in words."""


@dataclass(frozen=True)
class _Running:
    """A hunt of one person.

    Attributes:
        hunt: the hidden fault.
        fingerprint: of the job that it is hidden in.
        steps: where the meter was held, and what was asked or tried.
        wrong: faults that were named and are not it.
        helped: how often the best next test was asked for.
        is_over: it was found, or given up.
    """

    hunt: Hunt
    fingerprint: str
    steps: tuple[LearnerStep, ...] = ()
    wrong: tuple[StagedFault, ...] = ()
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
    every = list(case.job.premises)
    if running is None:
        return sheet.page("hunt.html", here="rehearsal", running=None, every=every)
    hunt = running.hunt
    best = hunt.best if running.is_over else ()
    terminals: dict[str, list[str]] = {}
    for terminal in meter_terminals(case, hunt.premises):
        terminals.setdefault(terminal.partition(".")[0], []).append(terminal)
    staged = list(staged_faults(case, hunt.premises))
    return sheet.page(
        "hunt.html",
        here="rehearsal",
        running=running,
        every=every,
        complaint=_complaint(hunt.complaint),
        rows=[
            (step, reading_text(hunt.reads(step)), reading_text(hunt.reads(step, right=True)))
            for step in running.steps
            if isinstance(step, LearnerTouch)
        ],
        told=[
            (learner_tests()[step.name].ask, hunt.tells(step))
            for step in running.steps
            if isinstance(step, LearnerTest)
        ],
        best=[_step_text(step, hunt) for step in best],
        spent=minutes_of(running.steps, running.wrong),
        best_min=minutes_of(best),
        alike=[str(fault) for fault in hunt.left_after(hunt.best, hunt.possible) if fault != hunt.fault]
        if running.is_over
        else [],
        terminals={thing: sorted(ends) for thing, ends in sorted(terminals.items())},
        ground=next((source.zero for source in electrics_of(case, hunt.premises).circuit.sources), ""),
        moments=[moment.name for moment in electrics_of(case, hunt.premises).moments],
        tests=learner_tests().values(),
        kinds={
            kind: KIND_WORDS[kind] for kind in STAGED_KINDS if any(fault.kind == kind for fault in staged)
        },
        subjects=_subjects(staged),
        others={
            "Cores": dict.fromkeys(fault.other for fault in staged if fault.kind == "swapped")
            | dict.fromkeys(fault.of for fault in staged if fault.kind == "swapped"),
            "Buttons": dict.fromkeys(fault.other for fault in staged if fault.kind == "not learned"),
        },
    )


def _subjects(staged: list[StagedFault]) -> dict[str, list[str]]:
    """What a fault may be at, by what it is."""
    groups = {
        "Cores": ("broken",),
        "Resistors": ("left out",),
        "Fobs of": ("dead cell", "not learned"),
        "Outputs": ("wrong kind", "wrong time"),
    }
    found = {
        title: list(dict.fromkeys(fault.of for fault in staged if fault.kind in kinds))
        for title, kinds in groups.items()
    }
    return {title: names for title, names in found.items() if names}


def _complaint(seen: Symptom) -> str:
    """As the customer tells it."""
    things, does = listed(seen.things), "does" if len(seen.things) == 1 else "do"
    if seen.who:
        return f"{seen.who} pressed \u201c{seen.moment}\u201d, and {things} {does} not do what is promised."
    return f"Nobody presses anything, and {things} {does} not stand as promised."


def _step_text(step: LearnerStep, hunt: Hunt) -> str:
    if isinstance(step, LearnerTest):
        ask = learner_tests()[step.name].ask
        return f"{ask} {hunt.tells(step)}" if ask.endswith("?") else f"{ask}: {carried_on(hunt.tells(step))}"
    reading = reading_text(hunt.reads(step))
    return f"Meter: {step.a} over {step.b}, {step.moment}: {reading['volts']}"


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
            case "touch" | "test":
                return _stepped(sheet, running, act, given)
            case "name":
                return _named(sheet, running, given)
            case "help":
                return _helped(sheet, running)
            case "end":
                _HUNTS.put(sheet, replace(running, is_over=True))
                return answer(f"It was: {running.hunt.fault}.")
        raise InputError("A hunt knows begin, touch, test, name, help and end.")

    return await run_in_threadpool(work)


def _begun(sheet: JobRequest, premises: str) -> Response:
    case = sheet.state.case
    premises = premises or next(iter(case.job.premises))
    if premises not in case.job.premises:
        raise InputError(f"There are no premises '{premises[:60]}' in this job.")
    hunt = _drawn(case, premises)
    if hunt is None:
        raise InputError(
            "Nothing can be hidden here: no cable, fob or output is described whose fault anybody would see."
            " Enter them first."
        )
    _HUNTS.put(sheet, _Running(hunt, sheet.state.fingerprint))
    return answer("A fault is hidden.")


def _drawn(case: Case, premises: str) -> Hunt | None:
    """A fault of a kind drawn by chance, so that the many cores hide nothing else; None where none shows."""
    by_kind: dict[str, list[StagedFault]] = {}
    for fault in staged_faults(case, premises):
        by_kind.setdefault(fault.kind, []).append(fault)
    for kind in _DICE.sample(list(by_kind), len(by_kind)):
        for fault in _DICE.sample(by_kind[kind], len(by_kind[kind])):
            hunt = hunt_of(case, premises, fault)
            if hunt is not None:
                return hunt
    return None


def _stepped(sheet: JobRequest, running: _Running, act: str, given: dict[str, str]) -> Response:
    if len(running.steps) >= MOST_STEPS:
        raise InputError(f"{MOST_STEPS} tests are enough; name the fault, or give up.")
    step: LearnerStep
    says = ""
    if act == "touch":
        step = LearnerTouch(given.get("a", ""), given.get("b", ""), given.get("moment", ""))
        running.hunt.reads(step)  # refuses a terminal or moment that is not there
    else:
        step = LearnerTest(given.get("test", ""))
        if step.name not in learner_tests():
            raise InputError(f"There is no test '{step.name[:60]}'; choose one of the list.")
        says = running.hunt.tells(step)
    _HUNTS.put(sheet, replace(running, steps=(*running.steps, step)))
    return answer(says)


def _named(sheet: JobRequest, running: _Running, given: dict[str, str]) -> Response:
    kind, of, other = given.get("kind", ""), given.get("of", ""), given.get("other", "")
    if kind not in STAGED_KINDS:
        raise InputError("Say what kind of fault it is, and what has it.")
    needs_other = kind in ("swapped", "not learned")
    ends = {of, other} if needs_other else {of}
    named = next(
        (
            fault
            for fault in staged_faults(sheet.state.case, running.hunt.premises)
            if fault.kind == kind and ends == ({fault.of, fault.other} if needs_other else {fault.of})
        ),
        None,
    )
    if named is None:
        raise InputError(
            f"There is no fault of which {KIND_WORDS[kind]} at '{of[:60]}'"
            + (f" with '{other[:60]}'" if needs_other else "")
            + "; choose what the kind of fault can be at."
        )
    if running.hunt.is_named_by(named):
        _HUNTS.put(sheet, replace(running, is_over=True, is_found=True))
        return answer("Found.")
    _HUNTS.put(sheet, replace(running, wrong=(*running.wrong, named)))
    return answer("That is not it: the complaint is still there.")


def _helped(sheet: JobRequest, running: _Running) -> Response:
    step = running.hunt.next_step(running.steps)
    _HUNTS.put(sheet, replace(running, helped=running.helped + 1))
    if step is None:
        return answer("No test tells more: name the fault.")
    if isinstance(step, LearnerTest):
        return answer(learner_tests()[step.name].ask)
    return answer(f"Hold the meter to {step.a} and {step.b}, {step.moment}.")


ROUTES: Final = [Route("/j/{job}/hunt", _page), Route("/j/{job}/hunt/{act}", _act, methods=["POST"])]
