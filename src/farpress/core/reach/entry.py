"""Loss of getting into a building whose walls nobody has described.

For a receiver inside and a fob outside. Not to be added to a sum over known walls.
"""

from __future__ import annotations

from typing import Final, Literal, NamedTuple

import numpy as np

from farpress.core.reach.normal import normal_deviate
from farpress.errors import require_range
from farpress.sources import Mark, cites

__all__ = ["EntryCoefficients", "entry_loss_db"]


class EntryCoefficients(NamedTuple):
    """One column of the Recommendation's Table 1."""

    r: float
    s: float
    t: float
    u: float
    v: float
    w: float
    x: float
    y: float
    z: float


_KINDS: Final = {
    "traditional": EntryCoefficients(12.64, 3.72, 0.96, 9.6, 2.0, 9.1, -3.0, 4.5, -2.0),
    "thermally efficient": EntryCoefficients(28.19, -3.00, 8.48, 13.5, 3.8, 27.8, -2.9, 9.4, -2.1),
}


@cites("Rec. ITU-R P.2109", edition="2", place="Table 1 and the formula before it", mark=Mark.COPY)
def entry_loss_db(
    *,
    frequency_hz: float,
    share: float,
    building: Literal["traditional", "thermally efficient"],
    elevation_deg: float = 0.0,
) -> float:
    """Building entry loss not exceeded in a share of places [dB].

    Args:
        frequency_hz: 80 MHz to 100 GHz [Hz].
        share: share of places, 0.0001 to 0.9999.
        building: "traditional", or "thermally efficient" (metallised glass, foil).
        elevation_deg: angle over the horizon at the face of the building [deg].

    Raises:
        OutOfRange: outside the ranges of the Recommendation (the ends of `share` are our choice).

    Source:
        Rec. ITU-R P.2109-2, read in an independent implementation.

    Example:
        >>> entry_loss_db(frequency_hz=433.92e6, share=0.5, building="traditional")
        13.945
    """
    require_range("frequency_hz", frequency_hz, "Hz", low=80e6, high=100e9, because="Rec. ITU-R P.2109")
    require_range("share", share, "", low=1e-4, high=1.0 - 1e-4, because="our choice")
    require_range("elevation_deg", elevation_deg, "deg", low=-90.0, high=90.0, because="an elevation")
    k = _KINDS[building]
    lg = float(np.log10(frequency_hz / 1e9))
    mu1 = k.r + k.s * lg + k.t * lg**2 + 0.212 * abs(elevation_deg)
    mu2 = k.w + k.x * lg
    deviate = normal_deviate(share=share)
    a = deviate * (k.u + k.v * lg) + mu1
    b = deviate * (k.y + k.z * lg) + mu2
    return float(10.0 * np.log10(10.0 ** (a / 10.0) + 10.0 ** (b / 10.0) + 10.0 ** (-3.0 / 10.0)))
