"""What a plan of buttons is asked for, and what it is: groups, rules, weights, where each function lies.

See `layout` for how the best plan is found.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Final, NamedTuple

__all__ = [
    "MOST_BUTTONS",
    "SCALE",
    "USUAL",
    "Costs",
    "Holders",
    "Layout",
    "PlacedFunction",
    "Rules",
    "Wanted",
]

MOST_BUTTONS: Final = 16
"""More buttons than any fob of the catalogue has."""

SCALE: Final = 100
"""Costs are whole numbers of hundredths inside."""


class Wanted(NamedTuple):
    """One function that a group is to have.

    Attributes:
        site: where; one press does one thing at one site.
        kind: what for: "open", "light"; the same kind lies on the same button everywhere.
        use: how often a holder presses it, any unit; weighs being elsewhere, and long.
        today: button and whether long, where it lies now; None for nowhere.
        receivers: at how many it is learned; each is a visit when it moves.
    """

    site: str
    kind: str
    use: float = 1.0
    today: tuple[int, bool] | None = None
    receivers: int = 1


class Holders(NamedTuple):
    """People with the same functions.

    Attributes:
        name: of the group.
        fobs: how many.
        wanted: their functions.
        types: names of the fob types they may have; empty for any.
        barred: kinds they may never have.
        type_today: the fob type they have now; with another one everything is learned anew. Empty for none.
    """

    name: str
    fobs: int
    wanted: tuple[Wanted, ...]
    types: tuple[str, ...] = ()
    barred: frozenset[str] = frozenset()
    type_today: str = ""


@dataclass(frozen=True)
class Rules:
    """What holds for every fob.

    Attributes:
        types: fob type → its number of buttons.
        never_long: kinds that are pressed short, as whatever moves while held.
        only_long: kinds that are pressed long, as unsetting.
        apart: pairs of kinds that never share a button at a site, and better lie not side by side.
        alone: kinds with a button of their own over all sites, as a call for help.
    """

    types: Mapping[str, int]
    never_long: frozenset[str] = frozenset()
    only_long: frozenset[str] = frozenset()
    apart: tuple[tuple[str, str], ...] = ()
    alone: frozenset[str] = frozenset()


class Costs(NamedTuple):
    """Weights of what is better avoided, for one holder; our choice, only the ratios matter.

    Attributes:
        elsewhere: another button than everywhere else, for each use.
        long: a long press where a short one would do, for each use.
        near: unset beside what opens.
        share: two functions on one button of a site.
        relearn: a function that moves, at each receiver; more than `near`, so that nobody has to come with
            the fob for that alone.
        type: a type of fob.
        spare: two functions on one button of a site while the fob has another that does nothing there.
    """

    elsewhere: float = 5.0
    long: float = 1.0
    near: float = 2.0
    share: float = 3.0
    relearn: float = 3.0
    type: float = 50.0
    spare: float = 20.0


USUAL: Final = Costs()


class PlacedFunction(NamedTuple):
    """Where one function lies."""

    group: str
    site: str
    kind: str
    button: int
    long: bool


@dataclass(frozen=True)
class Layout:
    """A plan for every group.

    Attributes:
        placed: every function of every group.
        home: kind → the button it lies on everywhere but in exceptions.
        types: group → fob type.
        cost, bound: weighed cost, and what no plan can be cheaper than; equal if proven best.
        parts: what the cost is made of, by name.
    """

    placed: tuple[PlacedFunction, ...]
    home: Mapping[str, int]
    types: Mapping[str, str]
    cost: float
    bound: float
    parts: Mapping[str, float] = field(default_factory=dict)

    @property
    def is_proven(self) -> bool:
        """Whether no plan can be better."""
        return self.cost <= self.bound + 1e-6
