"""Dates as people, jobs and records write them: "2026-11-25", "2026-11", or a moment.

Typed dates are read by `day_wanted`, strictly; what stands in an old record or job by `day_of`.
"""

from __future__ import annotations

from datetime import date
from typing import Final, Literal

from farpress.errors import InputError

__all__ = [
    "ALL_DAY",
    "YEAR_DAYS",
    "Weekday",
    "add_months",
    "day_of",
    "day_wanted",
    "stretch_of",
    "stretch_s",
    "years_between",
]

Weekday = Literal["monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday"]

YEAR_DAYS: Final = 365.25

ALL_DAY: Final = "00:00-24:00"

"""A whole day, where a stretch of it is wanted."""

DAY_S: Final = 86400


def day_wanted(text: str) -> date:
    """The day that somebody typed, as ISO 8601 writes it: year, month and day.

    Raises:
        InputError: it is none; a month alone is none either.

    Example:
        >>> day_wanted("2026-11-25")
        datetime.date(2026, 11, 25)
    """
    try:
        return date.fromisoformat(text.strip())
    except ValueError:
        raise InputError(
            f"'{text[:40]}' is not a date; write it as year, month and day: 2026-11-25."
        ) from None


def day_of(text: str | None, *, day_of_month: int = 15) -> date | None:
    """The day of a date, a month or a moment that stands written somewhere; None where it is none.

    Args:
        text: as written.
        day_of_month: the day that a month alone stands for, 1 to 28; its middle unless asked otherwise.

    Example:
        >>> day_of("2026-11"), day_of("soon")
        (datetime.date(2026, 11, 15), None)
    """
    parts = (text or "").strip()[:10].split("-")
    if len(parts) not in (2, 3) or not all(part.isdigit() for part in parts):
        return None
    try:
        return date(int(parts[0]), int(parts[1]), int(parts[2]) if len(parts) == 3 else day_of_month)
    except ValueError:
        return None


def years_between(first: date, last: date) -> float:
    """Years from one day to another; negative if it lies before."""
    return (last - first).days / YEAR_DAYS


def add_months(day: date, months: int) -> date:
    """The same day some months later, or the last of that month where it is shorter.

    Example:
        >>> add_months(date(2026, 1, 31), 1)
        datetime.date(2026, 2, 28)
    """
    from dateutil.relativedelta import relativedelta  # late: a fiftieth of a second that few commands need

    later: date = day + relativedelta(months=months)
    return later


def stretch_of(stretch: str) -> tuple[int, int] | None:
    """Beginning and end of a stretch of a day written as `07:40-07:55` [min after midnight].

    None if it cannot be read or has no length.

    Example:
        >>> stretch_of("07:40-07:55"), stretch_of("22:00-06:00"), stretch_of("7 to 8")
        ((460, 475), (1320, 360), None)
    """
    ends = stretch.replace("–", "-").split("-")
    try:
        (start_h, start_min), (end_h, end_min) = (map(int, clock.strip().split(":")) for clock in ends)
    except ValueError:
        return None
    if not (0 <= start_h <= 24 and 0 <= end_h <= 24 and 0 <= start_min < 60 and 0 <= end_min < 60):
        return None
    begins, over = 60 * start_h + start_min, 60 * end_h + end_min
    return (begins % 1440, over % 1440) if (over - begins) % 1440 else None


def stretch_s(stretch: str) -> float:
    """Length of a stretch of a day written as `07:40-07:55` [s], over midnight too; 0 if it cannot be read.

    Example:
        >>> stretch_s("07:40-07:55"), stretch_s("22:00-06:00"), stretch_s("7 to 8"), stretch_s("07:70-08:00")
        (900.0, 28800.0, 0.0, 0.0)
        >>> stretch_s("10:00:00-10:00:03")
        3.0
    """
    ends = [_clock_s(clock) for clock in stretch.replace("–", "-").split("-")]
    if len(ends) != 2 or ends[0] is None or ends[1] is None:
        return 0.0
    return float((ends[1] - ends[0]) % DAY_S)


def _clock_s(clock: str) -> int | None:
    """Seconds after midnight of `07:40` or `07:40:03`; None if it cannot be read."""
    try:
        hours, minutes, *rest = map(int, clock.strip().split(":"))
    except ValueError:
        return None
    if len(rest) > 1 or not (0 <= hours <= 24 and 0 <= minutes < 60 and 0 <= sum(rest) < 60):
        return None
    return (3600 * hours + 60 * minutes + sum(rest)) % DAY_S
