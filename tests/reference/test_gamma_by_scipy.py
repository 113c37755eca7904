"""Waiting times until something has happened so many times, beside scipy.special.

Witnesses, run here: scipy.special.gammainc, gammaincinv.
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy.special import gammainc, gammaincinv

from farpress.core.keys.gamma_times import gamma_quantile, gamma_share
from farpress.errors import OutOfRange

TIMES = [1, 2, 3, 7, 40, 370, 1000, 5000, 100_000]


@pytest.mark.parametrize("times", TIMES)
def test_the_chance_that_it_has_happened(times: int) -> None:
    """From hardly ever to nearly always."""
    at = times * np.array([1e-3, 0.2, 0.6, 0.9, 0.97, 1.0, 1.03, 1.1, 1.5, 4.0])

    np.testing.assert_allclose(
        [gamma_share(times=times, time=float(time)) for time in at],
        gammainc(times, at),
        rtol=3e-10 if times > 5000 else 2e-11,
        atol=1e-300,
    )


@pytest.mark.parametrize("times", TIMES)
def test_the_time_by_which_it_has_happened(times: int) -> None:
    """Both tails and the middle, to the twelfth digit."""
    shares = np.array([1e-9, 1e-4, 0.025, 0.05, 0.3, 0.5, 0.95, 0.975, 0.9999, 1 - 1e-9])

    np.testing.assert_allclose(
        [gamma_quantile(times=times, share=float(share)) for share in shares],
        gammaincinv(times, shares),
        rtol=1e-12,
        atol=0.0,
    )


@pytest.mark.parametrize(("times", "share"), [(0, 0.5), (3, 0.0), (3, 1.0), (3, float("nan"))])
def test_what_is_no_time_is_refused(times: int, share: float) -> None:
    """Never, no chance, certainty, no number."""
    with pytest.raises(OutOfRange):
        gamma_quantile(times=times, share=share)
