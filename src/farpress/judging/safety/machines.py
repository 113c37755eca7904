"""Machines started by radio: seen or not, and what takes their power away while somebody works on them.

No claim of safety is made here: whoever answers for the machine decides, and licensed practice does.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.behaviour import shortest_hold_s
from farpress.case.case import Case, OutputAt
from farpress.case.citations import PRACTICE, RADIO
from farpress.case.driven import Driven, driven_of, function_kinds, groups_of, promises_of, subjects_of
from farpress.case.leaf import whole_travel_s
from farpress.domain.cautions import DUTIES, caution
from farpress.domain.finding import Ask, Finding, Link, Remedy, Stake, Who
from farpress.domain.kinds import device_kind
from farpress.domain.refs import DeviceRef, OutputRef, Ref
from farpress.judging.check import Answer, Check
from farpress.judging.device.safeguards import blind_places, in_sight
from farpress.judging.hurting import (
    ask_what_it_is,
    held_instead,
    hurts_by,
    may_hurt,
    said_to_hurt,
    surely_hurts,
)
from farpress.phrases import listed
from farpress.sources import Citation, Mark

__all__ = ["ISOLATION", "STARTED_IN_VIEW", "judge"]

STARTED_IN_VIEW: Final = Check(
    "SAFE-12",
    Link.SAFETY,
    (
        "A machine, pump, heater, winch or fence that radio can start: seen whole by whoever presses; a"
        " hanging load moves only while the button is held."
    ),
    stake=Stake.HARM,
    bars=True,
    halts=True,
    ask="Say from where it is started, and whether the whole of it is seen from there.",
    who=Who.INSTALLER,
    minutes=5.0,
    mends="A start in view of it, by wire; the fob at most stops it.",
)
ISOLATION: Final = Check(
    "SAFE-13",
    Link.SAFETY,
    "What takes the power away while somebody works on it: an isolator that can be locked, never a fob.",
    stake=Stake.HARM,
    bars=True,
    ask="Look for an isolator at the place of work, and whether it can be locked.",
    who=Who.INSTALLER,
    minutes=5.0,
    mends="A lockable isolator where the work is done.",
)

_HELD: Final = Citation(
    "essential requirements for machinery",
    place="lifting: moved by hold-to-run control only",
    mark=Mark.MEMORY,
)

_HURTS: Final = "it can hurt whoever is at it"
"""Of a thing that is given as not harmless and whose kind does not say how."""

_LOCAL: Final = (
    Remedy("Start it in view of it, by wire; let the fob at most stop it"),
    Remedy("A lockable isolator where the work is done"),
)


def judge(case: Case) -> Iterator[Finding]:
    """SAFE-12 of each output that can start such a thing, SAFE-13 of each thing."""
    worked: dict[str, list[tuple[OutputAt, Driven]]] = {}
    for output in case.outputs():
        for driven in driven_of(case, output):
            traits = driven.traits
            word = said_to_hurt(driven, *_remarks(case, output))
            if (surely_hurts(driven) or may_hurt(driven) or word) and _starts(case, output, driven):
                yield _started(case, output, driven, word)
            if traits.stays_live or device_kind(driven.sheet.feeds).stays_live:
                worked.setdefault(driven.path, []).append((output, driven))
    for uses in worked.values():
        yield _isolated(uses)


def _starts(case: Case, output: OutputAt, driven: Driven) -> bool:
    """Whether a press can start it: anything but an input, or functions, that only stop."""
    if driven.logic in ("stop", "safety"):
        return False
    kinds = function_kinds(case, output)
    return not kinds or kinds != {"stop"}


def _remarks(case: Case, output: OutputAt) -> tuple[str, ...]:
    """Names and remarks of the functions of an output."""
    known = [name for name in output.functions if name in case.job.functions]
    return tuple(text for name in known for text in (name, case.job.functions[name].says))


def _started(case: Case, output: OutputAt, driven: Driven, word: str = "") -> Finding:
    """SAFE-12."""
    name, traits = driven.path.split("/")[1], driven.traits
    asks: tuple[Ask, ...] = ()
    why = ""
    remedies: tuple[Remedy, ...] = _LOCAL
    sources: tuple[Citation, ...] = (*driven.cite("device"), RADIO, PRACTICE)
    what = f"{output.path} can start {name}"
    hurts = f"{(hurts_by(driven) or _HURTS).capitalize()}."
    key = traits.cautions[0] if traits.cautions else "machine"
    if word:
        answer = Answer.UNKNOWN
        says = f"{what}, which is declared as a {driven.kind} and called '{word}': what is it?"
        asks = (ask_what_it_is(driven),)
    elif may_hurt(driven):
        answer = Answer.UNKNOWN
        called = (
            "what hangs on it, and what that does to somebody at it, is"
            if traits.feeds_more
            else ("what that does to somebody at it is")
        )
        says = f"{what}; {called} not known."
        asks = (ask_what_it_is(driven),)
    elif traits.lifts and _runs_on(output, driven):
        answer = Answer.NO
        instead, why = held_instead(case, output, driven)
        remedies, sources = (instead, *_LOCAL), (*sources, _HELD)
        says = f"{what}, and it goes on when the button is let go: refused. {hurts}"
    elif traits.lifts and held_instead(case, output, driven)[1]:
        answer = Answer.NO
        instead, why = held_instead(case, output, driven)
        remedies, sources = (instead, *_LOCAL), (*sources, _HELD)
        says = f"{what}, and only the thumb on the fob stops it: refused. {hurts}"
    elif not promises_of(case, output.functions):
        answer = Answer.UNKNOWN
        says = f"{what}; from where is not said. {hurts}"
        asks = (Ask(f"Say from where {name} is to be started, and what is seen from there.", Who.CUSTOMER),)
    elif not in_sight(case, output, driven):
        blind = listed(blind_places(case, output, driven))
        answer = Answer.NO
        says = f"{what} from {blind}, where the whole of it is not seen: refused. {hurts}"
    elif traits.lifts and (asks := _hold_asks(case, output, driven)):
        answer = Answer.UNKNOWN
        says = f"{what}; whether a fob's button can be held until it is there is not known. {hurts}"
    else:
        answer = Answer.BARELY
        says = f"{what}, from where the whole of it is seen. {hurts}"
    return STARTED_IN_VIEW.decide(
        about=f"{output.path}: {driven.works}",
        subjects=subjects_of(output, driven),
        answer=answer,
        says=says,
        because=f"{why} {caution(key)} {DUTIES['machine']}".lstrip(),
        asks=asks,
        remedies=remedies,
        sources=sources,
        cause=driven.subject,
    )


def _hold_asks(case: Case, output: OutputAt, driven: Driven) -> tuple[Ask, ...]:
    """What must be known before it is known whether a fob can hold a load all the way."""
    name, asks = driven.path.split("/")[1], []
    if whole_travel_s(driven.sheet) is None:
        asks.append(Ask(f"Give the time of the whole travel of {name}.", Who.METER, 5.0))
    if not groups_of(case, output):
        asks.append(Ask(f"Say whose fobs have a button for {output.path}.", Who.CUSTOMER, 2.0))
    elif shortest_hold_s(case, output) is None:
        asks.append(
            Ask(f"Find after how long the fobs for {output.path} stop by themselves, in their data sheet.")
        )
    return tuple(asks)


def _runs_on(output: OutputAt, driven: Driven) -> bool:
    """Whether a press begins a movement that goes on without the thumb."""
    return not output.output.traits.while_held or driven.wants == "pulse"


def _isolated(uses: list[tuple[OutputAt, Driven]]) -> Finding:
    """SAFE-13."""
    driven = uses[0][1]
    path, name = driven.path, driven.path.split("/")[1]
    isolator = driven.sheet.isolator
    refs: tuple[Ref, ...] = (DeviceRef(path), *(OutputRef(output.path) for output, _ in uses))
    says = {
        "lockable": f"{name} has an isolator that can be locked where the work is done.",
        "not lockable": f"The isolator of {name} cannot be locked: somebody's press starts it again.",
        "none": f"Nothing but the fob's output takes the power of {name} away where the work is done.",
        None: f"Whether {name} has an isolator that can be locked where the work is done is not recorded.",
    }[isolator]
    return ISOLATION.decide(
        about=path,
        subjects=refs,
        answer=Answer.of(None if isolator is None else isolator == "lockable"),
        says=says,
        because=f"{caution(driven.traits.cautions[0])} {DUTIES['machine']}",
        asks=(f"Look at {name} for an isolator at the place of work, and whether it can be locked.",)
        if isolator is None
        else (),
        remedies=(Remedy("Have a lockable isolator fitted where the work is done, by a licensed person"),),
        sources=(*driven.cite("isolator"), PRACTICE),
    )
