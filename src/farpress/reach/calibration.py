"""Readings on site put to use: what they moved, and which one to take next."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from farpress.case.case import Case, promise_id
from farpress.core.reach.readings import Spot, information_bits
from farpress.errors import InputError
from farpress.reach.ask import group_for
from farpress.reach.radio_budget import READING_SD_DB
from farpress.reach.radio_link import Radio, radio_of
from farpress.reach.radio_readings import spot_of
from farpress.reach.radio_scene import place_end

__all__ = ["LearnedCorrection", "Proposal", "learned", "next_readings"]

_LEAST_WEIGHT: Final = 0.05
"""A promise that is as good as certain still counts a little: our choice."""


@dataclass(frozen=True)
class Proposal:
    """A place where a reading is worth its walk.

    Attributes:
        place: "premises/name".
        bits: information about everything that must work, each promise by how undecided it is.
        promise: the one it tells most about.
        sd_before_db, sd_after_db: doubt of that promise's level before and after [dB].
    """

    place: str
    bits: float
    promise: str
    sd_before_db: float
    sd_after_db: float


@dataclass(frozen=True)
class LearnedCorrection:
    """What the readings at a receiver have moved.

    Attributes:
        count: readings used.
        offset_db, offset_sd_db: of the whole receiver [dB].
        walls: kind of wall → standard deviations its loss moved, and what is left of one.
    """

    count: int
    offset_db: float
    offset_sd_db: float
    walls: dict[str, tuple[float, float]]


def learned(case: Case, premises: str, receiver: str, *, radio: Radio | None = None) -> LearnedCorrection:
    """What the readings at a receiver have moved.

    Args:
        case: the job.
        premises, receiver: which.
        radio: of the same case, to keep what it has computed.
    """
    radio = radio or radio_of(case)
    known = radio.updated(premises, receiver)
    offset, sd = known.offset_db()
    return LearnedCorrection(len(radio.readings(premises, receiver)), offset, sd, known.wall_moves())


def next_readings(
    case: Case, premises: str, receiver: str, *, radio: Radio | None = None
) -> tuple[Proposal, ...]:
    """Places by what a level read there would tell about the promises that must be kept, the best first.

    Ranked by information about what must work, never by how uncertain the place itself is; a
    promise whose chance is near even counts most.

    Args:
        case: the job.
        premises, receiver: which.
        radio: of the same case, to keep what it has computed.

    Raises:
        InputError: an unknown receiver.
    """
    if premises not in case.job.premises or receiver not in case.job.premises[premises].receivers:
        raise InputError(f"There is no receiver '{premises}/{receiver}' in this job.")
    radio = radio or radio_of(case)
    known, house = radio.updated(premises, receiver), case.job.premises[premises]
    targets: list[tuple[str, Spot, float]] = []
    for promise in case.job.promises:
        location = case.place(promise.from_, premises)
        if promise.importance != "must" or location is None or location[0] != premises:
            continue
        if not any(
            output.receiver_path == f"{premises}/{receiver}" for output in case.outputs_of(promise.function)
        ):
            continue
        spot, share = _spot(radio, premises, receiver, location[1], promise.to, int(promise.within_presses))
        if spot is not None and share is not None:
            targets.append((promise_id(promise), spot, max(4.0 * share * (1.0 - share), _LEAST_WEIGHT)))
    if not targets:
        return ()
    group = group_for(case, premises, receiver)
    found = []
    for name in house.places:
        read, _ = _spot(radio, premises, receiver, name, group, 1)
        if read is None:
            continue
        told = [
            (information_bits(known=known, about=spot, read=read, sd_db=READING_SD_DB), weight, promise)
            for promise, spot, weight in targets
        ]
        (_, before, after), _, promise_name = max(told, key=lambda told_of: told_of[0][0] * told_of[1])
        found.append(
            Proposal(
                f"{premises}/{name}",
                sum(bits[0] * weight for bits, weight, _ in told),
                promise_name,
                before,
                after,
            )
        )
    return tuple(sorted(found, key=lambda proposal: -proposal.bits))


def _spot(
    radio: Radio, premises: str, receiver: str, name: str, group: str, presses: int
) -> tuple[Spot | None, float | None]:
    house = radio.case.job.premises[premises]
    place = house.places[name]
    listening = radio.aerial(premises, receiver)
    link = radio.link(
        group=group, premises=premises, receiver=receiver, place=place, place_path=f"{premises}/{name}"
    )
    if link.path is None or listening.end is None:
        return None, None
    return spot_of(link.path, place_end(house, place, place.pressed), listening.end), link.share(presses)
