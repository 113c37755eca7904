"""What stands in the way at times: doors open or shut, vehicles and boats that come and go.

A promise is kept as things stand while somebody presses, and nobody says how they do. So a link is computed
for the ways in which they can stand, and the weakest counts.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import product
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from farpress.core.reach.direct import PathLoss
from farpress.core.reach.ways import Ways
from farpress.domain.premises import Opening, Premises
from farpress.phrases import listed

__all__ = ["MOST_TRIED", "Arrangement", "arrangements", "weakest_path", "weakest_ways"]

MOST_TRIED: Final = 3
"""So many things that move are tried in every combination, eight; of more, all at once, none, and each by
itself: our choice, as few of them lie near one way."""

SAME_DB: Final = 0.5
"""Ways that differ by less are told as one: our choice, less than anything here is known to."""


@dataclass(frozen=True)
class Arrangement:
    """One way in which what moves at an address can stand.

    Attributes:
        says: how, in words; empty where nothing moves.
        opened: doors that stand open: number of the wall, number of the opening in it, both from 1.
        away: numbers of the steel objects that are not there, from 1.
    """

    says: str = ""
    opened: frozenset[tuple[int, int]] = frozenset()
    away: frozenset[int] = frozenset()

    def filling(self, wall: int, number: int, opening: Opening) -> str | None:
        """Build of what fills an opening; None where it is open."""
        is_open = opening.when_pressed == "open" or (wall, number) in self.opened
        return None if is_open else opening.build


class _Mover(NamedTuple):
    """A thing that moves: how it stands as drawn and otherwise, in words, and what it then is."""

    drawn: str
    otherwise: str
    opens: frozenset[tuple[int, int]] = frozenset()
    goes: frozenset[int] = frozenset()


def arrangements(house: Premises) -> tuple[Arrangement, ...]:
    """The ways in which things can stand; the first has every door shut and everything there."""
    movers = [*_doors(house), *_comers(house)]
    if not movers:
        return (Arrangement(),)
    return tuple(
        Arrangement(
            listed([mover.otherwise if moved else mover.drawn for mover, moved in pick]),
            frozenset().union(*(mover.opens for mover, moved in pick if moved)),
            frozenset().union(*(mover.goes for mover, moved in pick if moved)),
        )
        for pick in (tuple(zip(movers, moved, strict=True)) for moved in _picks(len(movers)))
    )


def _picks(count: int) -> Iterable[tuple[bool, ...]]:
    """Which of so many things have moved: none and all first."""
    yield (False,) * count
    yield (True,) * count
    if count <= MOST_TRIED:
        yield from (pick for pick in product((False, True), repeat=count) if len(set(pick)) > 1)
        return
    for number in range(count):
        yield tuple(place == number for place in range(count))
        yield tuple(place != number for place in range(count))


def _doors(house: Premises) -> Iterable[_Mover]:
    for wall, drawn in enumerate(house.walls, start=1):
        for number, opening in enumerate(drawn.openings, start=1):
            if opening.when_pressed == "open or shut":
                name = f"the {opening.build or 'opening'} in wall {wall}"
                yield _Mover(f"{name} shut", f"{name} open", opens=frozenset({(wall, number)}))


def _comers(house: Premises) -> Iterable[_Mover]:
    for number, steel in enumerate(house.steel, start=1):
        if steel.comes_and_goes:
            name = steel.says or f"steel {number}"
            yield _Mover(f"{name} there", f"{name} away", goes=frozenset({number}))


def weakest_path(stands: Sequence[Arrangement], path_in: Callable[[int], PathLoss]) -> PathLoss:
    """The way as things stand worst for it, with a note that says how, and how much better it can be.

    Args:
        stands: the ways in which things can stand.
        path_in: number of one of them → the way then.
    """
    if len(stands) == 1:
        return path_in(0)
    found = [path_in(number) for number in range(len(stands))]
    worst = max(range(len(found)), key=lambda number: found[number].loss_db)
    better = found[worst].loss_db - min(path.loss_db for path in found)
    if better < SAME_DB:
        return found[worst]
    says = f"computed with {stands[worst].says}, when it is weakest; up to {better:.0f} dB more otherwise"
    return replace(found[worst], notes=(*found[worst].notes, says))


def weakest_ways(every: Sequence[Ways]) -> Ways:
    """At each point the ways of the scene in which it gets least."""
    if len(every) == 1:
        return every[0]
    worst = np.argmax(np.stack([ways.loss_db for ways in every]), axis=0)

    def taken(arrays: Sequence[NDArray[np.float64]]) -> NDArray[np.float64]:
        return np.asarray(np.take_along_axis(np.stack(arrays), worst[None, :], axis=0)[0], np.float64)

    kinds = dict.fromkeys(kind for ways in every for kind in ways.shares)
    nothing = np.zeros_like(every[0].loss_db)
    return Ways(
        **{name: taken([getattr(ways, name) for ways in every]) for name in Ways._fields if name != "shares"},
        shares={kind: taken([ways.shares.get(kind, nothing) for ways in every]) for kind in kinds},
    )
