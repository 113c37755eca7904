"""Judges one button that is learned at two receivers for two places: where both hear it, it works both."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations
from typing import Final

from farpress.case.access import SinglePress, opens, single_presses, unsets
from farpress.case.case import Case, OutputAt
from farpress.case.driven import driven_of, moves
from farpress.domain.finding import Ask, Finding, Link, Remedy, Stake, Who
from farpress.domain.premises import Place
from farpress.domain.refs import FunctionRef, GroupRef, ReceiverRef
from farpress.judging.check import AT_MOST, Check, Estimate, Limit
from farpress.reach.radio_link import Radio, radio_of
from farpress.sources import Citation, Mark

__all__ = ["HEARD_BY_BOTH", "judge"]

MOST_BOTH: Final = 5.0
"""Share of presses that both may hear, at the worst spot; our choice [%]."""

HEARD_BY_BOTH: Final = Check(
    "AIR-10",
    Link.AIR,
    "One button for two places: share of presses that both receivers hear, at the spot where that is worst.",
    unit="%",
    bound=AT_MOST,
    limit=Limit(MOST_BOTH, (Citation(f"at most {MOST_BOTH:g} % at the worst spot", mark=Mark.CHOICE),)),
    stake=Stake.HARM,
    ask="Draw both on one plan, or say how far apart they lie.",
    who=Who.INSTALLER,
    minutes=5.0,
    mends="Another button for each place.",
)

NEAR_S: Final = 300.0
"""Premises further apart by car than this are out of each other's reach: our choice."""

STEPS: Final = (0.25, 0.5, 0.75)
"""Spots tried on the line between two receivers, as shares of it; beside them the places of the plan."""

HAND_M: Final = 1.2


@dataclass(frozen=True)
class _Spot:
    """Where both hear: how, in words, and the share of each [%]."""

    says: str
    first: float
    other: float
    doubt: float
    is_named: bool

    @property
    def both(self) -> float:
        """Share that both hear, the two taken as independent [%]."""
        return self.first * self.other / 100.0


def judge(case: Case) -> Iterator[Finding]:
    """AIR-10 of each button whose functions at two receivers are promised from no common place."""
    for press in single_presses(case):
        if press.group is None:
            continue
        outputs: dict[str, OutputAt] = {}
        for name in press.functions:
            for output in case.outputs_of(name):
                known = outputs.get(output.receiver_path)
                if known is None or (_matters(case, output) and not _matters(case, known)):
                    outputs[output.receiver_path] = output
        for first, other in combinations(outputs.values(), 2):
            if _are_meant_together(case, press, first, other):
                continue
            grave = [output for output in (first, other) if _matters(case, output)]
            if len(grave) == 2:
                yield from _judged(
                    case, press, first, other, tuple(_spots(radio_of(case), case, first, other))
                )
            elif grave:
                blind = tuple(_blind(case, press, grave[0], other if grave[0] is first else first))
                yield from _judged(case, press, first, other, blind) if blind else ()


def _matters(case: Case, output: OutputAt) -> bool:
    """Whether what a press does there unseen can hurt, or let somebody in; a lamp may go on."""
    return any(
        moves(driven) or opens(driven) or unsets(case, output, driven) or bool(driven.traits.hurts)
        for driven in driven_of(case, output)
    )


def _are_meant_together(case: Case, press: SinglePress, first: OutputAt, other: OutputAt) -> bool:
    """Whether both are promised to the group from one place: then the press is to do both."""

    def places(output: OutputAt) -> set[tuple[str, str] | None]:
        return {
            case.place(promise.from_, output.premises)
            for promise in case.job.promises
            if promise.to == press.group
            and promise.function in press.functions
            and promise.function in output.functions
        }

    return bool((places(first) & places(other)) - {None})


def _blind(
    case: Case, press: SinglePress, grave: OutputAt, harmless: OutputAt
) -> Iterator[tuple[str, Place]]:
    """Where the harmless of the two is promised to the group and the other is not seen: there nobody thinks
    of it.
    """
    things = {name for driven in driven_of(case, grave) for name in (driven.path, driven.path.split("/")[1])}
    for promise in case.job.promises:
        if promise.to != press.group or promise.function not in press.functions:
            continue
        where = case.place(promise.from_, harmless.premises)
        if where is None or promise.function not in harmless.functions:
            continue
        place = case.job.premises[where[0]].places[where[1]]
        if not things & set(place.sees):
            yield f"from {where[1]}", place


def _judged(
    case: Case, press: SinglePress, first: OutputAt, other: OutputAt, spots: tuple[tuple[str, Place], ...]
) -> Iterator[Finding]:
    does = f"{_does(first)} at {first.receiver_path} and {_does(other)} at {other.receiver_path}"
    about = f"{press.name}: {first.receiver_path} and {other.receiver_path}"
    subjects = (
        GroupRef(press.group or ""),
        *(FunctionRef(name) for name in press.functions),
        ReceiverRef(first.receiver_path),
        ReceiverRef(other.receiver_path),
    )
    if not case.is_one_plan(first.premises, other.premises):
        if not _is_far(case, first.premises, other.premises):
            yield HEARD_BY_BOTH.judge(
                about=about,
                subjects=subjects,
                cause=GroupRef(press.group or ""),
                value=Estimate(None),
                says=f"{press.name} works {does}; whether both hear it from one spot is not known.",
                asks=(
                    Ask(
                        f"Say how long the way from {first.premises} to {other.premises} takes ('roads'), or"
                        " that they are drawn on one plan ('on_plan_of').",
                        Who.INSTALLER,
                        2.0,
                    ),
                ),
            )
        return
    spot = _worst(radio_of(case), case, press.group or "", (first, other), spots)
    if spot is None:
        yield HEARD_BY_BOTH.judge(
            about=about,
            subjects=subjects,
            cause=GroupRef(press.group or ""),
            value=Estimate(None),
            says=f"{press.name} works {does}; whether both hear it from one spot cannot be computed yet.",
            asks=(
                Ask(
                    f"Give what the ways to {first.receiver_path} and {other.receiver_path} still lack:"
                    " places, aerials and the data sheet of the fob.",
                    Who.INSTALLER,
                    5.0,
                ),
            ),
        )
        return
    yield HEARD_BY_BOTH.judge(
        about=about,
        subjects=subjects,
        cause=GroupRef(press.group or ""),
        value=Estimate(spot.both, spot.doubt),
        says=f"{press.name} works {does}: {spot.says} {first.receiver} hears {spot.first:.0f} % of presses"
        f" and {other.receiver} {spot.other:.0f} %, so that one press works both.",
        because="Whoever presses for the one does not see the other. A better aerial at either makes it"
        " surer:"
        " the buttons first.",
        remedies=(Remedy("Another button for each place"), Remedy("A fob of its own for each place")),
    )


def _does(output: OutputAt) -> str:
    return output.works[0] if output.works else f"output {output.number}"


def _is_far(case: Case, first: str, other: str) -> bool:
    return any(set(road.between) == {first, other} and road.takes_s >= NEAR_S for road in case.job.roads)


def _worst(
    radio: Radio,
    case: Case,
    group: str,
    outputs: tuple[OutputAt, OutputAt],
    spots: tuple[tuple[str, Place], ...],
) -> _Spot | None:
    """The spot where most presses are heard by both, a place of the plan before one between the receivers;
    None where a way cannot be computed.
    """
    found = []
    named = [place for house in case.job.premises.values() for place in house.places.values()]
    for says, place in spots:
        shares, doubts = [], []
        for output in outputs:
            link = radio.link(
                group=group,
                premises=output.premises,
                receiver=output.receiver,
                place=place,
                place_path=f"{output.premises}/spot",
                pressed="in hand",
                there=(),
            )
            share = link.share(1)
            if share is None:
                return None
            shares.append(100.0 * share)
            doubts.append(100.0 * (link.doubt(1) or 0.0))
        found.append(_Spot(says, shares[0], shares[1], max(doubts), place in named))
    return max(found, key=lambda spot: (spot.is_named and spot.both > MOST_BOTH, spot.both), default=None)


def _spots(radio: Radio, case: Case, first: OutputAt, other: OutputAt) -> Iterator[tuple[str, Place]]:
    ends = [radio.aerial(output.premises, output.receiver).end for output in (first, other)]
    if ends[0] is not None and ends[1] is not None:
        (x1, y1, _), (x2, y2, _) = ends[0].at_m, ends[1].at_m
        for share in STEPS:
            x, y = x1 + share * (x2 - x1), y1 + share * (y2 - y1)
            yield f"at ({x:.0f}, {y:.0f})", Place.model_validate({"at": (x, y, HAND_M)})
    for premises in dict.fromkeys((first.premises, other.premises)):
        for name, place in case.job.premises[premises].places.items():
            if place.level is None:
                yield f"from {name}", place
