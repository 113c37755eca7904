"""Dates as jobs and records have them: "2026-11-25", "2026-11", or a moment."""

from __future__ import annotations

from datetime import date
from typing import Final

from farpress.errors import InputError

__all__ = ["YEAR_DAYS", "add_months", "day_of", "day_wanted", "years_between"]

YEAR_DAYS: Final = 365.25


def day_of(text: str | None) -> date | None:
    """The day of a date, a month (its 15th) or a moment; None where it is none.

    Example:
        >>> day_of("2026-11"), day_of("soon")
        (datetime.date(2026, 11, 15), None)
    """
    parts = (text or "").strip()[:10].split("-")
    if len(parts) not in (2, 3) or not all(part.isdigit() for part in parts):
        return None
    try:
        return date(int(parts[0]), int(parts[1]), int(parts[2]) if len(parts) == 3 else 15)
    except ValueError:
        return None


def day_wanted(text: str) -> date:
    """The day of a date somebody typed.

    Raises:
        InputError: it is none.
    """
    found = day_of(text)
    if found is None:
        raise InputError(f"'{text}' is no date; write it as 2026-11-25")
    return found


def years_between(first: date, last: date) -> float:
    """Years from one day to another; negative if it lies before."""
    return (last - first).days / YEAR_DAYS


def add_months(day: date, months: int) -> date:
    """The same day some months later, or the last of that month where it is shorter.

    Example:
        >>> add_months(date(2026, 1, 31), 1)
        datetime.date(2026, 2, 28)
    """
    month = day.month - 1 + months
    year, month = day.year + month // 12, month % 12 + 1
    for last in (day.day, 30, 29, 28):
        try:
            return date(year, month, min(day.day, last))
        except ValueError:
            continue
    raise AssertionError("every month has 28 days")
