"""When the cell of a fob was put in, as far as the record knows, and the month by which to change it."""

from __future__ import annotations

from datetime import date
from typing import Final

from farpress.dates import add_months, day_of

__all__ = ["EARLY", "change_by", "months_after", "months_after_new", "put_in"]

EARLY: Final = 0.6
"""Share of a cell's life after which it is changed, before most are empty; our choice."""


def put_in(written: str) -> date | None:
    """The month of a date as the record has it ("2026-03" or "2026-03-14"), as its first day; None where
    there is none.
    """
    return day_of(written[:7], day_of_month=1)


def change_by(since: date, life_years: float) -> date:
    """First day of the month by which a cell put in then is to be changed; a life of 5 years gives 36 months.

    Args:
        since: when it was put in.
        life_years: computed life [years].
    """
    return months_after(since, months_after_new(life_years))


def months_after_new(life_years: float) -> int:
    """Months from a new cell to its change, at least one."""
    return max(round(EARLY * life_years * 12), 1)


def months_after(day: date, months: int) -> date:
    """First day of the month so many months later."""
    left = (date.max.year - day.year) * 12 + date.max.month - day.month
    return add_months(day.replace(day=1), min(months, left))
