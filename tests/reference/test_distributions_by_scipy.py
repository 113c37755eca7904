"""SciPy, scipy.stats: distributions and root search, an independent witness.

Our functions use closed forms in incomplete gamma and beta functions; here the same
chances come from the distributions' own tails, sums and quantiles.
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy import integrate, optimize, stats

from farpress.core.keys.capacity import full_between_years, share_full_before
from farpress.core.keys.counters import (
    days_for_risk,
    share_first_press_ignored,
    share_ignored_at_random_visits,
)
from farpress.core.proving.failure_share import failure_share_interval, failure_share_upper, trials_needed
from farpress.core.upkeep.weibull import (
    best_replacement,
    failed_share,
    life_at_share_years,
    scale_from_mean_years,
)


@pytest.mark.parametrize(
    ("rate", "days", "window"),
    [(6, 1, 16), (6, 2, 16), (6, 2.7, 16), (14, 1, 16), (3.5, 5, 16), (6, 40, 256), (6, 43, 256)],
)
def test_a_first_press_is_ignored_as_often_as_the_poisson_tail_says(
    rate: float, days: float, window: int
) -> None:
    """P(N >= window) of a Poisson number, by the tail sum."""
    ours = share_first_press_ignored(unheard_mean=rate * days, window=window)

    assert ours == pytest.approx(stats.poisson.sf(window - 1, rate * days), rel=1e-10)


@pytest.mark.parametrize("spread", [2.0, 5.0, 50.0])
def test_uneven_days_follow_the_negative_binomial(spread: float) -> None:
    """The same with more spread than Poisson."""
    ours = share_first_press_ignored(unheard_mean=12.0, window=16, spread=spread)

    assert ours == pytest.approx(stats.nbinom.sf(15, spread, spread / (spread + 12.0)), rel=1e-10)


@pytest.mark.parametrize("days_a_week", [0.4, 0.8, 1.2, 2.1])
def test_random_visits_are_a_sum_over_the_days_between(days_a_week: float) -> None:
    """Sum of geometric weights times Poisson tails, 5 000 days far."""
    visit = days_a_week / 4.5
    gap = np.arange(5000)
    direct = float(np.sum(visit * (1 - visit) ** gap * stats.poisson.sf(15, 14.0 * gap)))

    assert share_ignored_at_random_visits(
        visit_share=visit, presses_per_day=14.0, window=16
    ) == pytest.approx(direct, rel=1e-9)


@pytest.mark.parametrize(
    ("rate", "window", "risk"), [(6, 16, 0.05), (14, 16, 0.01), (2, 16, 0.05), (6, 256, 0.01)]
)
def test_the_longest_gap_is_the_chi_squared_quantile(rate: float, window: int, risk: float) -> None:
    """Its formula: t = chi2(risk, 2 W) / (2 lambda)."""
    ours = days_for_risk(risk_share=risk, presses_per_day=rate, window=window)

    assert ours == pytest.approx(stats.chi2.ppf(risk, 2 * window) / (2 * rate), rel=1e-10)


@pytest.mark.parametrize("years", [2.5, 3.0, 3.5])
def test_a_memory_fills_as_the_poisson_tail_says(years: float) -> None:
    """370 free records, 120 leavers a year."""
    assert share_full_before(years=years, free=370, leavers_per_year=120.0) == pytest.approx(
        stats.poisson.sf(369, 120 * years), rel=1e-9
    )


def test_the_band_of_filling_times_is_that_of_the_gamma_distribution() -> None:
    """The last of 370 arrivals, its 5 % and 95 % points."""
    band = full_between_years(free=370, leavers_per_year=120.0, chance=0.9)

    assert band == pytest.approx(stats.gamma.ppf([0.05, 0.95], 370, scale=1 / 120), rel=1e-9)


@pytest.mark.parametrize("growth", [0.001, 0.05, 0.4])
def test_the_band_with_growth_has_the_chance_it_names(growth: float) -> None:
    """The number that came until then has the mean found by quadrature of the growing rate; Poisson's tail at
    370.
    """
    band = full_between_years(free=370, leavers_per_year=120.0, chance=0.9, growth_share=growth)
    for years, chance in ((band.early_years, 0.05), (band.late_years, 0.95)):
        mean, _ = integrate.quad(lambda t: 120.0 * np.exp(growth * t), 0.0, years)
        assert stats.poisson.sf(369, mean) == pytest.approx(chance, rel=1e-6)


@pytest.mark.parametrize(
    ("failures", "trials"), [(0, 10), (0, 59), (1, 30), (1, 93), (2, 30), (3, 50), (5, 59), (7, 7)]
)
def test_exact_limits_agree_with_the_library(failures: int, trials: int) -> None:
    """Both kinds of limits against binomtest's Clopper-Pearson interval."""
    result = stats.binomtest(failures, trials)
    two_sided = result.proportion_ci(0.95, "exact")
    one_sided = stats.binomtest(failures, trials, alternative="less").proportion_ci(0.95, "exact")

    assert failure_share_interval(failures=failures, trials=trials, confidence=0.95) == pytest.approx(
        (two_sided.low, two_sided.high), abs=1e-9
    )
    assert failure_share_upper(failures=failures, trials=trials, confidence=0.95) == pytest.approx(
        one_sided.high, abs=1e-9
    )


@pytest.mark.parametrize(
    ("share", "confidence"), [(0.1, 0.9), (0.1, 0.95), (0.05, 0.95), (0.02, 0.95), (0.01, 0.9), (0.01, 0.95)]
)
@pytest.mark.parametrize("allowed", [0, 1, 2, 3])
def test_a_plan_is_the_shortest_that_shows_it(share: float, confidence: float, allowed: int) -> None:
    """With one trial fewer the binomial tail is still too heavy."""
    needed = trials_needed(failure_share=share, confidence=confidence, failures_allowed=allowed)

    assert (
        stats.binom.cdf(allowed, needed, share)
        <= 1 - confidence
        < stats.binom.cdf(allowed, needed - 1, share)
    )


@pytest.mark.parametrize(("mean", "shape"), [(3.0, 3.0), (8.0, 1.5), (2.0, 6.0)])
def test_wear_out_is_that_of_the_weibull_distribution(mean: float, shape: float) -> None:
    """Mean, share failed and quantiles against weibull_min."""
    scale = scale_from_mean_years(mean_years=mean, shape=shape)
    witness = stats.weibull_min(shape, scale=scale)

    assert witness.mean() == pytest.approx(mean, rel=1e-9)
    assert failed_share(age_years=0.7 * mean, mean_years=mean, shape=shape) == pytest.approx(
        witness.cdf(0.7 * mean), rel=1e-9
    )
    assert life_at_share_years(share=0.1, mean_years=mean, shape=shape) == pytest.approx(
        witness.ppf(0.1), rel=1e-9
    )


def test_the_best_age_to_replace_is_found_by_another_search_too() -> None:
    """Integral by quadrature and a bracketing search give the same age and cost."""
    witness = stats.weibull_min(3.0, scale=scale_from_mean_years(mean_years=3.0, shape=3.0))

    def cost(age: float) -> float:
        return float((witness.sf(age) + 10 * witness.cdf(age)) / integrate.quad(witness.sf, 0, age)[0])

    found = optimize.minimize_scalar(cost, bracket=(0.5, 1.0, 3.0), tol=1e-10)
    ours = best_replacement(mean_years=3.0, shape=3.0, planned_cost=1.0, failure_cost=10.0)

    assert ours is not None
    assert ours.age_years == pytest.approx(found.x, rel=1e-4)
    assert ours.cost_per_year == pytest.approx(found.fun, rel=1e-9)
