"""Readings taken on site, beside the link they were taken on: levels, counted presses, steel housings."""

from __future__ import annotations

import functools
import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final, NamedTuple

import numpy as np

from farpress.case.case import Case
from farpress.core.proving.counted import counted_share
from farpress.core.reach.direct import PathLoss
from farpress.core.reach.press import Telegrams, press_margin_db
from farpress.core.reach.readings import Read, Spot
from farpress.core.reach.scene import PathEnd
from farpress.domain.job import Reading
from farpress.domain.premises import Aerial, Receiver
from farpress.reach.radio_budget import READING_SD_DB, RadioLink
from farpress.reach.radio_receiver import PLUGGED_M

__all__ = [
    "Against",
    "Placed",
    "ReadingAt",
    "aerial_read_with",
    "counted_text",
    "group_that_works",
    "level_against_count",
    "level_link",
    "level_read_dbm",
    "readings_at",
    "reads_of",
    "shielding_read_db",
    "spot_of",
]

SLIPS_SHARE: Final = 0.005
"""Of the presses counted on a free channel so many fail by the hand or the counting: our choice."""

_MOST_SPOILED: Final = 0.95
"""Of a channel more taken than this a count says nothing of the level: our choice."""

_ONE_SD_BELOW: Final = 0.1587
_ONE_SD_ABOVE: Final = 0.8413
"""Shares of a normal distribution below one standard deviation under and over its mean."""


class Placed(NamedTuple):
    """A reading of the job at one receiver, with its place as "premises/name"."""

    reading: Reading
    premises: str
    place: str


class Against(NamedTuple):
    """A level and a count of one reading: share of single presses that the level would let through, and the
    two-sided interval of 95 % of the share that was counted.
    """

    level_share: float
    low: float
    high: float

    @property
    def agree(self) -> bool:
        """Whether the count allows what the level says."""
        return self.low <= self.level_share <= self.high


@dataclass(frozen=True)
class ReadingAt:
    """A reading beside its prediction without readings [dBm], with the spread from place to place [dB].

    `read_dbm` is None where no level was read. `reads` is what the update takes: of a level and a count that
    contradict each other only the worse one.
    """

    reading: Reading
    place: str
    predicted_dbm: float
    read_dbm: float | None
    local_sd_db: float
    reads: tuple[Read, ...]
    against: Against | None = None


def readings_at(case: Case, premises: str, receiver: str) -> list[Placed]:
    """The readings of a receiver taken at places of its own premises, in the order of the job."""
    placed = []
    for reading in case.job.readings:
        location = case.place(reading.place, premises)
        if location is None or location[0] != premises or reading.otherwise:
            continue
        if reading.receiver in (receiver, f"{premises}/{receiver}"):
            placed.append(Placed(reading, premises, "/".join(location)))
    return placed


def shielding_read_db(case: Case, premises: str, receiver: str) -> list[float]:
    """Differences open less closed of readings taken at the same place in the same way [dB]."""
    levels: dict[tuple[str, str | None], dict[str, float]] = {}
    for reading, _, place in readings_at(case, premises, receiver):
        level = level_read_dbm(reading)
        if reading.housing is not None and level is not None and reading.aerial_at is None:
            levels.setdefault((place, reading.held), {})[reading.housing] = level
    return [pair["open"] - pair["closed"] for pair in levels.values() if len(pair) == 2]


def level_read_dbm(reading: Reading) -> float | None:
    """The level that was read, the pad in front of the receiver taken out [dBm]; None for counted presses."""
    return None if reading.level_dbm is None else reading.level_dbm + (reading.pad_db or 0.0)


def aerial_read_with(reading: Reading, box: Receiver) -> Aerial | None:
    """The drawn aerial that stands where a reading says its aerial stood; None where none does."""
    if reading.aerial_at is None:
        return None
    drawn = (*((box.antenna,) if box.antenna is not None else ()), *box.antenna_places)
    near = (aerial for aerial in drawn if math.dist(aerial.at[:2], reading.aerial_at[:2]) <= PLUGGED_M)
    return next(near, None)


def group_that_works(case: Case, premises: str, receiver: str) -> str | None:
    """The first group with a function of this receiver on a button; readings do not name theirs."""
    for name, group in case.job.groups.items():
        for function in case.job.functions_of(group):
            listed = case.job.functions.get(function)
            if listed is not None and any(
                path.startswith(f"{premises}/{receiver}/") for path in listed.paths
            ):
                return name
    return None


def reads_of(
    reading: Reading, link: RadioLink, fob: PathEnd, aerial: PathEnd
) -> tuple[tuple[Read, ...], Against | None]:
    """A reading as the update takes it, and its level against its count; nothing without a prediction.

    Level and count of one reading count together. Where they contradict each other they are not averaged:
    the one that says less counts until both were taken again.

    Args:
        reading: as it stands in the job.
        link: the link it was taken on, without any reading.
        fob, aerial: the two ends of that link.
    """
    if link.level_dbm is None or link.path is None:
        return (), None
    spot = spot_of(link.path, fob, aerial)
    level = level_read_dbm(reading)
    read = None if level is None else Read(spot, residual_db=level - link.level_dbm, sd_db=READING_SD_DB)
    count = _count_of(reading, link, spot)
    both = tuple(each for each in (read, count) if each is not None)
    against = level_against_count(reading, link) if read is not None and count is not None else None
    if against is None or against.agree:
        return both, against
    return both[1:] if against.level_share > against.high else both[:1], against


def _count_of(reading: Reading, link: RadioLink, spot: Spot) -> Read | None:
    if reading.heard is None or not reading.of or link.margin_db is None:
        return None
    half, slope = _half_heard_db(link.press_sd_db, link.strongest_share, link.telegrams)
    return Read(
        spot,
        heard=min(reading.heard, reading.of),
        tried=reading.of,
        margin_db=link.margin_db - (reading.pad_db or 0.0) - half,
        slope_db=float(np.hypot(slope, READING_SD_DB)),
        spoiled_share=min(max(1.0 - link.clear_share, SLIPS_SHARE), _MOST_SPOILED),
    )


def level_against_count(reading: Reading, link: RadioLink) -> Against | None:
    """What a level lets through against what was counted with it; None where one of them is missing.

    Args:
        reading: with both.
        link: the link it was taken on, without any reading.
    """
    share = None if reading.level_dbm is None else level_link(link, reading.level_dbm).share(1)
    if share is None or reading.heard is None or not reading.of:
        return None
    found = counted_share(heard=min(reading.heard, reading.of), tried=reading.of, presses=1)
    return Against(share, found.low, found.high)


def level_link(link: RadioLink, level_dbm: float) -> RadioLink:
    """A link with the level that was read in place of the one predicted, and the doubt of a reading."""
    return replace(link, level_dbm=level_dbm, offset_sd_db=READING_SD_DB, place_sd_db=0.0)


@functools.lru_cache(maxsize=256)
def _half_heard_db(press_sd_db: float, strongest_share: float, telegrams: Telegrams) -> tuple[float, float]:
    """Margin at which half of the presses are heard, and decibels for one standard deviation of it [dB]."""
    low, half, high = (
        press_margin_db(
            share=share, press_sd_db=press_sd_db, strongest_share=strongest_share, telegrams=telegrams
        )
        for share in (_ONE_SD_BELOW, 0.5, _ONE_SD_ABOVE)
    )
    return half, (high - low) / 2.0


def counted_text(reads: Sequence[Read]) -> str:
    """What a correction rests on: levels read and presses counted.

    >>> kitchen = Spot((10.0, 27.0, 1.2), (17.5, 23.0, 2.6), 5.0)
    >>> counted_text([Read(kitchen, residual_db=-6.0), Read(kitchen, heard=7, tried=8)])
    '1 reading and 8 presses'
    """
    levels = sum(read.residual_db is not None for read in reads)
    presses = sum(read.tried for read in reads)
    words = []
    if levels:
        words.append(f"{levels} {'reading' if levels == 1 else 'readings'}")
    if presses:
        words.append(f"{presses} {'press' if presses == 1 else 'presses'}")
    return " and ".join(words)


def spot_of(path: PathLoss, fob: PathEnd, aerial: PathEnd) -> Spot:
    """A way as the update by readings sees it: its ends, its scatter, the kinds of wall in it."""
    scatter = float(np.sqrt(max(path.local_sd_db**2 - path.wall_sd_db**2, 0.0)))
    given = float(np.sqrt(sum(term.sd_db**2 for term in path.terms)))
    scale = path.wall_sd_db / given if given > 0.0 else 0.0
    walls: dict[str, float] = {}
    for term in path.terms:
        if term.sd_db > 0.0:
            name = term.build or term.says
            walls[name] = walls.get(name, 0.0) + term.sd_db * scale
    length = float(np.sqrt(sum(sd**2 for sd in walls.values())))
    weighted: tuple[tuple[str, float], ...] = ()
    if length > 0.0:
        weighted = tuple((name, sd * (path.wall_sd_db / length)) for name, sd in walls.items())
    return Spot(fob.at_m, aerial.at_m, scatter, weighted)
