"""The shortest round to delete a lost fob everywhere: driving only, by trying all orders.

For a handful of premises; which of two rounds removes the worse rights sooner is another
question than which is shorter.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import pairwise, permutations
from typing import Final, NamedTuple

from farpress.errors import InputError, require_range
from farpress.sources import Mark, cites

__all__ = ["MOST_SITES", "Round", "shortest_round"]

MOST_SITES: Final = 9
"""All orders of more sites take too long to try; our choice."""


class Round(NamedTuple):
    """A round trip: sites in order, the first one again at its end, and its driving time [s]."""

    sites: tuple[str, ...]
    drive_s: float


@cites("every order of the sites tried", mark=Mark.COMPUTED)
def shortest_round(*, sites: Sequence[str], drive_s: Mapping[frozenset[str], float]) -> Round:
    """The shortest round trip through all sites, from the first one and back.

    Args:
        sites: names, the start first, at most nine.
        drive_s: pair of names → driving time, the same in both directions [s].

    Raises:
        InputError: no site, a name twice, more than nine, or a road missing.
        OutOfRange: a driving time that is negative.

    Example:
        >>> roads = {frozenset("AB"): 10.0, frozenset("BC"): 20.0, frozenset("AC"): 15.0}
        >>> shortest_round(sites=["A", "B", "C"], drive_s=roads)
        Round(sites=('A', 'B', 'C', 'A'), drive_s=45.0)
    """
    if not sites or len(set(sites)) != len(sites) or len(sites) > MOST_SITES:
        raise InputError(
            f"{len(sites)} sites were given; between one and {MOST_SITES} different ones are wanted"
        )
    missing = [
        f"{a} and {b}"
        for i, a in enumerate(sites)
        for b in sites[i + 1 :]
        if frozenset((a, b)) not in drive_s
    ]
    if missing:
        raise InputError(f"the driving time between {'; '.join(missing)} is missing; give it")
    if len(sites) > 1:
        require_range(
            "drive_s",
            [drive_s[frozenset((a, b))] for i, a in enumerate(sites) for b in sites[i + 1 :]],
            "s",
            low=0.0,
            because="a time is not negative",
        )
    rounds = (Round((sites[0], *order, sites[0]), 0.0) for order in permutations(sites[1:]))
    timed = (
        Round(
            trip.sites, sum(drive_s[frozenset(pair)] for pair in pairwise(trip.sites) if pair[0] != pair[1])
        )
        for trip in rounds
    )
    return min(timed, key=lambda trip: (trip.drive_s, trip.sites))
