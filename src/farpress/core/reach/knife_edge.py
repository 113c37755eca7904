"""The detour round an edge: what a fence, a parapet or a tank leaves of a press behind it.

One sharp edge, no ground. Several edges in a row are not in it.
"""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from farpress.errors import require_range
from farpress.sources import Mark, cites
from farpress.units import wavelength_m

__all__ = ["diffraction_parameter", "knife_edge_loss_db"]

CLEAR: Final = -0.78
"""Below this parameter the edge costs nothing (Rec. ITU-R P.526, from memory)."""


@cites("Rec. ITU-R P.526", place="single knife edge, approximation of J(v)", mark=Mark.MEMORY)
def knife_edge_loss_db(*, parameter: ArrayLike) -> NDArray[np.float64]:
    """Loss of one knife edge from its diffraction parameter v [dB]; 0 below v = -0.78.

    The approximation is within 0.1 dB of the exact Fresnel integral from -0.7 on.

    Example:
        A ray that just touches the edge loses six decibels:

        >>> float(knife_edge_loss_db(parameter=0.0))
        6.03
    """
    v = np.asarray(parameter, dtype=np.float64)
    require_range("parameter", v, "", because="a number is wanted")
    part = np.maximum(v, CLEAR) - 0.1
    loss = 6.9 + 20.0 * np.log10(np.sqrt(part**2 + 1.0) + part)
    return np.asarray(np.where(v > CLEAR, np.maximum(loss, 0.0), 0.0))


@cites(
    "Rec. ITU-R P.526", place="single knife edge, v = h sqrt(2/wavelength (1/d1 + 1/d2))", mark=Mark.MEMORY
)
def diffraction_parameter(
    *, height_m: ArrayLike, before_m: ArrayLike, behind_m: ArrayLike, frequency_hz: float
) -> NDArray[np.float64]:
    """Parameter v of an edge.

    Args:
        height_m: of the edge over the straight ray; negative when the ray passes clear [m].
        before_m, behind_m: distances from the two ends to the edge, above 0 [m].
        frequency_hz: carrier frequency [Hz].

    Example:
        >>> float(diffraction_parameter(height_m=1.0, before_m=10.0, behind_m=10.0, frequency_hz=433.92e6))
        0.761
    """
    before, behind = np.asarray(before_m, dtype=np.float64), np.asarray(behind_m, dtype=np.float64)
    for name, distance in (("before_m", before), ("behind_m", behind)):
        require_range(name, distance, "m", low=0.01, because="our choice, an aerial does not touch the edge")
    return np.asarray(
        np.asarray(height_m, dtype=np.float64)
        * np.sqrt(2.0 / wavelength_m(frequency_hz) * (1.0 / before + 1.0 / behind))
    )
