"""Rec. ITU-R P.372, noise: kT0 against the constants of nature, and the joining of noise factors.

The laws c - d log f were read in three independent implementations (business: edition 8); the
Recommendation was not at hand. Friis' formula is checked by adding powers, watt by watt.
k T0 = 4.00e-21 W/Hz and -174 dBm/Hz are the textbook figures (from memory).
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy.constants import Boltzmann

from farpress.core.reach.noise import (
    business_noise_figure_db,
    man_made_noise_figure_db,
    needed_level_dbm,
    noise_floor_dbm,
    total_noise_figure_db,
)
from farpress.errors import OutOfRange
from helpers.printed import Printed


def test_one_hertz_holds_minus_174_dbm() -> None:
    """The textbook's figure, to its digits."""
    assert Printed("-174").agrees_with(noise_floor_dbm(bandwidth_hz=1.0, noise_figure_db=0.0))


def test_the_floor_follows_from_the_constants_of_nature() -> None:
    """Boltzmann's constant comes from scipy, the rest is watts."""
    watts = Boltzmann * 290.0 * 50e3

    assert noise_floor_dbm(bandwidth_hz=50e3, noise_figure_db=0.0) == pytest.approx(
        10.0 * np.log10(watts / 1e-3), abs=1e-9
    )


def test_noise_of_surroundings_and_receiver_add_as_powers() -> None:
    """An aerial that sees 16 T0 and a receiver that adds 9 T0 make 25 T0 together."""
    total = total_noise_figure_db(external_db=10.0 * np.log10(16.0), noise_figure_db=10.0 * np.log10(10.0))

    assert total == pytest.approx(10.0 * np.log10(25.0), abs=1e-9)


def test_the_business_law_falls_by_its_slope() -> None:
    """44.3 dB at 1 MHz by its formula, 12.3 dB less for each tenfold: 200 MHz and 900 MHz differ by 12.3 log
    4.5.
    """
    fall = business_noise_figure_db(frequency_hz=200e6) - business_noise_figure_db(frequency_hz=900e6)

    assert fall == pytest.approx(12.3 * np.log10(4.5), abs=1e-9)
    assert business_noise_figure_db(frequency_hz=433.92e6) == pytest.approx(
        44.3 - 12.3 * np.log10(433.92), abs=1e-9
    )


def test_the_law_for_low_frequencies_is_refused_at_ours() -> None:
    """Extrapolated to 433 MHz it would give less noise than nature."""
    with pytest.raises(OutOfRange, match=r"P\.372"):
        man_made_noise_figure_db(frequency_hz=433.92e6, surroundings="city")


def test_more_noise_asks_for_as_much_more_level() -> None:
    """The ratio of signal to noise is kept; a quieter reading than the receiver's own noise changes
    nothing.
    """
    assert needed_level_dbm(sensitivity_dbm=-103.0, own_floor_dbm=-118.0, present_floor_dbm=-112.0) == -97.0
    assert needed_level_dbm(sensitivity_dbm=-103.0, own_floor_dbm=-118.0, present_floor_dbm=-125.0) == -103.0
