"""The few normal deviates and fading chances we compute without scipy, against scipy.special.

Witnesses, run here: scipy.special.ndtr, ndtri, log_ndtr, chndtr.
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy.special import chndtr, log_ndtr, ndtr, ndtri

from farpress.core.reach.normal import log_normal_share, normal_deviate, normal_share
from farpress.core.reach.rice import rice_share
from farpress.errors import OutOfRange


def test_the_share_below_a_deviate() -> None:
    """From certainty to one in 10^300, to the twelfth digit."""
    deviates = np.linspace(-37.0, 9.0, 4601).reshape(-1, 1)

    assert normal_share(deviate=deviates).shape == deviates.shape
    np.testing.assert_allclose(normal_share(deviate=deviates), ndtr(deviates), rtol=1e-12, atol=0.0)


def test_the_deviate_of_a_share() -> None:
    """Both tails and the middle; certainty has none."""
    shares = np.concatenate([np.logspace(-12, -0.31, 500), 1.0 - np.logspace(-12, -0.31, 500)])

    np.testing.assert_allclose([normal_deviate(share=share) for share in shares], ndtri(shares), rtol=2e-14)
    for share in (0.0, 1.0):
        with pytest.raises(OutOfRange):
            normal_deviate(share=share)


def test_the_logarithm_of_a_share_far_out_too() -> None:
    """Over every seam between the three ways of computing it."""
    deviates = np.linspace(-200.0, 9.0, 20_901)

    np.testing.assert_allclose(
        [log_normal_share(deviate=deviate) for deviate in deviates],
        log_ndtr(deviates),
        rtol=3e-13,
        atol=1e-300,
    )


@pytest.mark.parametrize("factor", [0.0, 1e-3, 0.1, 1.0, 7.3, 31.6, 100.0, 1e4])
def test_fading_is_the_non_central_chi_square(factor: float) -> None:
    """Chance of too little power, as scipy counts it; ours counts the chance of enough."""
    margins = np.arange(-40.0, 60.0, 0.25)
    power = 2.0 * (1.0 + factor) * 10.0 ** (-margins / 10.0)

    np.testing.assert_allclose(
        rice_share(margin_db=margins, factor=factor),
        1.0 - chndtr(power, 2.0, 2.0 * factor),
        rtol=0.0,
        atol=3e-13 if factor <= 100.0 else 2e-11,
    )
