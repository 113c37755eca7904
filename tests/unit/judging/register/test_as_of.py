"""Leavers and names are judged as of the date on the papers, where the record ends before it."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

from farpress.domain.register import FobRegister
from farpress.judging.register.record import _now
from helpers.logic_case import a_case

LAST = "2027-01-10T08:00:00Z"


@pytest.mark.parametrize(
    ("dated", "day"),
    [
        (None, "2027-01-10"),
        ("2026-12-31", "2027-01-10"),
        ("2027-03-02", "2027-03-02"),
        ("in March", "2027-01-10"),
    ],
)
def test_the_later_of_record_and_papers_counts(dated: str | None, day: str) -> None:
    """A date that is none is left alone."""
    case = a_case({}, details={"date": dated} if dated else {})
    now = _now(case, FobRegister({}, LAST, {}, {}, 0))

    assert now.date().isoformat() == day
    assert now >= datetime(2027, 1, 10, tzinfo=UTC)
