"""Dixon and Mood's formula against the up-and-down walk itself, worked out with scipy's normal distribution.

A walk that goes up with chance 1 - Phi(x) and down with Phi(x) has a long-run share of visits
on each level, found here by balancing the steps between neighbours; of those visits the share
Phi is lost. From the lost ones alone the formula must give back margin 0 and spread 1. No
number of the paper is used, so 1.62 and 0.029 are checked, not only copied.
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy.special import ndtr

from farpress.core.proving.attenuated import PadResult, dixon_mood

TRIALS = 10**9
"""So many that rounding to whole presses does not matter."""


@pytest.mark.parametrize("offset", [0.0, 0.25, 0.5])
@pytest.mark.parametrize(
    ("step", "share"),
    [(0.4, 0.005), (0.6, 0.002), (0.8, 0.001), (1.0, 0.001), (1.25, 0.005), (1.5, 0.01), (1.7, 0.02)],
)
def test_the_formula_gives_back_the_spread_of_the_walk(step: float, share: float, offset: float) -> None:
    """Steps from 0.4 to 1.7 times the spread, wherever the levels lie: to 0.1 % at the best, 2 % at the
    widest.
    """
    numbers = np.arange(-20, 21)
    places = (numbers + offset) * step
    near = abs(places) < 6.0
    places = places[near]
    lost = ndtr(places)
    visits = np.cumprod(np.concatenate([[1.0], (1.0 - lost[:-1]) / lost[1:]]))
    visits *= TRIALS / visits.sum()
    results = [
        PadResult(float(place) + 50.0, round(count * (1.0 - chance)), round(count * chance))
        for place, count, chance in zip(places, visits, lost, strict=True)
    ]

    found = dixon_mood(results=[one for one in results if one.heard + one.lost], step_db=step)

    assert found.margin_db - 50.0 == pytest.approx(0.0, abs=0.005)
    assert found.spread_db == pytest.approx(1.0, rel=share)
