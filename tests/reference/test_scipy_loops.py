"""Odds of resistors in a loop, against scipy: exact distributions, quadrature and seeded draws.

scipy.stats.uniform and irwinhall, scipy.integrate.quad (SciPy reference guide,
https://docs.scipy.org/doc/scipy/reference/); the independent library is the reference, run
by the tests. The first case is the closed form of one resistor.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy import integrate, optimize, stats

from farpress.core.wiring.elements import CurrentLoad, PowerLoad, Resistor, VoltageSource
from farpress.core.wiring.loop_tolerance import outside_share, parallel_outside_share
from farpress.core.wiring.phasors import solve_ac


def test_one_resistor_has_the_odds_of_an_even_spread() -> None:
    """2.2 kohm of 5 % behind 11.52 ohm against 2112 to 2288 ohm."""
    spread = stats.uniform(loc=2200 * 0.95 + 11.52, scale=2200 * 0.1)
    outside = spread.cdf(2112) + spread.sf(2288)

    assert outside_share(
        resistors_ohm=(2200.0,), tolerance_share=0.05, low_ohm=2112.0, high_ohm=2288.0, added_ohm=11.52
    ) == pytest.approx(outside, abs=1e-12)


@pytest.mark.parametrize("count", [2, 3, 4])
def test_equal_resistors_have_the_odds_of_irwin_and_hall(count: int) -> None:
    """Sum of equal even spreads."""
    spread = stats.irwinhall(count)
    low, high = count * 1000 * 0.98, count * 1000 * 1.015
    inside = spread.cdf((high - count * 950) / 100) - spread.cdf((low - count * 950) / 100)

    assert outside_share(
        resistors_ohm=(1000.0,) * count, tolerance_share=0.05, low_ohm=low, high_ohm=high
    ) == pytest.approx(1 - inside, abs=1e-10)


def test_unequal_resistors_have_the_odds_of_the_folded_integral() -> None:
    """2.2 and 4.7 kohm of 5 %: one spread integrated over the other."""
    one, other = stats.uniform(2090, 220), stats.uniform(4465, 470)
    inside, _ = integrate.quad(
        lambda ohm: one.pdf(ohm) * (other.cdf(7050 - 20 - ohm) - other.cdf(6600 - 20 - ohm)), 2090, 2310
    )

    assert outside_share(
        resistors_ohm=(2200.0, 4700.0), tolerance_share=0.05, low_ohm=6600.0, high_ohm=7050.0, added_ohm=20.0
    ) == pytest.approx(1 - inside, abs=1e-7)


def test_two_resistors_side_by_side_have_the_odds_of_a_million_draws() -> None:
    """Seeded; the standard deviation of the share is 0.0005."""
    dice = np.random.default_rng(1)
    one, other = dice.uniform(2090, 2310, 1_000_000), dice.uniform(4465, 4935, 1_000_000)
    together = one * other / (one + other) + 8.0
    outside = float(np.mean((together < 1460) | (together > 1550)))

    ours = parallel_outside_share(
        one_ohm=2200.0, other_ohm=4700.0, tolerance_share=0.05, low_ohm=1460.0, high_ohm=1550.0, added_ohm=8.0
    )
    assert ours == pytest.approx(outside, abs=0.002)


def test_converters_on_a_transformer_settle_where_a_root_finder_settles() -> None:
    """scipy.optimize.fsolve on the same two equations, real and imaginary part."""

    def wrong(unknown: np.ndarray) -> list[float]:
        volts = complex(*unknown)
        lag = np.exp(-1j * math.acos(0.7))
        drawn = 12.0 / 0.7 * lag / volts.conjugate() + 0.4 * np.exp(-1j * math.acos(0.5)) * volts / abs(volts)
        left = 24.0 - (1.5 + 2.0) * drawn - volts
        return [left.real, left.imag]

    root = optimize.fsolve(wrong, [24.0, 0.0], xtol=1e-13)
    solved = solve_ac(
        [
            VoltageSource("t", "s", "0", 24.0, 1.5),
            Resistor("cable", "s", "p", 2.0),
            PowerLoad("lamp", "p", "0", 12.0, 0.7),
            CurrentLoad("coil", "p", "0", 0.4, 0.5),
        ],
        frequency_hz=50.0,
    )

    # the cable's end sees both loads behind 3.5 ohm
    assert solved.volts["p"] == pytest.approx(complex(*root), rel=1e-9)
