"""Hamada, Mang, Hoff, Quality Quandaries: Should estimates be analyzed instead of the raw data?, Quality
Engineering 2019.

doi 10.1080/08982112.2018.1551547, read on 2026-11-28 in a stored copy of its text. Table 1 is
an up-and-down series of 25 drops on an explosive: height and reaction. With x = log10 of the
height the most likely median is printed as 1.531691 and the most likely spread as 0.073731988
(a probit regression, stopped when hardly anything changed any more). A drop that does
nothing stands for a press that is heard; ten times x stands for the pad in dB.
"""

from __future__ import annotations

import math

import pytest

from farpress.core.proving.attenuated import PadResult, dixon_mood, margin_fit, next_pad_db
from helpers.printed import Printed

HEIGHTS = (
    25.4,
    28.5,
    25.4,
    28.5,
    32.0,
    35.9,
    32.0,
    35.9,
    40.3,
    35.9,
    32.0,
    28.5,
    32.0,
    28.5,
    32.0,
    28.5,
    32.0,
    35.9,
    40.3,
    35.9,
    32.0,
    35.9,
    40.3,
    35.9,
    40.3,
)
REACTED = (0, 1, 0, 0, 0, 1, 0, 0, 1, 1, 1, 0, 1, 0, 1, 0, 0, 0, 1, 1, 0, 0, 1, 0, 1)
LEVELS = sorted(set(HEIGHTS))


def _results(places: dict[float, float]) -> list[PadResult]:
    return [
        PadResult(
            places[level],
            sum(not y for h, y in zip(HEIGHTS, REACTED, strict=True) if h == level),
            sum(y for h, y in zip(HEIGHTS, REACTED, strict=True) if h == level),
        )
        for level in LEVELS
    ]


def test_the_most_likely_median_and_spread_are_those_printed() -> None:
    """The spread to four digits: the regression of the paper had not quite arrived."""
    fit = margin_fit(results=_results({level: 10.0 * math.log10(level) for level in LEVELS}))

    assert Printed("1.531691").agrees_with(fit.margin_db / 10.0)
    assert Printed(
        "0.073731988",
        off_by=200,
        why="its slope, printed as 13.56263, is 13.56267 where the likelihood is greatest",
    ).agrees_with(fit.spread_db / 10.0)


def test_the_series_goes_as_our_rule_says() -> None:
    """A level up after nothing happened, a level down after a reaction, all 24 times."""
    places = [LEVELS.index(height) for height in HEIGHTS]
    for drop in range(1, 25):
        said = next_pad_db(
            pads_db=[float(one) + 10.0 for one in places[:drop]],
            heard=[not one for one in REACTED[:drop]],
            step_db=1.0,
            first_db=10.0,
        )
        assert said == places[drop] + 10.0


def test_the_quick_formula_comes_close_to_the_printed_values() -> None:
    """On steps of 0.05 in x: within a fifth of a step of the median, within 15 % of the spread."""
    start = 10.0 * math.log10(LEVELS[0])
    quick = dixon_mood(
        step_db=0.5, results=_results({level: start + 0.5 * number for number, level in enumerate(LEVELS)})
    )

    assert quick.presses == 11
    assert quick.margin_db / 10.0 == pytest.approx(1.531691, abs=0.01)
    assert quick.spread_db == pytest.approx(0.73731988, rel=0.15)
