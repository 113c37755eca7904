"""Whether receivers can hold a button plan: the same for every plan, so it is known before the search.

Why no plan needs less: everybody has each wanted function on exactly one press, and at one
site one press does one thing (both are hard rules of `layout`). So the presses a fob has at a
receiver are as many as the kinds of functions it has there, wherever they lie. A receiver
that counts fobs needs one record for each fob with anything there; one that counts buttons
one for each of those presses. Memory cannot make one plan better than another; it can only
say that too many people have rights there.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from itertools import combinations
from typing import Final, NamedTuple

from farpress.core.keys.layout_problem import Holders
from farpress.sources import Mark, cites

__all__ = ["Overfull", "overfull", "records_needed"]

MOST_WAYS: Final = 3
"""Smallest choices of groups that are listed at most; our choice."""

MOST_TRIED: Final = 20_000
"""Choices of groups that are looked at before we are content with the largest groups; our choice."""


class Overfull(NamedTuple):
    """A memory that is too small.

    Attributes:
        need: records wanted in all.
        smallest: the fewest groups that are too many together, by name, the largest first.
        ways: the fewest groups without whose rights the rest fits; the cheapest choices, each by name.
    """

    need: int
    smallest: tuple[str, ...]
    ways: tuple[tuple[str, ...], ...]


@cites(
    "each wanted function on one press, one function for one press at a site: presses do not depend on the"
    " plan",
    mark=Mark.COMPUTED,
)
def records_needed(
    *, groups: Sequence[Holders], reaches: Mapping[tuple[str, str, str], Iterable[str]], counts_buttons: bool
) -> dict[str, dict[str, int]]:
    """Receiver → group → records that the group's fobs take there, in whatever plan.

    Args:
        groups: who is to have what.
        reaches: (group, site, kind) → receivers that the kind is learned at.
        counts_buttons: whether a record is one button of a fob; else it is one fob.

    Example:
        Three fobs with two functions at one receiver:

        >>> from farpress.core.keys.layout_problem import Wanted
        >>> crew = Holders("crew", 3, (Wanted("a", "gate"), Wanted("a", "light")))
        >>> records_needed(
        ...     groups=[crew],
        ...     reaches={("crew", "a", "gate"): ["R1"], ("crew", "a", "light"): ["R1"]},
        ...     counts_buttons=True,
        ... )
        {'R1': {'crew': 6}}
    """
    found: dict[str, dict[str, int]] = {}
    for group in groups:
        for want in group.wanted:
            for receiver in dict.fromkeys(reaches.get((group.name, want.site, want.kind), ())):
                mine = found.setdefault(receiver, {})
                mine[group.name] = mine.get(group.name, 0) + group.fobs if counts_buttons else group.fobs
    return found


@cites(
    "smallest set of groups that exceeds a capacity, and smallest set without which the rest fits",
    mark=Mark.COMPUTED,
)
def overfull(*, needs: Mapping[str, int], room: int) -> Overfull | None:
    """The smallest contradiction between a memory and the rights there; None if all of it fits.

    The fewest groups that are too many are the largest ones: no other choice of as many needs
    more. So no choice of fewer is too many, and without any one of them the others fit.

    Args:
        needs: group → records.
        room: records that fit.

    Example:
        >>> overfull(needs={"drivers": 29, "shop": 18, "office": 4}, room=40)
        Overfull(need=51, smallest=('drivers', 'shop'), ways=(('shop',), ('drivers',)))
    """
    need = sum(needs.values())
    if need <= room:
        return None
    largest = sorted(needs, key=lambda group: (-needs[group], group))
    smallest: list[str] = []
    while sum(needs[group] for group in smallest) <= room:
        smallest.append(largest[len(smallest)])
    fewest = next(
        count
        for count in range(1, len(largest) + 1)
        if sum(needs[group] for group in largest[:count]) >= need - room
    )
    ways = []
    for tried, way in enumerate(combinations(largest, fewest)):
        if tried == MOST_TRIED:
            break
        if sum(needs[group] for group in way) >= need - room:
            ways.append(way)
    return Overfull(
        need,
        tuple(smallest),
        tuple(sorted(ways, key=lambda way: (sum(needs[group] for group in way), way))[:MOST_WAYS]),
    )
