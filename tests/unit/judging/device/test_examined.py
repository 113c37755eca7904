"""What lifts was examined in time, by the day of the survey and not by today."""

from __future__ import annotations

from typing import Any

import pytest

from farpress.domain.finding import Verdict
from farpress.judging.device.examined import judge_examined
from helpers.logic_case import a_case

HOLDS, UNKNOWN, FAILS = Verdict.HOLDS, Verdict.UNKNOWN, Verdict.FAILS


def _words(kind: str = "winch", survey: str | None = "2027-03-03", **sheet: Any) -> list[Verdict]:
    device = {"device": kind, "inputs": {"up": {"logic": "up"}}, **sheet}
    details = {} if survey is None else {"date": survey}
    case = a_case({"1": {"kind": "follow", "works": "it.up"}}, devices={"it": device}, details=details)
    return [finding.verdict for finding in judge_examined(case)]


@pytest.mark.parametrize(
    ("day", "verdict"),
    [
        ("2026-03-04", HOLDS),
        ("2026-03-03", HOLDS),
        ("2026-03-02", FAILS),
        ("2026-06", HOLDS),
        ("2026-03", FAILS),  # its first day: a month says less than a day, and is judged no better
        ("2026", FAILS),
        ("2027", HOLDS),
        ("2027-03-04", UNKNOWN),  # after the survey
        ("2025", FAILS),
        ("never", FAILS),
        ("soon", UNKNOWN),
        (None, UNKNOWN),
    ],
)
def test_dev_51_a_year_lies_between_two_examinations(day: str | None, verdict: Verdict) -> None:
    """12 months: LOLER 1998, regulation 9, from memory; 2027-03-03 is 365 days after 2026-03-03."""
    assert _words(examined=day) == [verdict]


def test_dev_51_without_a_day_of_the_survey_it_is_asked() -> None:
    """An age counts from somewhere."""
    assert _words(examined="2026-12-01", survey=None) == [UNKNOWN]


def test_dev_51_the_papers_of_the_thing_may_want_it_oftener() -> None:
    """Every 183 days, where persons are lifted."""
    assert _words(examined="2026-06-01", examined_every_s=183 * 86400.0) == [FAILS]


@pytest.mark.parametrize(
    ("day", "verdict"), [("2026-09-02", HOLDS), ("2026-09-01", HOLDS), ("2026-08-31", FAILS)]
)
def test_dev_51_what_may_lift_people_wants_it_twice_a_year(day: str, verdict: Verdict) -> None:
    """6 months, by the same regulation: 2027-03-03 is 183 days after 2026-09-01. Its papers come first."""
    assert _words("platform", examined=day) == [verdict]
    assert _words("platform", examined=day, examined_every_s=365 * 86400.0) == [HOLDS]


def test_dev_51_what_does_not_lift_is_judged_where_a_day_is_written() -> None:
    """A shutter's record is not asked for here."""
    assert _words("shutter") == []
    assert _words("shutter", examined="2019") == [FAILS]
