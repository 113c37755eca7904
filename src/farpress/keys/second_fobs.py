"""Groups whose functions do not fit on one fob: what goes on a second one, a third where it must be.

What belongs together stays on one fob, as up and down of one shutter. Else as little as can be goes on the
further one: the fewest kinds of functions, a call for help before others, then those pressed least.
"""

from __future__ import annotations

from collections.abc import Container
from itertools import combinations
from typing import Final

from farpress.core.keys.conflicts import is_possible
from farpress.core.keys.layout_problem import Holders, Rules

__all__ = ["on_several_fobs"]

MOST_FOBS: Final = 3
"""Fobs of one person; our choice, nobody carries more."""

MOST_KINDS: Final = 12
"""Kinds of functions up to which every way to part them is looked at."""

TOGETHER: Final = (("up", "down"), ("open", "close", "stop"), ("set", "unset", "part set"))
"""Kinds that work one thing, and lie on one fob where they can."""


def on_several_fobs(group: Holders, rules: Rules, taken: Container[str]) -> tuple[Holders, ...]:
    """The fobs of a group, the one it has first; the group alone where one will do, nothing where none helps.

    Args:
        group: who is to have what.
        rules: what always holds.
        taken: names that cannot be given to a further fob.

    Example:
        Three short functions on fobs with two buttons:

        >>> from farpress.core.keys.layout_problem import Wanted
        >>> three = Holders(
        ...     "crew", 4, tuple(Wanted("a", kind, use) for kind, use in (("up", 3), ("down", 2)))
        ... )
        >>> for fob in on_several_fobs(three, Rules({"one": 1}, frozenset(("up", "down"))), ()):
        ...     print(fob.name, [want.kind for want in fob.wanted])
        crew ['up']
        crew 2 ['down']
    """
    fobs: list[Holders] = []
    left = group
    for number in range(2, MOST_FOBS + 2):
        if is_possible(group=left, rules=rules):
            return (*fobs, left)
        parted = _parted(left, rules)
        if parted is None:
            return ()
        here, rest = parted
        name = next(name for more in range(number, 1000) if (name := f"{group.name} {more}") not in taken)
        fobs.append(here)
        left = rest._replace(name=name, type_today="")
    return ()


def _parted(group: Holders, rules: Rules) -> tuple[Holders, Holders] | None:
    """What stays on the fob, and what does not fit; None where nothing can stay."""
    uses: dict[str, float] = {}
    for want in group.wanted:
        uses[want.kind] = uses.get(want.kind, 0.0) + want.use
    if len(uses) > MOST_KINDS:
        return None

    def worth(gone: tuple[str, ...]) -> tuple[object, ...]:
        torn = {_thing(kind) for kind in gone} & {_thing(kind) for kind in uses if kind not in gone}
        others = sum(kind not in rules.alone for kind in gone)
        return len(torn), len(gone), others, sum(uses[kind] for kind in gone), gone

    choices = [gone for count in range(1, len(uses)) for gone in combinations(sorted(uses), count)]
    for gone in sorted(choices, key=worth):
        stays = group._replace(wanted=tuple(want for want in group.wanted if want.kind not in gone))
        if is_possible(group=stays, rules=rules):
            moved = tuple(want._replace(today=None) for want in group.wanted if want.kind in gone)
            return stays, group._replace(wanted=moved)
    return None


def _thing(kind: str) -> tuple[str, str]:
    """The thing that a kind works: of "down 2" and "up 2" the same, "light" is one of its own."""
    base = kind.rstrip("0123456789").rstrip()
    for together in TOGETHER:
        if base in together:
            return together[0], kind.removeprefix(base)
    return kind, ""
