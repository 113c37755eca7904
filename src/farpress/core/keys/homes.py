"""The home button of every kind, exactly: once these are fixed, each site of each group stands alone.

For each site all placements are listed, the cheapest for every choice of buttons is kept,
and leaving a home is paid kind by kind; the tables of all sites are added up over all
choices of homes. No search: the least entry is the optimum. Only for so many kinds and
buttons as fit into memory; beyond, the search in `layout` stands alone.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations
from typing import TYPE_CHECKING, Final, NamedTuple

from farpress.sources import Mark, cites

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from farpress.core.keys.layout_problem import Costs, Holders, Rules, Wanted

__all__ = ["Homes", "best_homes"]

MOST_CHOICES: Final = 5_000_000
"""Choices of homes that are looked at; a table of them takes 40 MB."""

MOST_PLACEMENTS: Final = 60_000
"""Placements of one site that are listed."""

MOST_TYPES: Final = 4
"""Fob types of which every selection is tried."""

MOST_KEPT: Final = 20_000
"""Entries of a group's table up to which it is kept for the next selection of types."""

NEVER: Final = 1 << 40
"""Cost of what is not allowed."""


class Homes(NamedTuple):
    """Button of each kind, the cost in hundredths, the fob types that are worth having; `cost` is None if
    nothing is allowed.
    """

    home: dict[str, int]
    cost: int | None
    types: tuple[str, ...] = ()


@cites(
    "dynamic programming: minimum over placements, site by site, for every choice of homes",
    mark=Mark.COMPUTED,
)
def best_homes(*, groups: Sequence[Holders], rules: Rules, costs: Costs, scale: int) -> Homes | None:
    """The best homes and the least cost; None if there are too many choices to look at all.

    Args:
        groups: who is to have what.
        rules: what always holds.
        costs: weights.
        scale: whole numbers for one unit of cost.
    """
    import numpy as np

    kinds = sorted({want.kind for group in groups for want in group.wanted})
    most = max(rules.types.values())
    if most ** len(kinds) > MOST_CHOICES or len(rules.types) > MOST_TYPES:
        return None
    best: Homes | None = None
    tables: dict[tuple[int, bool, int], NDArray[np.int64]] = {}
    for size in range(1, len(rules.types) + 1):
        for chosen in combinations(sorted(rules.types), size):
            total = np.full((most,) * len(kinds), size * round(scale * costs.type), dtype=np.int64)
            for number, group in enumerate(groups):
                mine = [name for name in chosen if not group.types or name in group.types]
                # another type than today's is learned anew whatever lies where
                ways = {(group.type_today in ("", name), rules.types[name]) for name in mine}
                options = sorted(ways) or [(True, 0)]
                found = []
                for way in options:
                    table = tables.get((number, *way))
                    if table is None:
                        table = _group(group, rules, costs, scale, way[1], most, kinds, keeps=way[0])
                        if table is None:
                            return None
                        if table.size <= MOST_KEPT:
                            tables[number, *way] = table
                    found.append(table)
                total += np.minimum.reduce(found)
            least = int(total.argmin())
            cost = int(total.flat[least])
            if best is None or best.cost is None or cost < best.cost:
                homes = np.unravel_index(least, total.shape)
                best = Homes(
                    {kind: int(index) + 1 for kind, index in zip(kinds, homes)},
                    cost if cost < NEVER else None,
                    chosen,
                )
    return best


def _group(
    group: Holders,
    rules: Rules,
    costs: Costs,
    scale: int,
    buttons: int,
    most: int,
    kinds: list[str],
    *,
    keeps: bool,
) -> NDArray[np.int64] | None:
    """Cost of one group for every choice of homes; with a fob of another type than today's everything is
    learned anew.
    """
    import numpy as np

    sites: dict[str, list[Wanted]] = {}
    for want in group.wanted:
        sites.setdefault(want.site, []).append(want)
    anew = 0
    if not keeps:
        anew = sum(want.receivers for want in group.wanted if want.today is not None) * round(
            scale * costs.relearn * group.fobs
        )
        sites = {site: [want._replace(today=None) for want in wanted] for site, wanted in sites.items()}
    alone = sorted({want.kind for want in group.wanted if want.kind in rules.alone})
    if not alone:
        # each site for itself
        total = np.full((1,) * len(kinds), anew, dtype=np.int64)
        for wanted in sites.values():
            table = _site(group, wanted, rules, costs, scale, buttons, most, kinds, {})
            if table is None:
                return None
            total = total + table
        return total
    if len(alone) > 1:
        return None
    # its kind lies on one button of its own at every site or at none: also where sites place it differently,
    # no other may lie there
    choices = []
    for taken in range(1, 1 << buttons):
        own = {alone[0]: taken}
        total = np.full((1,) * len(kinds), anew, dtype=np.int64)
        for wanted in sites.values():
            table = _site(group, wanted, rules, costs, scale, buttons, most, kinds, own)
            if table is None:
                return None
            total = total + table
        choices.append(total)
    return np.minimum.reduce(choices) if choices else np.full((1,) * len(kinds), NEVER, dtype=np.int64)


def _site(
    group: Holders,
    wanted: list[Wanted],
    rules: Rules,
    costs: Costs,
    scale: int,
    buttons: int,
    most: int,
    kinds: list[str],
    own: dict[str, int],
) -> NDArray[np.int64] | None:
    """Cheapest placement for every choice of buttons, then of homes; the axes of other kinds have length
    1.
    """
    import numpy as np

    order = sorted(wanted, key=lambda want: kinds.index(want.kind))
    table = np.full((most,) * len(order), NEVER, dtype=np.int64)
    spots = [
        [
            (b, long)
            for b in range(1, buttons + 1)
            for long in (False, True)
            if _allowed(group, want, rules, b, long, own)
        ]
        for want in order
    ]
    count = 1
    for free in spots:
        count *= max(len(free), 1)
    if count > MOST_PLACEMENTS * 40:
        return None
    placed: list[tuple[int, bool]] = []

    def place(number: int, cost: int) -> None:
        if number == len(order):
            used = [b for b, _ in placed]
            shared = len(used) - len(set(used))
            needless = shared - max(len(used) - buttons, 0)
            full = cost + round(scale * costs.share * group.fobs) * shared
            full += round(scale * costs.spare * group.fobs) * needless
            key = tuple(b - 1 for b in used)
            if full < table[key]:
                table[key] = full
            return
        want = order[number]
        for spot in spots[number]:
            if spot in placed:
                continue
            more = 0
            for other, (b, _) in zip(order, placed):
                pairs = ((want.kind, other.kind) in rules.apart) + ((other.kind, want.kind) in rules.apart)
                if pairs and b == spot[0]:
                    break
                if pairs and abs(b - spot[0]) == 1:
                    more += pairs * round(scale * costs.near * group.fobs)
            else:
                if spot[1] and want.kind not in rules.only_long:
                    more += round(scale * costs.long * want.use * group.fobs)
                if want.today is not None and want.today != spot:
                    more += want.receivers * round(scale * costs.relearn * group.fobs)
                placed.append(spot)
                place(number + 1, cost + more)
                placed.pop()

    place(0, 0)
    for axis, want in enumerate(order):
        away = round(scale * costs.elsewhere * want.use * group.fobs)
        table = np.minimum(table, table.min(axis=axis, keepdims=True) + away)
    shape = [1] * len(kinds)
    for want in order:
        shape[kinds.index(want.kind)] = most
    return np.minimum(table, NEVER).reshape(shape)


def _allowed(
    group: Holders, want: Wanted, rules: Rules, button: int, long: bool, own: dict[str, int]
) -> bool:
    if (
        want.kind in group.barred
        or (long and want.kind in rules.never_long)
        or (not long and want.kind in rules.only_long)
    ):
        return False
    return all((taken >> (button - 1) & 1 == 1) == (want.kind == kind) for kind, taken in own.items())
