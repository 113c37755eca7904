"""On which further days a task of upkeep comes back: once for every list, tour and calendar.

A task that comes back is counted from when it was last done. Ahead it is taken to be done on
its day, or today where that day has passed.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, timedelta

from farpress.dates import add_months

__all__ = ["WEEK", "again_on", "months_text", "recurrence"]

WEEK = 0.25
"""Interval [months] that stands for a week."""


def again_on(on: date, every_months: float, *, today: date, until: date) -> tuple[date, ...]:
    """The days after the first on which a task comes back, up to the last day looked at.

    Args:
        on: the first day; one that has passed counts from today.
        every_months: interval; 0 for once, `WEEK` for a week.
        today: from when.
        until: last day.

    Example:
        >>> again_on(date(2027, 1, 31), 1.0, today=date(2026, 12, 1), until=date(2027, 4, 30))
        (datetime.date(2027, 2, 28), datetime.date(2027, 3, 31), datetime.date(2027, 4, 30))
    """
    if every_months <= 0.0 or on > until:
        return ()
    base, found, number = max(on, today), list[date](), 1
    while True:
        day = (
            base + timedelta(days=7 * number)
            if every_months < 1.0
            else add_months(base, number * round(every_months))
        )
        if day > until:
            return tuple(found)
        found.append(day)
        number += 1


def recurrence(days: Iterable[date], every_months: float) -> dict[str, object]:
    """The rule of RFC 5545 that names exactly these days, the first being the entry's own.

    A day that a month does not have becomes its last one, which the plain monthly rule would leave out.

    Args:
        days: in order, at least one, as `again_on` has them.
        every_months: their interval, above 0.
    """
    dates = list(days)
    if every_months < 1.0:
        return {"freq": "weekly", "count": len(dates)}
    last = max(day.day for day in dates)
    clamped = {"bymonthday": list(range(28, last + 1)), "bysetpos": -1} if last > 28 else {}
    return {"freq": "monthly", "interval": round(every_months), "count": len(dates), **clamped}


def months_text(every_months: float) -> str:
    """An interval in words: "once", "every week", "every month", "every 3 months", "every year"."""
    if not every_months:
        return "once"
    if every_months < 1.0:
        return "every week"
    return {1: "every month", 12: "every year"}.get(round(every_months), f"every {every_months:.0f} months")
