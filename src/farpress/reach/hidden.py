"""What hides a place from every receiver and is not drawn: a closed box round it, leaves of a summer, stock.

Judged with all of it there. A reading counts for what was there when it was taken.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from typing import Final

from farpress.domain.equipment import Build
from farpress.domain.premises import Place
from farpress.reach.gaps import Gap, GapKind
from farpress.reach.radio_budget import BudgetLine, BudgetPart

__all__ = ["away_at", "hidden_lines"]

DOUBT_SHARE: Final = 0.5
"""Standard deviation of a loss that somebody gives without one, as a share of it: our choice."""


def hidden_lines(
    place: Place | None, builds: Mapping[str, Build], there: Collection[str] | None = None
) -> tuple[list[BudgetLine], list[Gap]]:
    """The lines of a budget for what hides a place, and what of it nobody knows.

    Args:
        place: where somebody presses; None: another point, of which nothing is said.
        builds: of the catalogue.
        there: names of the things there at times that are there now; None: all of them.
    """
    lines: list[BudgetLine] = []
    gaps: list[Gap] = []
    for name, hidden in (place.hidden_by if place is not None else {}).items():
        if hidden.when is not None and there is not None and name not in there:
            continue
        build = builds.get(hidden.build or "")
        loss = hidden.loss_db
        if loss is None and build is not None:
            loss = build.loss_db
        if loss is None:
            gaps.append(Gap(GapKind.WALL_LOSS, f"what {name} costs on the way: measure it or give its build"))
            continue
        own = build.loss_sd_db if build is not None and hidden.loss_db is None else DOUBT_SHARE * loss
        spread = hidden.loss_sd_db if hidden.loss_sd_db is not None else own
        says = name if hidden.when is None else f"{name} ({hidden.when})"
        lines.append(BudgetLine(BudgetPart.WALLS, says, -loss, spread))
    return lines, gaps


def away_at(place: Place, there: Collection[str]) -> tuple[str, ...]:
    """What hides a place at times and was not there, each with when it is."""
    return tuple(
        f"{name} ({hidden.when})"
        for name, hidden in place.hidden_by.items()
        if hidden.when is not None and name not in there
    )
