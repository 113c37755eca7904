"""NIST/SEMATECH e-Handbook of Statistical Methods, 7.2.4.1, exact intervals.

https://www.itl.nist.gov/div898/handbook/prc/section2/prc241.htm
Read on 2026-11-25 in a copy made on 2026-09-28.

Two slips on the page, kept here so that nobody "corrects" us to them:

- It prints pu = 0.401029. In exact fractions the root is 0.40102812: their root
  search stopped early. We allow that one printed digit to be off by one.
- The sentence below rounds the same root to 0.400 (it is 0.401). Not tested.
"""

from __future__ import annotations

from fractions import Fraction
from math import comb

import pytest

from farpress.core.proving.failure_share import failure_share_interval
from helpers.printed import Printed

EARLY_STOP = "the root is 0.40102812 in exact fractions; their search stopped early"


@pytest.mark.parametrize(
    ("failures", "trials", "confidence", "low", "high"),
    [
        pytest.param(
            4,
            20,
            0.90,
            Printed("0.071354"),
            Printed("0.401029", off_by=1, why=EARLY_STOP),
            id="4-of-20-at-90-percent",
        )
    ],
)
def test_the_limits_are_those_of_the_worked_example(
    failures: int, trials: int, confidence: float, low: Printed, high: Printed
) -> None:
    """Both limits agree with the handbook's roots to the printed digits."""
    interval = failure_share_interval(failures=failures, trials=trials, confidence=confidence)

    assert low.agrees_with(interval.low)
    assert high.agrees_with(interval.high)


def test_the_printed_upper_root_is_one_digit_off() -> None:
    """In exact fractions the tail at the printed root is 0.0499992, at the root it is 5 %."""
    printed, true = Fraction(401029, 10**6), Fraction(4010281, 10**7)

    assert Fraction(1, 20) - _at_most(4, 20, printed) > Fraction(5, 10**7)
    assert abs(_at_most(4, 20, true) - Fraction(1, 20)) < Fraction(1, 10**7)


def _at_most(failures: int, trials: int, share: Fraction) -> Fraction:
    return sum(
        (comb(trials, i) * share**i * (1 - share) ** (trials - i) for i in range(failures + 1)), Fraction(0)
    )
