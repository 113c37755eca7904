"""Cells of unequally busy holders, against scipy.stats and a simulation (independent ways).

The cold, the pulse and the Weibull rows are computed; a coin cell's inner resistance was
read: 18 to 20 ohm flat to 150 mAh, 30 ohm at 170 mAh of 225 mAh.
"""

from __future__ import annotations

import numpy as np
import pytest

from farpress.core.upkeep.pulse import (
    cold_resistance_factor,
    inner_resistance_ohm,
    press_mix,
    pulse_usable_share,
    pulse_voltage_v,
)
from farpress.core.upkeep.survival import batch_age, empty_share, expected_empty, number_band
from helpers.printed import Printed


def test_the_share_empty_is_a_lognormal_distribution_function() -> None:
    """Up to the shelf life; then all are empty."""
    from scipy.stats import lognorm

    ages = np.linspace(0.1, 9.9, 40)

    assert empty_share(age_years=ages, life_years=4.0, use_spread=0.5, shelf_years=10.0) == pytest.approx(
        lognorm.cdf(ages, 0.5, scale=4.0), abs=1e-12
    )
    assert float(empty_share(age_years=10.0, life_years=40.0, use_spread=0.5, shelf_years=10.0)) == 1.0


def test_expected_numbers_agree_with_a_simulation() -> None:
    """A hundred thousand cells two years old: how many of those that still work become empty in the next
    year.
    """
    lives = 3.0 * np.exp(0.5 * np.random.default_rng(7).normal(size=400_000))
    working = lives[lives > 2.0]
    share = float(np.mean(working <= 3.0))
    expected = expected_empty(
        ages_years=[2.0] * 1000, months=12, life_years=3.0, use_spread=0.5, shelf_years=20.0
    )

    assert float(expected.sum()) == pytest.approx(1000 * share, rel=0.01)


def test_cells_that_last_weeks_are_counted_every_time_they_are_empty() -> None:
    """Each holder of a hundred thousand drains one cell after the other, always in the same time: whole lives
    are counted.
    """
    lives = np.minimum(0.3 * np.exp(0.5 * np.random.default_rng(11).normal(size=400_000)), 4.0)
    old = lives[lives > 0.1]
    for age, sample in ((0.0, lives), (0.1, old)):
        expected = expected_empty(
            ages_years=[age] * 10, months=24, life_years=0.3, use_spread=0.5, shelf_years=4.0
        )
        assert float(expected.sum()) == pytest.approx(
            10 * float(np.mean(np.floor((age + 2.0) / sample))), rel=0.01
        )
        assert float(expected[:6].sum()) == pytest.approx(
            10 * float(np.mean(np.floor((age + 0.5) / sample))), rel=0.01
        )


def test_a_cell_past_its_shelf_life_is_due_at_once_and_a_fresh_one_follows() -> None:
    """One change in the first month, then what a new cell brings."""
    fresh = expected_empty(ages_years=[0.0], months=36, life_years=2.0, use_spread=0.4, shelf_years=8.0)
    past = expected_empty(ages_years=[9.0], months=36, life_years=2.0, use_spread=0.4, shelf_years=8.0)

    assert past - fresh == pytest.approx([1.0] + [0.0] * 35, abs=1e-12)


def test_the_cheapest_age_agrees_with_a_simulation_of_costs() -> None:
    """No age of a grid is cheaper in the long run of a renewal process."""
    lives = 4.0 * np.exp(0.5 * np.random.default_rng(3).normal(size=200_000))
    best = batch_age(life_years=4.0, use_spread=0.5, shelf_years=10.0, planned_cost=1.0, failure_cost=10.0)

    def cost(age: float) -> float:
        failed = lives < age
        return float(np.mean(np.where(failed, 10.0, 1.0)) / np.mean(np.minimum(lives, age)))

    assert best.cost_per_year == pytest.approx(cost(best.age_years), rel=0.02)
    assert all(cost(best.age_years) <= 1.02 * cost(age) for age in (0.8, 1.2, 2.0, 3.0, 4.0, 6.0))


def test_a_band_holds_what_it_promises() -> None:
    """At least nine in ten Poisson numbers lie inside."""
    from scipy.stats import poisson

    for expected in (0.3, 2.0, 9.0, 40.0):
        low, high = number_band(expected=expected, confidence=0.9)
        assert poisson.cdf(high, expected) - poisson.cdf(low - 1, expected) >= 0.9


def test_inner_resistance_goes_through_the_points_read() -> None:
    """20 ohm until two thirds, 30 ohm at 170 of 225 mAh."""
    assert Printed("20").agrees_with(inner_resistance_ohm(fresh_ohm=20.0, used_share=150 / 225, degc=20.0))
    assert Printed("30").agrees_with(inner_resistance_ohm(fresh_ohm=20.0, used_share=170 / 225, degc=20.0))


def test_the_usable_share_is_where_the_voltage_falls_below_the_least() -> None:
    """At that share the cell gives just the least voltage; cold takes more away than a warm room."""
    cell = {"open_v": 3.0, "fresh_ohm": 20.0, "send_a": 0.012}
    shares = [pulse_usable_share(**cell, lowest_v=2.0, degc=degrees) for degrees in (20.0, 0.0, -20.0)]

    assert shares == sorted(shares, reverse=True)
    for share, degrees in zip(shares, (20.0, 0.0, -20.0)):
        assert pulse_voltage_v(**cell, used_share=share, degc=degrees) == pytest.approx(2.0, abs=1e-6)
    assert cold_resistance_factor(degc=-20.0) == pytest.approx(4.0)


def test_pocket_presses_lengthen_the_mean_press() -> None:
    """Ten short presses a day and one of 30 s a week: 1.41 s on average."""
    assert press_mix([(10.0, 1.0), (1 / 7, 30.0)]).press_s == pytest.approx(
        (10.0 + 30.0 / 7) / (10.0 + 1 / 7)
    )
