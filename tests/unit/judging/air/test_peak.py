"""Presses at the busiest stretch, worked out by hand: N presses that begin at random fall on each other as in
pure ALOHA, exp(-2 x presses a second x length) meet no other (N. Abramson 1970, from memory).
"""

from __future__ import annotations

import math
from typing import Any

import pytest

from farpress.domain.finding import Finding, Verdict
from farpress.domain.job import Traffic
from farpress.judging.air import peak
from helpers.logic_case import a_case

OUTPUTS = {"1": {"kind": "pulse", "for_s": 0.5, "works": "gate.open"}}


def _traffic(arrivals: dict[str, int]) -> dict[str, Any]:
    return {"place": "here", "function": "f1", "arrivals": arrivals}


def _peak(presses: int, *, needed: int | None = 2, **fob: Any) -> Finding:
    """So many presses in ten minutes."""
    case = a_case(
        OUTPUTS, traffic=(_traffic({"07:00-07:10": presses}),), receiver={"telegrams_needed": needed}, fob=fob
    )
    (finding,) = peak.judge(case)
    return finding


@pytest.mark.parametrize(
    ("arrivals", "busiest"),
    [
        ({"07:00-07:15": 45, "17:30-18:00": 60}, ("07:00-07:15", 45, 0.05)),
        ({"07:00-07:15": 45, "17:30-18:00": 99}, ("17:30-18:00", 99, 0.055)),
        ({"7-8": 72, "8:45-9:15": 72}, ("8:45-9:15", 72, 0.04)),
    ],
)
def test_the_busiest_stretch_has_the_most_presses_a_second(
    arrivals: dict[str, int], busiest: tuple[str, int, float]
) -> None:
    """45 in 900 s are more than 60 in 1 800 s, and fewer than 99."""
    name, count, per_s = peak.peak_of(Traffic.model_validate(_traffic(arrivals)))

    assert (name, count) == busiest[:2]
    assert per_s == pytest.approx(busiest[2])


def test_few_presses_pass_and_the_closed_forms_leave_a_doubt() -> None:
    """30 in 600 s are 0.05 a second: exp(-2 x 0.05 x 0.6) = 94 % of the presses meet no other, exp(-2 x 0.05
    x 0.12) = 99 % of pairs of telegrams; half of what lies between is the doubt.
    """
    finding = _peak(30)

    alone, best = math.exp(-0.06), math.exp(-0.012)
    assert finding.doubt == pytest.approx(50.0 * (best - alone))
    assert 100.0 * alone <= (finding.value or 0.0) <= 100.0
    assert f"{alone:.0%} of them of 0.6 s" in finding.says
    assert "30 presses, 0.05 a second" in finding.says
    assert f"{best:.0%} as its upper limit." in finding.because
    assert finding.limit == pytest.approx(95.0)
    assert finding.verdict is Verdict.HOLDS


@pytest.mark.parametrize(
    ("repeat_s", "telegram_s", "sent"), [(0.1, 0.06, 6), (None, 0.06, 6), (0.25, 0.06, 3), (0.05, 0.1, 6)]
)
def test_a_press_has_as_many_telegrams_as_fit(repeat_s: float | None, telegram_s: float, sent: int) -> None:
    """A telegram of 60 ms each 100 ms fits 0.54 / 0.1 = 5 times after the first; each 100 ms too where
    nothing is said, and never faster than one after the other.
    """
    finding = _peak(30, repeat_s=repeat_s, telegram_s=telegram_s)

    assert f"Played out with {sent} telegrams a press" in finding.because


@pytest.mark.parametrize(("presses", "is_said"), [(290, False), (310, True), (350, True)])
def test_the_closed_form_is_too_kind_from_three_tenths_of_the_time(presses: int, is_said: bool) -> None:
    """290 presses of 0.6 s in 600 s take 29 % of the time, 310 take 31 %."""
    assert ("too kind at this load" in _peak(presses).because) is is_said


def test_a_crowd_at_once_is_too_much() -> None:
    """1 200 presses in ten minutes, two a second: exp(-2 x 2 x 0.12) = 62 % at best, below 95 % by far."""
    finding = _peak(1200)

    assert finding.verdict is Verdict.FAILS
    assert finding.remedies[0].effect == f"up to {math.exp(-0.48):.0%}"


@pytest.mark.parametrize("missing", [{"needed": None}, {"telegram_s": None}])
def test_what_the_sheets_do_not_say_is_asked(missing: dict[str, Any]) -> None:
    """Telegrams wanted in a row, or the length of one."""
    finding = _peak(30, **missing)

    assert finding.verdict is Verdict.UNKNOWN
    assert finding.value is None


def test_a_crowd_beyond_what_can_be_played_is_still_too_much() -> None:
    """72 000 presses in ten minutes, 120 a second: none of them comes through."""
    finding = _peak(72_000)

    assert finding.verdict is Verdict.FAILS
    assert finding.value == pytest.approx(0.0, abs=0.05)
