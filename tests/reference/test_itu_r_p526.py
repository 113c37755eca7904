"""Rec. ITU-R P.526, single knife edge: against the exact Fresnel integral and another program.

The approximation J(v) is from memory. Witnesses, run here: scipy's Fresnel integrals (exact), and
itmlogic 1.2 (an implementation of the irregular-terrain model with its own knife-edge fit).
"""

from __future__ import annotations

import numpy as np
import pytest
from itmlogic.diffraction_attenuation.aknfe import aknfe
from scipy.special import fresnel

from farpress.core.reach.knife_edge import diffraction_parameter, knife_edge_loss_db


@pytest.mark.parametrize("v", [-0.5, 0.0, 0.5, 1.0, 2.0, 2.4, 3.0, 6.0])
def test_within_an_eighth_of_a_decibel_of_the_exact_integral(v: float) -> None:
    """The fit strays from the exact integral by 0.11 dB at most."""
    s, c = fresnel(v)
    exact = -20.0 * np.log10(np.hypot(1.0 - c - s, c - s) / 2.0)

    assert float(knife_edge_loss_db(parameter=v)) == pytest.approx(exact, abs=0.125)


@pytest.mark.parametrize("v", [0.0, 1.0, 2.0, 2.4, 3.0])
def test_near_the_fit_of_the_irregular_terrain_model(v: float) -> None:
    """Two fits of the same curve; theirs strays by 0.1 dB as well."""
    assert float(knife_edge_loss_db(parameter=v)) == pytest.approx(aknfe(v**2), abs=0.15)


def test_the_parameter_counts_fresnel_zones() -> None:
    """An edge one first-zone radius over the ray has v = sqrt 2: v^2/2 is the detour in half wavelengths."""
    wavelength = 299_792_458.0 / 433.92e6
    radius = np.sqrt(wavelength * 10.0 * 30.0 / 40.0)

    v = float(diffraction_parameter(height_m=radius, before_m=10.0, behind_m=30.0, frequency_hz=433.92e6))

    assert v == pytest.approx(np.sqrt(2.0), rel=1e-9)
