"""Two-ray ground reflection, textbook: the plane-earth law, and images over a perfect ground.

Asymptote 40 log d - 20 log(h1 h2) (textbook, from memory; the figures 61.6 and 73.6 dB for
1.2 m / 2.5 m at 60 m and 120 m were computed from it). Independent derivation: over a perfectly
conducting ground the vertical field is that of the aerial and its equal image, the horizontal
one that of an opposite image.
"""

from __future__ import annotations

import numpy as np
import pytest

from farpress.core.reach.two_ray import breakpoint_m, ground_reflection, two_ray_loss_db

FREQUENCY_HZ = 433.92e6
GROUND = {"permittivity": 16.306, "conductivity_s_per_m": 0.00897, "frequency_hz": FREQUENCY_HZ}


@pytest.mark.parametrize("polarisation", ["vertical", "horizontal"])
def test_far_away_the_loss_is_that_of_the_plane_earth(polarisation: str) -> None:
    """Far beyond the breakpoint both lose 40 log d - 20 log(h1 h2); aerials several wavelengths up, as the
    law wants.

    At 1.2 m over real ground the vertical one is about 1 dB better than the law: the ground reflects less.
    """
    loss = float(
        two_ray_loss_db(
            ground_distance_m=50_000.0,
            height_a_m=25.0,
            height_b_m=12.0,
            polarisation=polarisation,
            average_m=0.0,
            **GROUND,
        )
    )  # type: ignore[arg-type]

    assert loss == pytest.approx(40.0 * np.log10(50_000.0) - 20.0 * np.log10(25.0 * 12.0), abs=0.2)


@pytest.mark.parametrize("distance_m", [10.0, 35.0, 100.0])
def test_over_perfect_ground_the_reflected_ray_comes_from_an_opposite_image(distance_m: float) -> None:
    """Very good ground, horizontal: direct ray less image ray."""
    turn = 2.0 * np.pi * FREQUENCY_HZ / 299_792_458.0
    direct, bounced = np.hypot(distance_m, 1.8), np.hypot(distance_m, 4.2)
    image = abs(np.exp(-1j * turn * direct) / direct - np.exp(-1j * turn * bounced) / bounced) / (2.0 * turn)

    loss = float(
        two_ray_loss_db(
            ground_distance_m=distance_m,
            height_a_m=3.0,
            height_b_m=1.2,
            frequency_hz=FREQUENCY_HZ,
            permittivity=1e9,
            conductivity_s_per_m=0.0,
            polarisation="horizontal",
            average_m=0.0,
        )
    )

    assert loss == pytest.approx(-20.0 * np.log10(image), abs=0.01)


def test_there_is_an_angle_that_reflects_nothing_vertical() -> None:
    """Brewster: on a lossless ground the vertical reflection vanishes at tan psi = 1/sqrt(eps)."""
    brewster = np.arctan(1.0 / np.sqrt(16.0))

    gamma = ground_reflection(
        grazing_rad=brewster,
        permittivity=16.0,
        conductivity_s_per_m=0.0,
        frequency_hz=FREQUENCY_HZ,
        polarisation="vertical",
    )

    assert abs(complex(gamma)) < 1e-9


def test_the_average_takes_the_hole_out() -> None:
    """Horizontal at 10 m lies in a hole; averaged over 2 m either side it does not."""
    sharp, soft = (
        float(
            two_ray_loss_db(
                ground_distance_m=10.0,
                height_a_m=3.0,
                height_b_m=1.2,
                polarisation="horizontal",
                average_m=average,
                **GROUND,
            )
        )  # type: ignore[arg-type]
        for average in (0.0, 2.0)
    )

    assert soft < sharp - 5.0


def test_the_breakpoint_is_where_the_rays_differ_by_half_a_wavelength_nearly() -> None:
    """At 4 h1 h2 / wavelength the detour of the ground ray is half a wavelength (for low aerials)."""
    far = breakpoint_m(height_a_m=1.2, height_b_m=1.0, frequency_hz=FREQUENCY_HZ)
    detour = np.hypot(far, 2.2) - np.hypot(far, 0.2)

    assert detour == pytest.approx(299_792_458.0 / FREQUENCY_HZ / 2.0, rel=0.05)
