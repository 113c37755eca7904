"""What a fob is wished to start before an output is drawn for it: refused or asked on the same grounds.

A wish that leads nowhere yet is the best moment to say no to it. Whoever answers for the machine decides.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.case import Case
from farpress.case.citations import GIVEN, PRACTICE, RADIO
from farpress.case.driven import Driven, driven_at, promises_of
from farpress.case.leaf import run_on_of
from farpress.case.wished import undrawn
from farpress.domain.cautions import DUTIES, caution
from farpress.domain.finding import Ask, Finding, Link, Remedy, Stake, Who
from farpress.domain.job import Function
from farpress.domain.refs import DeviceRef, FunctionRef
from farpress.judging.check import Answer, Check
from farpress.judging.hurting import ask_what_it_is, held_by, may_hurt, surely_hurts
from farpress.phrases import listed

__all__ = ["WISHED_START", "judge"]

WISHED_START: Final = Check(
    "SAFE-50",
    Link.SAFETY,
    "A machine, winch, lift, pump or heater that a fob is wished to start, before an output is drawn for it.",
    stake=Stake.HARM,
    bars=True,
    halts=True,
    ask="Say from where it is started, and whether the whole of it is seen from there.",
    who=Who.CUSTOMER,
    minutes=5.0,
    mends="A start in view of it, by wire; the fob at most stops it.",
)

_STARTS_NOTHING: Final = frozenset({"stop", "safety"})


def judge(case: Case) -> Iterator[Finding]:
    """SAFE-50 of each wish for something that can hurt whoever is at it."""
    for name, function in case.job.functions.items():
        if function.kind == "stop":
            continue
        for premises, works in undrawn(case, name):
            driven = driven_at(case, premises, works)
            if driven.logic in _STARTS_NOTHING or driven.device is None:
                continue
            if surely_hurts(driven) or may_hurt(driven):
                yield _wished(case, name, function, driven)


def _wished(case: Case, name: str, function: Function, driven: Driven) -> Finding:
    device, traits = driven.path.split("/")[1], driven.traits
    what = f"'{name}' shall start {device} by radio"
    hurts = f"{(traits.hurts or 'it can hurt whoever is at it').capitalize()}."
    asks: tuple[Ask, ...] = ()
    why = ""
    remedies: tuple[Remedy, ...] = (Remedy("Start it in view of it, by wire; let the fob at most stop it"),)
    blind = _blind_places(case, name, driven)
    if traits.lifts:
        instead, why = held_by(
            driven, _shortest_hold_s(case, name), run_on_of(driven.sheet, _dropout_s(case, driven))
        )
        remedies = (instead, *remedies)
    if may_hurt(driven):
        answer, says = Answer.UNKNOWN, f"{what}; what that does to somebody at it is not known."
        asks = (ask_what_it_is(driven),)
    elif why:
        answer, says = Answer.NO, f"{what}: refused. {hurts}"
    elif blind:
        answer = Answer.NO
        says = f"{what} from {listed(blind)}, where the whole of it is not seen: refused. {hurts}"
    elif promises_of(case, [name]):
        answer, says = Answer.BARELY, f"{what}, from where the whole of it is seen. {hurts}"
    else:
        answer, says = Answer.UNKNOWN, f"{what}; from where is not said. {hurts}"
    if answer is Answer.UNKNOWN and not asks:
        asks = (Ask(f"Say from where {device} is to be started, and what is seen from there.", Who.CUSTOMER),)
    if driven.sheet.defects:
        says += f" As found: {listed(driven.sheet.defects)}."
        if answer is not Answer.UNKNOWN:
            answer = Answer.NO
    key = traits.cautions[0] if traits.cautions else "machine"
    return WISHED_START.decide(
        about=f"{name}: {driven.works}",
        subjects=(FunctionRef(name), DeviceRef(driven.path)),
        cause=DeviceRef(driven.path),
        answer=answer,
        says=says,
        because=f"{why} {caution(key)} {DUTIES['machine']}".lstrip(),
        asks=asks,
        remedies=remedies,
        sources=(
            *driven.cite("device", "defects", "way_m", "leaf_m", "speed_m_per_s", "travel_s"),
            RADIO,
            PRACTICE,
            GIVEN,
        ),
    )


def _blind_places(case: Case, name: str, driven: Driven) -> list[str]:
    """Places that it is promised from and from which the whole of it is not seen."""
    premises, device = driven.path.split("/")
    blind = []
    for promise in promises_of(case, [name]):
        where = case.place(promise.from_, premises)
        sees = case.job.premises[where[0]].places[where[1]].sees if where is not None else ()
        if not {device, driven.path} & set(sees):
            blind.append(promise.from_)
    return list(dict.fromkeys(blind))


def _shortest_hold_s(case: Case, name: str) -> float | None:
    """Earliest cut-off of the fobs that have a button for it; None if any is not known."""
    fobs = [case.equipment.fobs.get(group) for group, _ in case.groups_with(name)]
    held = [None if fob is None else fob.sheet.cut_off_s for fob in fobs]
    known = [cut for cut in held if cut is not None]
    return min(known) if known and len(known) == len(held) else None


def _dropout_s(case: Case, driven: Driven) -> float | None:
    """Shortest drop-out of the receivers at its address, the best that can be had of them."""
    there = driven.path.split("/")[0]
    times = [
        part.sheet.dropout_s
        for path, part in case.equipment.receivers.items()
        if path.split("/")[0] == there and part.sheet.dropout_s is not None
    ]
    return min(times) if times else None
