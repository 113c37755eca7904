"""What presses do, rehearsed: from rest, and from every state that people and power cuts leave things in."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.behaviour import runs_only_with
from farpress.case.case import Case
from farpress.case.citations import GIVEN
from farpress.case.driven import driven_of
from farpress.domain.finding import Ask, Finding, Link, Stake, Who
from farpress.domain.refs import DeviceRef, FunctionRef, OutputRef, PanelRef
from farpress.judging.check import Answer, Check
from farpress.phrases import listed
from farpress.rehearsal.promised import LeftForGood, NotPlayed, PressTried, presses_tried
from farpress.rehearsal.rules import SEMANTICS

__all__ = ["DOES", "WAY_BACK", "judge"]

DOES: Final = Check(
    "OUT-17",
    Link.OUTPUT,
    "A press does what it is for, from rest and from each state that things are left in.",
    stake=Stake.PROMISE,
    ask="Find out what the device does at this press.",
    mends="The button, its outputs or the input they work, changed so that one press does it.",
)
WAY_BACK: Final = Check(
    "OUT-18",
    Link.OUTPUT,
    "What a press brings about can be taken back.",
    stake=Stake.PROMISE,
    ask="Say what takes it back.",
    mends="A function that takes it back, on a button, or what else does written into the job.",
)

_SOURCES: Final = (SEMANTICS, GIVEN)


def judge(case: Case) -> Iterator[Finding]:
    """OUT-17 and OUT-18."""
    tried: dict[tuple[tuple[str, ...], str], list[PressTried]] = {}
    for result in presses_tried(case):
        if isinstance(result, LeftForGood):
            yield _left_for_good(case, result)
        elif isinstance(result, NotPlayed):
            yield _not_played(result)
        else:
            tried.setdefault((result.functions, result.output), []).append(result)
    for (functions, output), results in tried.items():
        yield _does(case, functions, output, results)


def _waits(case: Case, output: str) -> bool:
    """Whether what an output works runs only together with something else."""
    wired = next(wired for wired in case.outputs() if wired.path == output)
    return any(load.panel is None and runs_only_with(case, load.path) for load in driven_of(case, wired))


def _does(case: Case, functions: tuple[str, ...], output: str, results: list[PressTried]) -> Finding:
    wrong = [result for result in results if not _is_right(result)]
    pressed, works = listed(functions), results[0].works or output
    if not wrong:
        states = len({result.left for result in results})
        answer, because = Answer.YES, ""
        says = f"{pressed} does what it is for at {works} by one press" + (
            f", in each of {states} states it may be left in." if states > 1 else "."
        )
    else:
        # the first state in which the press has anything to do is the one it is meant for
        # but what runs only with another thing is pressed after it
        is_first = wrong[0] is results[0] and not (len(wrong) < len(results) and _waits(case, output))
        answer = Answer.NO if is_first else Answer.BARELY
        says = f"{pressed} pressed {_where(wrong[0])}: {_what(wrong[0])} at {works}."
        others = dict.fromkeys(_where(result) for result in wrong if _where(result) != _where(wrong[0]))
        because = f"It is not right {_some(list(others))} either." if others else ""
    slow = max((result.after_s for result in results if result.presses), default=0.0)
    if slow > _SLOW_S:
        because = f"{because} It comes up to {slow:g} s after the press.".strip()
    return DOES.decide(
        about=f"{pressed}: {works}",
        subjects=(*(FunctionRef(name) for name in functions), OutputRef(output)),
        answer=answer,
        says=says,
        because=because,
        sources=_SOURCES,
    )


def _not_played(result: NotPlayed) -> Finding:
    """OUT-17 of what moves, and of which a fact is missing without which no press can be played."""
    name = result.path.partition("/")[2]
    return DOES.decide(
        about=f"{result.path}: {result.lacks}",
        subjects=(DeviceRef(result.path), *(OutputRef(path) for path in result.outputs)),
        answer=Answer.UNKNOWN,
        says=f"What a press does at {name}, from each state it may be left in, cannot be played.",
        asks=(Ask(result.lacks, Who.INSTALLER, 2.0),),
        sources=_SOURCES,
    )


_SLOW_S: Final = 1.0
"""A press whose effect comes later makes people press again; our choice."""


def _is_right(result: PressTried) -> bool:
    return result.presses == 1 and not result.does_opposite


def _where(result: PressTried) -> str:
    return f"with {result.left}" if result.left else "at rest"


def _what(result: PressTried) -> str:
    if result.does_opposite:
        return "the first press does the opposite" + (
            f", and it takes {result.presses} presses" if result.presses else ""
        )
    return f"it needs {result.presses} presses" if result.presses else "nothing happens"


def _some(others: list[str]) -> str:
    if len(others) <= 3:
        return listed(others)
    return f"{', '.join(others[:2])} and in {len(others) - 2} more states"


_BACK: Final = {"up": "lowers", "down": "raises"}
"""Where a motor is driven one way only → what has to be done by something else."""


def _left_for_good(case: Case, result: LeftForGood) -> Finding:
    premises, _, name = result.path.partition("/")
    is_panel = name in case.job.premises[premises].panels
    way = result.left.removeprefix(f"{name} ")
    verb = "unsets" if is_panel else _BACK.get(way, "closes")
    return WAY_BACK.decide(
        about=result.path,
        subjects=(
            PanelRef(result.path) if is_panel else DeviceRef(result.path),
            *(OutputRef(path) for path in result.outputs),
        ),
        answer=Answer.UNKNOWN,
        says=f"Nothing in the job brings {name} back once it is left so: {result.left}.",
        asks=(f"Say what {verb} {name}: a button, a time, or something on site.",),
        sources=_SOURCES,
    )
