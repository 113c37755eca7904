"""Lost fobs that nobody reports: nobody deletes them, so they open until somebody counts."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.case import Case
from farpress.case.citations import CHOICE, GIVEN
from farpress.case.driven import holders
from farpress.core.keys.unreported import mean_at_large
from farpress.domain.cautions import CAUTIONS
from farpress.domain.finding import Ask, Change, Finding, Link, Remedy, Stake, Who
from farpress.judging.check import AT_MOST, Check, Estimate, Limit
from farpress.judging.register.stock import a_year, opens_or_unsets
from farpress.phrases import listed

__all__ = ["UNREPORTED", "judge"]

LIMIT: Final = 0.5
"""At half a fob none is out at six moments of ten (`exp(-0.5)`); our choice."""

UNREPORTED: Final = Check(
    "REG-20",
    Link.REGISTER,
    "Lost fobs that nobody reported and that still open or unset something, at any moment.",
    unit="fobs",
    bound=AT_MOST,
    limit=Limit(LIMIT, (CHOICE,)),
    stake=Stake.HARM,
    ask="Ask how many fobs were lost last year, and how many of them nobody had reported.",
    who=Who.CUSTOMER,
    minutes=5.0,
    mends="Every holder shows the fob a few times a year; what is not shown is deleted the same day.",
)

YEAR_S: Final = 365.25 * 86400.0
NEVER_S: Final = 5.0 * YEAR_S
"""So long a lost fob opens where nobody counts, or counts less often; our choice, its cell lasts as long."""

WORST_SHARE: Final = 0.1
"""Of the fobs are lost in a year at the worst where nobody says how many; our choice, common is 3 %."""

ENOUGH: Final = 0.9 * LIMIT
"""What a count is proposed for: a tenth below the limit."""

COUNTS_DAYS: Final = (180, 90, 30)
"""Times between two counts that are proposed, the longest first; our choice."""


def judge(case: Case) -> Iterator[Finding]:
    """One finding where the fobs that open or unset something are many enough for one to be out."""
    grave = {
        name: number
        for name, group in case.job.groups.items()
        if (number := holders(group)) and opens_or_unsets(case, group)
    }
    total, plan = sum(grave.values()), case.job.register_
    lost, unreported = plan.lost_share, plan.unreported_share
    every_s = min(plan.counted_every_s or NEVER_S, NEVER_S)
    worst = mean_at_large(
        a_year=total * (WORST_SHARE if lost is None else lost) * (1.0 if unreported is None else unreported),
        found_after_years=every_s / YEAR_S,
    )
    if lost is None or unreported is None:
        if worst <= LIMIT:
            return  # whatever the answers, hardly one is ever out
        yield _asked(grave, total, lost)
        return
    gone = total * lost * unreported
    value = mean_at_large(a_year=gone, found_after_years=every_s / YEAR_S)
    until = (
        f"until the next count, {every_s / 86400.0:.0f} days apart at most"
        if plan.counted_every_s is not None
        else "for years, for nobody counts"
    )
    yield UNREPORTED.judge(
        about="lost fobs that nobody reports",
        subjects=(),
        value=Estimate(value, sources=(GIVEN,)),
        says=(
            f"{a_year(total * lost)} of {total} fobs of {_groups(grave)} are lost in a year, {a_year(gone)}"
            f" of them reported by nobody: each opens {until}; {value:.2g} are out at any moment."
        ),
        because=f"What nobody reports nobody deletes. {CAUTIONS['lost fob']}",
        remedies=lambda _: _counts(gone, every_s),
    )


def _asked(grave: dict[str, int], total: int, lost: float | None) -> Finding:
    """Of many fobs nobody says how many are lost, or how many of these nobody reports."""
    asks = []
    if lost is None:
        asks.append(Ask("Ask how many fobs were lost last year.", Who.CUSTOMER, 2.0))
    asks.append(
        Ask("Ask how many of the fobs that were missing at the last count nobody had reported.", Who.CUSTOMER)
    )
    some = "an unknown number" if lost is None else a_year(total * lost)
    return UNREPORTED.judge(
        about="lost fobs that nobody reports",
        subjects=(),
        value=Estimate(None),
        says=(
            f"{total} fobs of {_groups(grave)} open or unset something; {some} are lost in a year, and how"
            " many of these nobody reports is not said."
        ),
        because=f"What nobody reports nobody deletes. {CAUTIONS['lost fob']}",
        asks=asks,
    )


def _groups(grave: dict[str, int]) -> str:
    return listed(grave) if len(grave) < 4 else f"{len(grave)} groups"


def _counts(gone: float, every_s: float) -> tuple[Remedy, ...]:
    """The longest time between two counts that is short enough."""
    for days in COUNTS_DAYS:
        after = days * 86400.0 / YEAR_S
        if days * 86400.0 < every_s and mean_at_large(a_year=gone, found_after_years=after) <= ENOUGH:
            return (
                Remedy(
                    f"Count every {days} days: every holder shows the fob, what is not shown is deleted",
                    changes=(Change(("register", "counted_every"), f"{days} days"),),
                ),
            )
    return (Remedy("Give fobs a last day: what is not prolonged by its holder is deleted"),)
