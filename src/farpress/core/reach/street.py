"""Loss along streets between low aerials, in sight and round the corner.

The pessimistic side of `two_ray`, and the answer beyond corners. The street-level form is
made for aerials 1.9 m to 3 m high; a hand at 1.2 m lies below and is extrapolated.
"""

from __future__ import annotations

from typing import Final, Literal

import numpy as np

from farpress.core.reach.normal import normal_deviate
from farpress.core.reach.two_ray import breakpoint_m
from farpress.errors import require_range
from farpress.sources import Mark, cites
from farpress.units import wavelength_m

__all__ = ["sight_distance_m", "street_canyon_loss_db", "street_level_loss_db"]

_URBAN_DB: Final = {"suburban": 0.0, "urban": 6.8, "dense high-rise": 2.3}
_SIGMA_DB: Final = 7.0
_CORNER_M: Final = 20.0


@cites("Rec. ITU-R P.1411", edition="12", place="4.3.1, near street level", mark=Mark.COPY)
def street_level_loss_db(
    *,
    distance_m: float,
    frequency_hz: float,
    share: float,
    surroundings: Literal["suburban", "urban", "dense high-rise"],
) -> float:
    """Loss between two aerials near street level, not exceeded in a share of places [dB].

    Args:
        distance_m: 1 m to 3 km [m].
        frequency_hz: 300 MHz to 3 GHz [Hz].
        share: share of places, 0.01 to 0.99.
        surroundings: kind of the built-up area.

    Source:
        Rec. ITU-R P.1411-12, 4.3.1, read in an independent implementation.

    Example:
        >>> street_level_loss_db(distance_m=100.0, frequency_hz=433.92e6, share=0.5, surroundings="suburban")
        88.183
    """
    require_range(
        "distance_m",
        distance_m,
        "m",
        low=1.0,
        high=3000.0,
        because="Rec. ITU-R P.1411, 4.3.1; the lower end is our choice",
    )
    require_range("frequency_hz", frequency_hz, "Hz", low=300e6, high=3e9, because="Rec. ITU-R P.1411, 4.3.1")
    require_range(
        "share", share, "", low=0.01, high=0.99, because="our choice, the fit is not made for the tails"
    )
    mhz, km = frequency_hz / 1e6, distance_m / 1000.0
    seen = sight_distance_m(share=share)
    if distance_m < seen:
        return _in_sight_db(mhz, km, share)
    if distance_m > seen + _CORNER_M:
        return _out_of_sight_db(mhz, km, share, surroundings)
    near = _in_sight_db(mhz, seen / 1000.0, share)
    far = _out_of_sight_db(mhz, (seen + _CORNER_M) / 1000.0, share, surroundings)
    return near + (far - near) * (distance_m - seen) / _CORNER_M


def _in_sight_db(mhz: float, km: float, share: float) -> float:
    spread = 1.5624 * _SIGMA_DB * (np.sqrt(-2.0 * np.log(1.0 - share)) - 1.1774)
    return float(32.45 + 20.0 * np.log10(mhz) + 20.0 * np.log10(km) + spread)


def _out_of_sight_db(mhz: float, km: float, share: float, surroundings: str) -> float:
    return float(
        9.5
        + 45.0 * np.log10(mhz)
        + 40.0 * np.log10(km)
        + _URBAN_DB[surroundings]
        + _SIGMA_DB * normal_deviate(share=share)
    )


@cites("Rec. ITU-R P.1411", edition="12", place="4.3.1, distance up to which there is sight", mark=Mark.COPY)
def sight_distance_m(*, share: float) -> float:
    """Distance up to which a share of places still has sight [m].

    Example:
        >>> sight_distance_m(share=0.5)
        44.2
    """
    log = float(np.log10(share))
    return 212.0 * log**2 - 64.0 * log if share < 0.45 else 79.2 - 70.0 * share


@cites("Rec. ITU-R P.1411", edition="12", place="4.1.2, UHF street canyon in sight", mark=Mark.COPY)
def street_canyon_loss_db(
    *,
    distance_m: float,
    height_a_m: float,
    height_b_m: float,
    frequency_hz: float,
    bound: Literal["lower", "median", "upper"],
) -> float:
    """Loss along a street in sight, with a lower and an upper bound [dB].

    Args:
        distance_m: 1 m to 1 km [m].
        height_a_m, height_b_m: heights of the aerials over the street [m].
        frequency_hz: 300 MHz to 3 GHz [Hz].
        bound: "lower", "median" or "upper".

    Example:
        >>> street_canyon_loss_db(
        ...     distance_m=100.0, height_a_m=3.0, height_b_m=1.2, frequency_hz=433.92e6, bound="median"
        ... )
        78.796
    """
    require_range(
        "distance_m",
        distance_m,
        "m",
        low=1.0,
        high=1000.0,
        because="Rec. ITU-R P.1411, 4.1.2; the lower end is our choice",
    )
    require_range("frequency_hz", frequency_hz, "Hz", low=300e6, high=3e9, because="Rec. ITU-R P.1411, 4.1.2")
    wave = wavelength_m(frequency_hz)
    at_break = abs(20.0 * np.log10(wave**2 / (8.0 * np.pi * height_a_m * height_b_m)))
    x = np.log10(
        distance_m / breakpoint_m(height_a_m=height_a_m, height_b_m=height_b_m, frequency_hz=frequency_hz)
    )
    added, near_slope = {"lower": (0.0, 20.0), "median": (6.0, 20.0), "upper": (20.0, 25.0)}[bound]
    return float(at_break + added + (near_slope if x <= 0.0 else 40.0) * x)
