"""Contacts, coils and loops against independent calculation: numpy, scipy, exact sums."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from farpress.core.wiring.coils import dc13_coil, release_time_s, snubber_peak
from farpress.core.wiring.contacts import allowed_share, expected_operations, fit_life
from farpress.core.wiring.loops import (
    Band,
    LoopState,
    overlaps,
    terminal_band,
    terminal_ohm,
    terminal_states,
    uniform_sd_ohm,
)
from farpress.errors import InputError, OutOfRange

LIFE = ((2.0, 50_000.0), (0.70, 200_000.0), (0.25, 500_000.0), (0.10, 1_000_000.0))
"""Current [A] and operations at 24 V DC, L/R 7 ms: appendix of a relay module, read in a copy."""


def test_the_life_law_is_the_least_squares_line_of_numpy() -> None:
    """In logarithms, through the four points of the relay module."""
    slope, offset = np.polyfit(np.log([a for a, _ in LIFE]), np.log([n for _, n in LIFE]), 1)
    fit = fit_life(LIFE)

    assert fit.exponent == pytest.approx(-slope)
    assert fit.at_1_a == pytest.approx(math.exp(offset))
    assert fit.exponent == pytest.approx(0.992, abs=5e-4)


def test_life_is_not_extrapolated_to_nothing() -> None:
    """A twentieth of the rating is the least that counts, and mechanics end it."""
    assert expected_operations(rated_operations=1e5, rated_a=2.0, current_a=0.001) == expected_operations(
        rated_operations=1e5, rated_a=2.0, current_a=0.1
    )
    assert expected_operations(rated_operations=5e6, rated_a=2.0, current_a=0.1) == 1e7


def test_the_decay_of_a_coil_is_that_of_an_integrator() -> None:
    """24 V, 576 ohm, 1.2 H, diode and 576 ohm."""
    start = 24 / 576
    closed = release_time_s(
        coil_ohm=576.0, coil_h=1.2, current_a=start, release_share=0.15, clamp_v=0.7, clamp_ohm=576.0
    )

    def falls(_: float, current: np.ndarray) -> np.ndarray:
        return -(current * 1152 + 0.7) / 1.2

    def released(_: float, current: np.ndarray) -> float:
        return float(current[0] - 0.15 * start)

    released.terminal = True  # type: ignore[attr-defined]
    run = solve_ivp(falls, (0, 0.1), [start], events=released, rtol=1e-10, atol=1e-14)
    assert closed == pytest.approx(run.t_events[0][0], rel=1e-6)


@pytest.mark.parametrize("resistance_ohm", [0.0, 47.0, 3000.0])
def test_the_peak_across_a_snubber_is_that_of_an_integrator(resistance_ohm: float) -> None:
    """Ringing and creeping alike: 24 V, 96 ohm, 0.3 H, 1 uF."""

    def moves(_: float, state: np.ndarray) -> list[float]:
        charge_v, current = state
        return [current / 1e-6, (24 - current * (96 + resistance_ohm) - charge_v) / 0.3]

    at = np.linspace(0, 0.02, 200_001)
    run = solve_ivp(moves, (0, 0.02), [0.0, 0.25], t_eval=at, rtol=1e-9, atol=1e-12)
    across = run.y[0] + resistance_ohm * run.y[1]
    peak = snubber_peak(
        voltage_v=24.0, coil_ohm=96.0, coil_h=0.3, capacitance_f=1e-6, resistance_ohm=resistance_ohm
    )

    assert peak.volts == pytest.approx(float(across.max()), rel=1e-5)
    assert peak.step_v == pytest.approx(0.25 * resistance_ohm)


def test_a_large_coil_keeps_its_time_constant() -> None:
    """Above 50 W the rule of 6 ms per watt stops at 300 ms."""
    assert dc13_coil(voltage_v=24.0, power_w=80.0).time_constant_s == pytest.approx(0.1)


def test_shares_follow_the_load() -> None:
    """Coils, lamps and motors wear a contact more than heaters; DC coils above 30 V are not rated."""
    shares = {
        kind: allowed_share(kind=kind, voltage_v=24.0, alternating=False, suppressed=False)
        for kind in ("resistive", "inductive dc", "motor", "lamp")
    }  # type: ignore[arg-type]

    assert sorted(shares, key=lambda kind: shares[kind]) == ["lamp", "motor", "inductive dc", "resistive"]
    assert allowed_share(kind="inductive dc", voltage_v=48.0, alternating=False, suppressed=True) == 0.0


def test_every_scheme_gives_its_states_at_the_far_end() -> None:
    """Closed, open, one, two and three resistors."""
    states = {
        state.name: state.far_ohm
        for state in terminal_states(scheme="double end-of-line", normal_ohm=2200.0, alarm_ohm=4700.0)[:2]
    }
    assert states == {"normal": 2200.0, "alarm": 6900.0}
    assert terminal_states(scheme="two-resistor", normal_ohm=3300.0, alarm_ohm=3300.0)[
        1
    ].far_ohm == pytest.approx(1650.0)
    assert [
        state.far_ohm
        for state in terminal_states(scheme="masked", normal_ohm=1000.0, alarm_ohm=2000.0, mask_ohm=5000.0)
    ][2:4] == [6000.0, 8000.0]
    assert [state.far_ohm for state in terminal_states(scheme="single end-of-line", normal_ohm=5600.0)] == [
        5600.0,
        0.0,
        math.inf,
    ]
    with pytest.raises(InputError, match="needs mask_ohm"):
        terminal_states(scheme="masked", normal_ohm=1000.0, alarm_ohm=2000.0)


def test_a_leak_shows_where_the_loop_is_open() -> None:
    """A cut cable with damp in it reads as the damp."""
    assert terminal_ohm(far_ohm=math.inf, loop_ohm=11.52, leak_ohm=16_000.0) == pytest.approx(16_011.52)
    assert terminal_ohm(far_ohm=2200.0, loop_ohm=0.0, leak_ohm=2200.0) == pytest.approx(1100.0)


def test_bands_of_different_states_that_touch_are_found() -> None:
    """Bands of the same state may."""
    bands = (Band("normal", 100.0, 200.0), Band("alarm", 190.0, 300.0), Band("alarm", 250.0, 400.0))

    assert [(one.low_ohm, other.low_ohm) for one, other in overlaps(bands)] == [(100.0, 190.0)]


def test_spread_of_two_resistors_is_that_of_a_million_drawn_ones() -> None:
    """Evenly spread over 5 %; seeded, held to 0.5 %."""
    draw = np.random.default_rng(1)
    drawn = 2200 * draw.uniform(0.95, 1.05, 1_000_000) + 4700 * draw.uniform(0.95, 1.05, 1_000_000)

    assert uniform_sd_ohm(resistors_ohm=(2200.0, 4700.0), tolerance_share=0.05) == pytest.approx(
        float(drawn.std()), rel=5e-3
    )


def test_a_share_given_as_per_cent_is_caught() -> None:
    """5 instead of 0.05."""
    with pytest.raises(OutOfRange, match="per cent"):
        terminal_band(state=LoopState("normal", 2200.0), tolerance_share=5.0, loop_ohm=0.0)
