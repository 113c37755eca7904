"""Presses counted on site against what is promised: the count decides, whatever is predicted."""

from __future__ import annotations

from typing import Any

import pytest
from scipy.stats import beta

from farpress.case.case import Case
from farpress.core.proving.counted import counted_share
from farpress.domain.finding import Finding, Verdict
from farpress.errors import InputError
from farpress.judging.air import counted
from helpers.radio_case import larkfen

PROMISE = {"to": "family", "function": "open gate", "from": "kitchen"}


def house(*readings: dict[str, Any], share: str = "95 %", presses: str = "1 press") -> Case:
    """One promise from the kitchen, and readings at its receiver."""
    promise = {**PROMISE, "at_least": share, "within": presses}
    return larkfen(promises=[promise], readings=[{"receiver": "larkfen/R1", **given} for given in readings])


def judged(*readings: dict[str, Any], **more: str) -> list[Finding]:
    """What is said of the counts."""
    return list(counted.judge(house(*readings, **more)))


@pytest.mark.parametrize(
    ("heard", "tried", "verdict"),
    [(18, 20, Verdict.FAILS), (19, 20, Verdict.THIN), (20, 20, Verdict.HOLDS), (94, 100, Verdict.FAILS)],
)
def test_a_count_is_held_against_the_promise(heard: int, tried: int, verdict: Verdict) -> None:
    """95 % in one press: 18 of 20 is less, 19 of 20 is just it, 20 of 20 is more than its doubt of 3.3 %."""
    (found,) = judged({"place": "kitchen", "heard": heard, "of": tried})

    assert found.verdict is verdict
    assert found.value == pytest.approx(100.0 * heard / tried)


def test_a_count_beside_a_level_is_not_dropped() -> None:
    """8 of 20 heard fails although the level beside it is good; the interval is that of the handbook."""
    (found,) = judged({"place": "kitchen", "level": "-70 dBm", "heard": 8, "of": 20})

    assert found.verdict is Verdict.FAILS
    low, high = (100.0 * float(beta.ppf(q, a, b)) for q, a, b in ((0.025, 8, 13), (0.975, 9, 12)))
    assert f"allows {low:.0f} to {high:.0f} %" in found.because
    assert (round(low), round(high)) == (19, 64)


@pytest.mark.parametrize(
    ("level", "heard", "told"),
    [("-70 dBm", 8, "let more through"), ("-70 dBm", 20, ""), ("-125 dBm", 20, "let fewer through")],
)
def test_a_level_that_says_something_else_is_told_aloud(level: str, heard: int, told: str) -> None:
    """A strong level and few presses heard contradict each other, as do hardly a level and all heard."""
    (found,) = judged({"place": "kitchen", "level": level, "heard": heard, "of": 20})

    assert ("contradict" in found.says) == bool(told)
    assert told in found.says


def test_two_presses_count_as_independent_and_the_doubt_stays_that_of_one() -> None:
    """17 of 20, two presses: 1 - 0.15 squared = 97.75 %, with the doubt of one press."""
    (found,) = judged({"place": "kitchen", "heard": 17, "of": 20}, presses="2 presses")

    assert found.value == pytest.approx(97.75)
    assert "17 of 20 presses were heard, 97.8 % within 2 presses at most; 95 % promised." in found.says
    assert found.verdict is Verdict.THIN
    assert found.doubt == pytest.approx(100.0 * float(beta(17.5, 3.5).std()))


def test_counts_of_one_place_are_added() -> None:
    """Two walks of ten are one count of twenty."""
    (found,) = judged({"place": "kitchen", "heard": 10, "of": 10}, {"place": "kitchen", "heard": 7, "of": 10})

    assert "17 of 20 presses" in found.says


@pytest.mark.parametrize(
    "given",
    [
        {"place": "street"},
        {"place": "kitchen", "held": "in pocket"},
        {"place": "kitchen", "pad": "10 dB"},
        {"place": "kitchen", "housing": "open"},
        {"place": "kitchen", "aerial_at": [1, 1]},
    ],
)
def test_a_count_taken_otherwise_says_nothing_of_the_promise(given: dict[str, Any]) -> None:
    """Another place, another grip, a pad, an open box, another aerial."""
    assert [one.code for one in judged({**given, "heard": 0, "of": 20}) if one.code != "AIR-08"] == []


def test_counts_that_cannot_be_are_refused() -> None:
    """More heard than tried."""
    with pytest.raises(InputError, match="21 presses heard of 20"):
        counted_share(heard=21, tried=20, presses=1)


@pytest.mark.parametrize(("tried", "verdict"), [(58, Verdict.THIN), (59, Verdict.HOLDS)])
def test_air_08_a_call_for_help_is_proved_by_59_presses_without_a_failure(
    tried: int, verdict: Verdict
) -> None:
    """95 % sure of 95 %: 0.95 to the power of 59 is 4.85 %, of 58 it is 5.1 %."""
    case = larkfen(
        functions={"open gate": {"output": "larkfen/R1/1", "kind": "call"}},
        promises=[{**PROMISE, "at_least": "95 %"}],
        readings=[{"receiver": "larkfen/R1", "place": "kitchen", "heard": tried, "of": tried}],
    )
    (found,) = (one for one in counted.judge(case) if one.code == "AIR-08")

    assert found.verdict is verdict
    assert found.value == pytest.approx(100.0 * 0.05 ** (1 / tried))
    assert "59 show 5%" in found.because
    assert "299 show 1%" in found.because


def test_air_08_a_count_where_nothing_is_promised_is_told_too() -> None:
    """45 of 50 on the street, where the promise is from the kitchen: Clopper and Pearson, two-sided."""
    (found,) = judged({"place": "street", "heard": 45, "of": 50})
    low, high = (100.0 * float(beta.ppf(q, a, b)) for q, a, b in ((0.025, 45, 6), (0.975, 46, 5)))

    assert (found.code, found.verdict) == ("AIR-08", Verdict.THIN)
    assert f"{low:.0f} to {high:.0f} %" in found.because


@pytest.mark.parametrize(("heard", "told"), [(10, True), (20, False)])
def test_a_count_far_from_its_prediction_is_told(heard: int, told: bool) -> None:
    """Half of the presses heard where nearly all were predicted: something there is not drawn."""
    (found,) = judged({"place": "kitchen", "heard": heard, "of": 20})

    assert ("The prediction without the count" in found.says) is told
