"""Noise at a receiver: its own, and what the surroundings add.

Steady noise only. Bursts of other transmitters are a share of time (`contention`).
"""

from __future__ import annotations

from typing import Final, Literal

import numpy as np

from farpress.errors import require_range
from farpress.sources import Mark, cites

__all__ = [
    "NOISE_PLACE_SD_DB",
    "SURROUNDINGS_NOISE_DB",
    "business_noise_figure_db",
    "man_made_noise_figure_db",
    "needed_level_dbm",
    "noise_floor_dbm",
    "noise_spread_db",
    "total_noise_figure_db",
]

BOLTZMANN_J_PER_K: Final = 1.380649e-23
"""Exact by definition of the kelvin (SI Brochure, 9th ed., from memory)."""

REFERENCE_K: Final = 290.0
"""Reference temperature of noise figures."""

SURROUNDINGS_NOISE_DB: Final[dict[str, float]] = {
    "city": 16.0,
    "business": 12.0,
    "residential": 3.0,
    "rural": 3.0,
}
"""External noise over kT0 near 433 MHz [dB]: city and residential after the indoor table of Rec. ITU-R P.372
(425 MHz,
from memory), business after P.372-8; rural has no value there, so the residential one is kept as the upper
side (our choice)."""

NOISE_PLACE_SD_DB: Final[dict[str, float]] = {"city": 6.6, "business": 6.6, "residential": 4.5, "rural": 5.3}
"""How far that noise scatters from place to place, one standard deviation [dB]: upper deciles of location of
Rec. ITU-R P.372 (8.4, 5.8 and 6.8 dB, made for 250 MHz and below, from memory) over 1.28; business as
city."""

_MAN_MADE: Final = {"city": (76.8, 27.7), "residential": (72.5, 27.7), "rural": (67.2, 27.7)}


@cites("Thermal noise k T B, textbook", mark=Mark.MEMORY)
def noise_floor_dbm(*, bandwidth_hz: float, noise_figure_db: float) -> float:
    """Noise power in a bandwidth, referred to the aerial [dBm].

    Args:
        bandwidth_hz: of the receiver [Hz].
        noise_figure_db: of the receiver, or of receiver and surroundings together [dB].

    Example:
        >>> noise_floor_dbm(bandwidth_hz=50e3, noise_figure_db=0.0)
        -126.986
    """
    require_range("bandwidth_hz", bandwidth_hz, "Hz", low=1.0, high=1e9, because="our choice")
    return float(10.0 * np.log10(BOLTZMANN_J_PER_K * REFERENCE_K * bandwidth_hz * 1000.0) + noise_figure_db)


@cites("Rec. ITU-R P.372", place="external noise and receiver noise figure together", mark=Mark.MEMORY)
def total_noise_figure_db(*, external_db: float, noise_figure_db: float) -> float:
    """Noise figure of receiver and surroundings together: fa + f - 1 as ratios [dB].

    Args:
        external_db: noise of the surroundings over kT0 [dB].
        noise_figure_db: of the receiver [dB].

    Example:
        >>> total_noise_figure_db(external_db=11.86, noise_figure_db=6.0)
        12.63
    """
    require_range(
        "noise_figure_db", noise_figure_db, "dB", low=0.0, high=60.0, because="a receiver adds noise"
    )
    return float(10.0 * np.log10(10.0 ** (external_db / 10.0) + 10.0 ** (noise_figure_db / 10.0) - 1.0))


@cites("Rec. ITU-R P.372", place="spread of external noise from place to place", mark=Mark.MEMORY)
def noise_spread_db(*, external_db: float, noise_figure_db: float, external_sd_db: float) -> float:
    """How far receiver and surroundings together scatter: what the receiver's own noise hides does not [dB].

    Args:
        external_db: noise of the surroundings over kT0 [dB].
        noise_figure_db: of the receiver [dB].
        external_sd_db: how far the surroundings scatter, one standard deviation [dB].

    Example:
        >>> round(noise_spread_db(external_db=16.0, noise_figure_db=6.0, external_sd_db=6.6), 3)
        6.14
    """
    total = total_noise_figure_db(external_db=external_db, noise_figure_db=noise_figure_db)
    return float(external_sd_db * 10.0 ** ((external_db - total) / 10.0))


@cites(
    "Link budget, textbook",
    place="needed level = noise floor + signal-to-noise ratio of the data sheet",
    mark=Mark.MEMORY,
)
def needed_level_dbm(*, sensitivity_dbm: float, own_floor_dbm: float, present_floor_dbm: float) -> float:
    """Level a receiver needs where the noise is higher than in the laboratory [dBm].

    The ratio of signal to noise that the data sheet's sensitivity implies is kept.

    Args:
        sensitivity_dbm: of the data sheet [dBm].
        own_floor_dbm: the receiver's own noise in its bandwidth [dBm].
        present_floor_dbm: noise where it is mounted, its own included [dBm]; when a reading lies
            below its own noise, its own noise counts.

    Example:
        >>> needed_level_dbm(sensitivity_dbm=-103.0, own_floor_dbm=-116.0, present_floor_dbm=-112.0)
        -99.0
    """
    return sensitivity_dbm + max(present_floor_dbm - own_floor_dbm, 0.0)


@cites("Rec. ITU-R P.372", edition="8", place="business areas, 200 MHz to 900 MHz", mark=Mark.COPY)
def business_noise_figure_db(*, frequency_hz: float) -> float:
    """Median man-made noise of business areas, 44.3 - 12.3 log f(MHz) [dB].

    Example:
        >>> business_noise_figure_db(frequency_hz=433.92e6)
        11.86
    """
    require_range("frequency_hz", frequency_hz, "Hz", low=200e6, high=900e6, because="Rec. ITU-R P.372-8")
    return float(44.3 - 12.3 * np.log10(frequency_hz / 1e6))


@cites("Rec. ITU-R P.372", place="man-made noise c - d log f(MHz), 0.3 MHz to 250 MHz", mark=Mark.COPY)
def man_made_noise_figure_db(
    *, frequency_hz: float, surroundings: Literal["city", "residential", "rural"]
) -> float:
    """Median man-made noise below 250 MHz [dB]; refused above, where the law does not hold.

    Args:
        frequency_hz: 0.3 MHz to 250 MHz [Hz].
        surroundings: kind of the area.

    Example:
        >>> man_made_noise_figure_db(frequency_hz=100e6, surroundings="city")
        21.4
    """
    require_range(
        "frequency_hz",
        frequency_hz,
        "Hz",
        low=0.3e6,
        high=250e6,
        because="Rec. ITU-R P.372",
        hint="At 433 MHz use SURROUNDINGS_NOISE_DB.",
    )
    c, d = _MAN_MADE[surroundings]
    return float(c - d * np.log10(frequency_hz / 1e6))
