"""Fobs handed out to guests: what does not come back fills the memory."""

from __future__ import annotations

from typing import Any

import pytest

from farpress.domain.finding import Finding, Verdict
from farpress.judging.register import memory
from helpers.logic_case import LAMP, a_case

HOLDS, THIN, UNKNOWN, FAILS = Verdict.HOLDS, Verdict.THIN, Verdict.UNKNOWN, Verdict.FAILS


def _found(capacity: int | None, deleted: bool | None = False, **group: Any) -> list[Finding]:
    guests = {"count": 40, "buttons": {"1": "f1"}, "handed_out_per_day": 40 / 7, **group}
    case = a_case(
        {"1": {"kind": "toggle", "works": "lamp.on"}},
        devices={"lamp": LAMP},
        groups={"guests": guests, "holders": {"count": 240, "buttons": {"1": "f1"}}},
        receiver={"capacity": capacity},
        register={"leavers_deleted": deleted},
    )
    return [finding for finding in memory.judge(case) if finding.code == "REG-50"]


@pytest.mark.parametrize(
    ("capacity", "lost", "verdict", "days"),
    [
        (300, 0.025, FAILS, 140.0),  # one a week, 20 more fit: 20 weeks
        (300, 0.0095, THIN, 20 * 7 / 0.38),
        (300, 0.0098, FAILS, 20 * 7 / 0.392),
        (340, 0.025, HOLDS, 420.0),
        (1000, 0.025, HOLDS, 3652.5),
        (300, 0.0, HOLDS, 3652.5),
    ],
)
def test_reg_50_one_fob_a_week_fills_a_memory_with_room_for_twenty_in_twenty_weeks(
    capacity: int, lost: float, verdict: Verdict, days: float
) -> None:
    """40 a week, 280 learned: by hand; ten years are as good as never."""
    (found,) = _found(capacity, not_returned_share=lost)
    assert found.value == pytest.approx(days)
    assert found.verdict is verdict
    assert ("not full in ten years" in found.says) is (days > 3652.0)


@pytest.mark.parametrize(
    ("capacity", "deleted", "lost", "verdict"),
    [
        (300, True, 0.025, HOLDS),
        (300, None, 0.0, UNKNOWN),
        (300, True, None, UNKNOWN),
        (300, False, None, UNKNOWN),
        (None, False, 0.025, UNKNOWN),
    ],
)
def test_reg_50_what_is_not_known_is_asked(
    capacity: int | None, deleted: bool | None, lost: float | None, verdict: Verdict
) -> None:
    """Deleted each time, they never fill it."""
    (found,) = _found(capacity, deleted, not_returned_share=lost)
    assert found.verdict is verdict


def test_reg_50_a_memory_of_buttons_fills_by_the_buttons_of_each_fob() -> None:
    """One button each: as many as fobs; the count that decides is that of the receiver."""
    case = a_case(
        {"1": {"kind": "toggle", "works": "lamp.on"}, "2": {"kind": "toggle", "works": "lamp.on"}},
        devices={"lamp": LAMP},
        groups={
            "guests": {
                "count": 40,
                "buttons": {"1": "f1", "2": "f2"},
                "handed_out_per_day": 40 / 7,
                "not_returned_share": 0.025,
            }
        },
        receiver={"capacity": 100, "capacity_counts": "buttons"},
        register={"leavers_deleted": False},
    )
    (found,) = [finding for finding in memory.judge(case) if finding.code == "REG-50"]
    assert found.value == pytest.approx(70.0)  # 20 buttons are 10 fobs, one a week


def test_reg_50_is_of_fobs_that_are_handed_out() -> None:
    """What stays with its holder is another matter."""
    assert not _found(300, handed_out_per_day=None)
