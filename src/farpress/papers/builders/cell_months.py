"""When the cell of a fob was put in, as far as the record knows, and the month by which to change it."""

from __future__ import annotations

from datetime import date

from farpress.dates import add_months, day_of
from farpress.judging.fob.cell_plan import CellPlan
from farpress.upkeep.cells import change_months

__all__ = ["change_by", "months_after", "put_in"]


def put_in(written: str) -> date | None:
    """The month of a date as the record has it ("2026-03" or "2026-03-14"), as its first day; None where
    there is none.
    """
    return day_of(written[:7], day_of_month=1)


def change_by(since: date, plan: CellPlan) -> date:
    """First day of the month by which a cell put in then is to be changed.

    Args:
        since: when it was put in.
        plan: how it is used up.
    """
    return months_after(since, change_months(plan))


def months_after(day: date, months: int) -> date:
    """First day of the month so many months later."""
    left = (date.max.year - day.year) * 12 + date.max.month - day.month
    return add_months(day.replace(day=1), min(months, left))
