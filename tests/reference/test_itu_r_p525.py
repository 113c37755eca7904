"""Rec. ITU-R P.525, free space: against an independent program and an independent derivation.

The Recommendation was not at hand (formula from memory). Witness 1: a ray tracer (sionna-rt 2.2.0)
gave 45.19598 dB for 10 m at 433.92 MHz, read when it was run for this project. Witness 2: Friis'
law from the field, E = sqrt(30 P)/d, power density E^2/(120 pi) on an aperture of
wavelength^2/(4 pi). Witness 3: scikit-rf and tmm do not know it; the law itself is in the properties.
"""

from __future__ import annotations

import math

import pytest

from farpress.core.reach.free_space import free_space_loss_db
from helpers.printed import Printed


def test_ten_metres_are_those_of_a_ray_tracer() -> None:
    """The ray tracer's figure for 10 m, to its digits."""
    assert Printed("45.19598").agrees_with(float(free_space_loss_db(distance_m=10.0, frequency_hz=433.92e6)))


@pytest.mark.parametrize("distance_m", [3.0, 10.0, 50.0, 100.0])
def test_the_loss_follows_from_the_field(distance_m: float) -> None:
    """One watt, its field, its power density, and what an isotropic aerial takes of it."""
    wavelength = 299_792_458.0 / 433.92e6
    density = (math.sqrt(30.0) / distance_m) ** 2 / (120.0 * math.pi)
    received = density * wavelength**2 / (4.0 * math.pi)

    assert float(free_space_loss_db(distance_m=distance_m, frequency_hz=433.92e6)) == pytest.approx(
        -10.0 * math.log10(received), abs=1e-9
    )
