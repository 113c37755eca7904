"""What may run only together with others: a pump with an open valve, a doser with its pump.

Two receivers hear a press each for itself. What must happen together hangs on one of them, or better on a
switch in the circuit of the thing itself.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.behaviour import never_runs
from farpress.case.case import Case, OutputAt
from farpress.case.citations import GIVEN, PRACTICE
from farpress.case.driven import driven_at, driven_of
from farpress.case.worked import Worked, worked_devices
from farpress.domain.finding import Ask, Finding, Link, Remedy, Stake, Who
from farpress.domain.job import Button, Group, as_names
from farpress.domain.refs import DeviceRef
from farpress.judging.check import Answer, Check
from farpress.phrases import listed
from farpress.units import write_quantity

__all__ = ["ONLY_WITH", "judge"]

ONLY_WITH: Final = Check(
    "OUT-55",
    Link.OUTPUT,
    "What may run only together with others is started by no press that leaves all of them shut or off.",
    stake=Stake.HARM,
    ask="Say what sees to it that it runs only together with them.",
    who=Who.INSTALLER,
    minutes=10.0,
    mends="A flow, pressure or end switch in its own circuit, or one controller for all of them; never two"
    " receivers that hear each for itself.",
)

_SHUTS: Final = frozenset({"close", "stop", "safety", "down", "unset"})


def judge(case: Case) -> Iterator[Finding]:
    """OUT-55 of each device that runs only with others and that a press starts."""
    for worked in worked_devices(case):
        device = case.job.premises[worked.premises].devices.get(worked.name)
        if device is not None and device.only_with:
            yield _judged(case, worked, device.only_with, device.only_with_by)


def _judged(case: Case, worked: Worked, others: tuple[str, ...], by: str | None) -> Finding:
    name = worked.name
    paths = [thing if "/" in thing else f"{worked.premises}/{thing}" for thing in others]
    short_names = [path.split("/")[1] for path in paths]
    short = listed(short_names, last=" or ")
    asks: tuple[Ask, ...] = ()
    faults = [fault for fault in _faults(case, worked, paths) if fault]
    if never_runs(case, worked.path):
        answer = Answer.UNKNOWN
        says = f"{name} runs only with {short}, which waits for it in turn: none of them ever begins."
        first = f"Say which of {listed([name, *short_names])} begins without the others."
        asks = (Ask(first, Who.INSTALLER, 10.0),)
    elif by in ("a switch of its own", "a controller"):
        answer = Answer.YES
        says = f"{name} runs only with {short}: {by} sees to it, whatever is pressed."
    elif faults:
        answer, says = Answer.NO, faults[0]
        if len(faults) > 1:
            says += f" {len(faults) - 1} more of its presses do likewise."
    elif by is None:
        answer = Answer.UNKNOWN
        says = f"{name} runs only with {short}; what sees to it is not said."
        asks = (
            Ask(f"Say what keeps {name} from running with none of {short} open or on.", Who.INSTALLER, 10.0),
        )
    else:
        answer = Answer.BARELY
        says = f"Each press that starts {name} works {short} too, through one receiver; nothing else does."
    return ONLY_WITH.decide(
        about=worked.path,
        subjects=(*worked.refs, *(DeviceRef(path) for path in paths)),
        answer=answer,
        says=says,
        because=""
        if answer is Answer.YES or never_runs(case, worked.path)
        else "Two receivers hear a press each for itself, and two contacts let go each in its own time.",
        asks=asks,
        remedies=(
            Remedy(f"A flow, pressure or end switch in the circuit of {name}, which no press gets round"),
            Remedy("One controller that starts them together; the fob starts and stops the controller"),
        ),
        sources=(*worked.driven.cite("device"), GIVEN, PRACTICE),
    )


def _faults(case: Case, worked: Worked, paths: list[str]) -> Iterator[str]:
    """Of each press that starts it, output by output, why nothing is open then; empty where something is."""
    for output, driven in worked.uses:
        if driven.logic in _SHUTS:
            continue
        for function in output.functions:
            if case.job.functions[function].kind == "stop":
                continue
            for together in _pressed_with(case, function):
                yield _fault(case, output, worked.name, function, together, paths)


def _pressed_with(case: Case, function: str) -> Iterator[tuple[str, ...]]:
    """The functions of each press that has this one, each set once."""
    told: set[tuple[str, ...]] = set()
    for group in case.job.groups.values():
        for functions in _presses_of(group):
            if function in functions and functions not in told:
                told.add(functions)
                yield functions
    if not told:
        yield (function,)


def _presses_of(group: Group) -> Iterator[tuple[str, ...]]:
    """What each press of each button of a group does."""
    for button in group.buttons.values():
        written = (button.short, button.long) if isinstance(button, Button) else (button,)
        yield from (as_names(names) for names in written if names)


def _fault(
    case: Case, output: OutputAt, name: str, function: str, together: tuple[str, ...], paths: list[str]
) -> str:
    """Why a press of these functions leaves the others shut or may do so; empty where it does not."""
    opened = [
        (other, works)
        for pressed in together
        for other in case.outputs_of(pressed)
        for works in other.works
        if f"{other.premises}/{works.split('.')[0]}" in paths and not _shuts(case, other, works)
    ]
    short = listed([path.split("/")[1] for path in paths], last=" or ")
    here = [other for other, _ in opened if other.receiver_path == output.receiver_path]
    head = f"A press of {function} starts {name}"
    fault = ""
    if not opened:
        fault = f"{head} over {output.receiver_path} and opens none of {short}: it runs against what is shut."
        if any(not case.outputs_of(pressed) for pressed in together):
            fault = fault[:-1] + ", as drawn so far."
    elif not here:
        apart = opened[0][0].receiver_path
        fault = (
            f"{head} over {output.receiver_path} and {opened[0][1].split('.')[0]} over {apart}: where one of"
            " the two misses it, it runs against what is shut, or is missing to what is open."
        )
    elif (mine := output.output.for_s) is not None and all(
        _lets_go_before(case, other, mine) for other in here
    ):
        theirs = here[0].output.for_s or 0.0
        fault = (
            f"{head} for {write_quantity(mine, 'time')} and opens {short} for"
            f" {write_quantity(theirs, 'time')}: then it runs on against what is shut."
        )
    return fault


def _shuts(case: Case, output: OutputAt, works: str) -> bool:
    """Whether this input only shuts or stops."""
    return driven_at(case, output.premises, works).logic in _SHUTS


def _lets_go_before(case: Case, output: OutputAt, mine_s: float) -> bool:
    """Whether an output is off again before a pulse of this length ends, and what it works with it."""
    theirs = output.output.for_s
    if output.output.kind != "pulse" or theirs is None or theirs >= mine_s:
        return False
    return all(driven.wants == "maintained" for driven in driven_of(case, output))
