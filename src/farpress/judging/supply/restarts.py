"""Judges a chain from a load to the outputs of a receiver that does not work it: a siren, another's lock.

Its current takes volts in cores or in a supply that both share. Where too few are left, the receiver stops
and begins anew: every pulse ends, and what keeps a state stands as after a power cut, though the power never
was off.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from farpress.case.behaviour import after_power_return
from farpress.case.cabling import End
from farpress.case.case import Case, OutputAt
from farpress.case.circuit.arriving import arrival_in, works_on
from farpress.case.circuit.electrics import Electrics, electrics_of
from farpress.case.circuit.states import LOWEST, Moment
from farpress.case.driven import alarm, driven_of
from farpress.domain.finding import Finding, Link, Remedy, Stake
from farpress.domain.refs import DeviceRef, Ref, SupplyRef
from farpress.judging.check import AT_LEAST, Check, Estimate, Limit, no_edge
from farpress.judging.supply.asks import least_volts_of
from farpress.judging.supply.drop import DROP_DOUBT, DROP_SOURCES
from farpress.phrases import listed

__all__ = ["RESTARTED_BY_OTHERS", "judge_restarts"]

RESTARTED_BY_OTHERS: Final = Check(
    "SUP-16",
    Link.SUPPLY,
    (
        "Volts left for a receiver while something is on that it does not work itself, as a siren in an"
        " alarm, against the least it runs with: below, it begins anew, and its outputs with it."
    ),
    unit="V",
    bound=AT_LEAST,
    thin=no_edge("the least a receiver runs with is the end of a range; what is doubtful is the drop"),
    stake=Stake.PROMISE,
    ask="Find the lowest voltage the receiver runs with, on its label or data sheet.",
    mends="A pair of cores of its own for the receiver, or a supply or battery of its own for the load.",
)

LEAST_LOST: Final = 0.02
"""Share of the volts at rest that a load must take from a receiver to be told of at all; our choice."""


@dataclass(frozen=True)
class _Sag:
    """A moment in which a receiver has fewer volts than at rest, and who is on then."""

    moment: Moment
    who: tuple[str, ...]
    rest_v: float
    volts: float


def judge_restarts(case: Case, path: str, ends: tuple[End, ...]) -> Iterator[Finding]:
    """SUP-16 of every receiver on a supply from which something else takes volts."""
    electrics = electrics_of(case, SupplyRef(path).premises.path)
    outputs = tuple(case.outputs())
    for end in ends:
        if end.is_receiver:
            own = tuple(output for output in outputs if output.receiver_path == end.subjects[0].path)
            sag = _worst(electrics, SupplyRef(path).name, end, own)
            if sag is not None:
                yield _judged(case, path, end, own, sag, _draws_of(electrics, sag))


def _worst(electrics: Electrics, supply: str, end: End, own: tuple[OutputAt, ...]) -> _Sag | None:
    """The moment that takes most, of an alarm and of the presses for other receivers."""
    mine = {output.path for output in own}
    rest = arrival_in(electrics.in_moment(electrics.alone(supply, electrics.at_rest), LOWEST), supply, end)
    if rest is None or rest.volts is None:
        return None
    found: list[_Sag] = []
    for moment in electrics.moments:
        pressed = frozenset(electrics.presses.get(moment.function, ()))
        if moment.is_open or not (moment.alarm or (pressed and not pressed & mine)):
            continue
        state = electrics.alone(supply, Moment(moment.name, pressed, signals=False, alarm=moment.alarm))
        arrival = arrival_in(electrics.in_moment(state, LOWEST), supply, end)
        who = tuple(name for name in works_on(electrics, supply, state) if name != end.who)
        if arrival is None or not who:
            continue
        volts = max(arrival.volts or 0.0, 0.0)
        if rest.volts - volts >= LEAST_LOST * rest.volts:
            found.append(_Sag(state, who, rest.volts, volts))
    return min(found, key=lambda sag: sag.volts, default=None)


def _draws_of(electrics: Electrics, sag: _Sag) -> tuple[Ref, ...]:
    """The things that are on then, as refs."""
    subjects = (
        ref for draw in electrics.circuit.draws if draw.end.who in sag.who for ref in draw.end.subjects
    )
    return tuple(dict.fromkeys(ref for ref in subjects if isinstance(ref, DeviceRef)))


def _judged(
    case: Case, path: str, end: End, own: tuple[OutputAt, ...], sag: _Sag, others: tuple[Ref, ...]
) -> Finding:
    least, supply = end.minimum_v, SupplyRef(path)
    falls = least is not None and sag.volts < least
    needs = "" if least is None else f"; it needs {least:g} V"
    when = "in an alarm" if sag.moment.alarm else f"at '{sag.moment.name}'"
    verb = "is" if len(sag.who) == 1 else "are"
    return RESTARTED_BY_OTHERS.judge(
        about=f"{end.who} on {path} while others are on",
        subjects=(*end.subjects, *others, supply),
        cause=others[0] if others else supply,
        value=Estimate(sag.volts, DROP_DOUBT * (sag.rest_v - sag.volts)),
        limit=Limit(least, end.sources),
        says=f"{listed(sag.who)} {verb} on {when}: {end.who} gets {sag.volts:.2f} V then, and"
        f" {sag.rest_v:.2f} V at rest, with the supply at its lowest{needs}.",
        because=_what_follows(case, end, own, sag) if falls else "",
        asks=(least_volts_of(end),) if least is None else (),
        remedies=(
            Remedy(f"Give {end.who} a pair of cores of its own from the supply"),
            Remedy(f"A supply or a battery of its own for {listed(sag.who)}"),
        ),
        stake=Stake.HARM if any(_can_hurt(case, output) for output in own) else None,
        sources=DROP_SOURCES,
    )


def _what_follows(case: Case, end: End, own: tuple[OutputAt, ...], sag: _Sag) -> str:
    """Which output then stands how: the load, the volts, the receiver, what it works."""
    name = end.subjects[0].path.partition("/")[2]
    says = f"{name} stops below that, and begins anew when the volts are back."
    for output in own:
        works = listed(output.works) or f"output {output.number}"
        if output.output.traits.keeps_state:
            stands = {
                "off": "is off then, whatever it was",
                "on": "is on then, whatever it was",
                "as before": "stands as before once it runs again, and is off until then",
                "unknown": "stands as nobody can say",
            }[after_power_return(case, output)]
            says += f" {works} {stands}."
        elif output.output.contact == "normally closed":
            says += f" {works} falls back to its break contact."
        elif output.output.traits.wants_length:
            says += f" A pulse for {works} ends early."
    if any(alarm(driven) for output in own for driven in driven_of(case, output)):
        says += (
            f" As long as {listed(sag.who)} {'is' if len(sag.who) == 1 else 'are'} on, no fob unsets by it."
        )
    return says


def _can_hurt(case: Case, output: OutputAt) -> bool:
    """What keeps a state or rests closed, and locks, moves or runs."""
    rests = output.output.traits.keeps_state or output.output.contact == "normally closed"
    return rests and any(
        driven.traits.is_lock or driven.traits.starts_unseen for driven in driven_of(case, output)
    )
