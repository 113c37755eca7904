"""Small aerials, the coax behind them, and the steel box round them.

Estimates for planning: a reading taken on site beats each of them.
"""

from __future__ import annotations

import functools
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from farpress.errors import require_range
from farpress.sources import Mark, cites
from farpress.units import wavelength_m

__all__ = [
    "RANDOM_POLARISATION_DB",
    "coax_loss_db",
    "held_spread_db",
    "loop_efficiency_db",
    "polarisation_loss_db",
    "rod_pattern_db",
    "slot_shielding_db",
]

COPPER_S_PER_M: Final = 5.8e7
"""Conductivity of copper (textbook, from memory)."""

RANDOM_POLARISATION_DB: Final = 3.01
"""Mean loss of a fob held at a random angle to a vertical aerial: mean of cos squared, computed."""

CROSSED_DB: Final = 8.0
"""What crossed aerials lose in rooms and yards, 6 dB to 10 dB (from memory); the middle is our choice."""

COAX_TABLE_HZ: Final = 450e6
"""Frequency at which catalogue losses of coax are stated here."""


@cites(
    "Small loop aerial, textbook",
    place="320 pi^4 A^2 / wavelength^4 against the loss of the conductor",
    mark=Mark.MEMORY,
)
def loop_efficiency_db(
    *, diameter_m: float, track_width_m: float, frequency_hz: float, capacitor_ohm: float
) -> float:
    """Radiation efficiency of a small round printed loop [dB], 0 or below.

    Args:
        diameter_m: of the loop, below a tenth of a wavelength [m].
        track_width_m: width of the copper track [m].
        frequency_hz: carrier frequency [Hz].
        capacitor_ohm: series resistance of the tuning capacitor [ohm].

    Example:
        >>> loop_efficiency_db(
        ...     diameter_m=0.030, track_width_m=0.0015, frequency_hz=433.92e6, capacitor_ohm=0.0
        ... )
        -5.44
    """
    wave = wavelength_m(frequency_hz)
    require_range(
        "diameter_m", diameter_m, "m", low=0.001, high=0.1 * wave, because="the formula is for small loops"
    )
    require_range(
        "track_width_m",
        track_width_m,
        "m",
        low=1e-5,
        high=diameter_m / 2.0,
        because="the track is narrower than the loop",
    )
    radiation = 320.0 * np.pi**4 * (np.pi * diameter_m**2 / 4.0) ** 2 / wave**4
    skin = np.sqrt(np.pi * frequency_hz * 4e-7 * np.pi / COPPER_S_PER_M)
    loss = np.pi * diameter_m / (2.0 * track_width_m) * skin + capacitor_ohm
    return float(10.0 * np.log10(radiation / (radiation + loss)))


@cites("Coax attenuation grows with the square root of frequency, textbook", mark=Mark.MEMORY)
def coax_loss_db(
    *,
    loss_db_per_100m: float,
    length_m: float,
    connector_pairs: int,
    connector_pair_db: float,
    frequency_hz: float,
    table_hz: float = COAX_TABLE_HZ,
) -> float:
    """Loss of a coax with its connectors [dB].

    Args:
        loss_db_per_100m: of the table [dB per 100 m].
        length_m: of the cable [m].
        connector_pairs: mated pairs in the run.
        connector_pair_db: of one pair [dB].
        frequency_hz: carrier frequency [Hz].
        table_hz: frequency of the table [Hz].

    Example:
        9 m of thin coax and two connector pairs:

        >>> coax_loss_db(
        ...     loss_db_per_100m=35.5,
        ...     length_m=9.0,
        ...     connector_pairs=2,
        ...     connector_pair_db=0.5,
        ...     frequency_hz=433.92e6,
        ... )
        4.14
    """
    require_range("length_m", length_m, "m", low=0.0, high=1000.0, because="our choice")
    scale = float(np.sqrt(frequency_hz / table_hz))
    return loss_db_per_100m * length_m / 100.0 * scale + connector_pairs * connector_pair_db


@cites("Polarisation mismatch of linear aerials, textbook", mark=Mark.MEMORY)
def polarisation_loss_db(*, angle_deg: float) -> float:
    """Loss between two linear aerials at an angle [dB]; refused at 80 degrees and more, where rooms decide.

    Example:
        >>> polarisation_loss_db(angle_deg=45.0)
        3.01
    """
    require_range(
        "angle_deg",
        angle_deg,
        "deg",
        low=0.0,
        high=80.0,
        because="our choice: crossed aerials lose 6 dB to 10 dB in rooms, not more",
    )
    return float(-20.0 * np.log10(np.cos(np.radians(angle_deg))))


@cites(
    "Polarisation mismatch of linear aerials, textbook",
    place="angle even over the circle, never less than crossed aerials keep in rooms",
    mark=Mark.COMPUTED,
)
def held_spread_db(*, crossed_db: float = CROSSED_DB) -> float:
    """How far a fob held at any angle scatters by polarisation alone [dB], one standard deviation.

    Args:
        crossed_db: loss of crossed aerials [dB].

    Example:
        >>> held_spread_db()
        2.71
    """
    require_range("crossed_db", crossed_db, "dB", low=0.0, high=40.0, because="our choice")
    return _held_spread_db(crossed_db)


@functools.lru_cache(maxsize=64)  # asked for every way, for a few aerials
def _held_spread_db(crossed_db: float) -> float:
    angle = (np.arange(3600) + 0.5) * np.pi / 7200.0
    kept = np.cos(angle) ** 2 + 10.0 ** (-crossed_db / 10.0) * np.sin(angle) ** 2
    return float(np.std(10.0 * np.log10(kept)))


ROD_NULL_DB: Final = -15.0
"""Along its own axis a rod as mounted still receives so much against its best direction: mount and coax
receive too; our choice."""


@cites(
    "Half-wave dipole, textbook",
    place="(cos(90 deg cos a) / sin a)^2 at the angle a from the rod; echoes come from everywhere",
    mark=Mark.MEMORY,
)
def rod_pattern_db(
    *, polar_deg: ArrayLike, tilt_deg: float, strongest_share: ArrayLike = 1.0
) -> NDArray[np.float64]:
    """What a rod receives against its best direction [dB], 0 or below; the same shape.

    The side that a leaning rod leans to is not asked: the worst one counts. Only the strongest way has a
    direction; the others arrive with the whole gain.

    Args:
        polar_deg: of the way from the aerial, from straight up [deg], 0 to 180; any shape.
        tilt_deg: of the rod from upright, 0 to 90 [deg].
        strongest_share: share of the power by the strongest way, like `polar_deg` or one number.

    Example:
        An upright rod, 45 degrees below, then one that leans as much:

        >>> round(rod_pattern_db(polar_deg=135.0, tilt_deg=0.0).item(), 2)
        -4.04
        >>> round(rod_pattern_db(polar_deg=90.0, tilt_deg=45.0).item(), 2)
        -4.04
    """
    require_range("tilt_deg", tilt_deg, "deg", low=0.0, high=90.0, because="a rod has no upper end here")
    polar = np.asarray(polar_deg, dtype=np.float64)
    off = np.radians(np.minimum(np.abs(polar - tilt_deg), np.abs(180.0 - polar - tilt_deg)))
    sine = np.maximum(np.sin(off), 1e-9)
    seen = np.maximum((np.cos(np.pi / 2.0 * np.cos(off)) / sine) ** 2, 10.0 ** (ROD_NULL_DB / 10.0))
    share = np.asarray(strongest_share, dtype=np.float64)
    return np.asarray(10.0 * np.log10(share * seen + (1.0 - share)))


@cites("Shielding of a slotted enclosure, EMC textbook", place="20 log(wavelength / 2 L)", mark=Mark.MEMORY)
def slot_shielding_db(*, slot_m: float, frequency_hz: float) -> float:
    """Shielding of a steel box by its longest slot [dB]; 0 from half a wavelength on.

    An order of magnitude: resonances of the box move it by ten decibels and more.

    Args:
        slot_m: longest slot or opening of the box [m].
        frequency_hz: carrier frequency [Hz].

    Example:
        >>> slot_shielding_db(slot_m=0.1, frequency_hz=433.92e6)
        10.77
    """
    require_range("slot_m", slot_m, "m", low=1e-4, high=10.0, because="our choice")
    return float(max(20.0 * np.log10(wavelength_m(frequency_hz) / (2.0 * slot_m)), 0.0))
