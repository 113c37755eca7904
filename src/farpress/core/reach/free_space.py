"""Loss between two aerials with nothing in between.

The floor under every other loss here: walls, ground and bodies are added on top of it.
It knows no ground and no room; `two_ray` and `direct` do.
"""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from farpress.errors import require_range
from farpress.sources import Mark, cites
from farpress.units import SPEED_OF_LIGHT_M_PER_S

__all__ = ["NEAREST_M", "free_space_loss_db"]

LOWEST_FREQUENCY_HZ: Final = 100e3
"""Our choice, not the Recommendation's: it catches megahertz given as hertz."""

NEAREST_M: Final = 0.5
"""Our choice: nearer than this neither fob nor aerial is small beside the distance at 433 MHz."""


@cites("Rec. ITU-R P.525", place="free space between isotropic aerials", mark=Mark.MEMORY)
def free_space_loss_db(*, distance_m: ArrayLike, frequency_hz: ArrayLike) -> NDArray[np.float64]:
    r"""Free-space basic transmission loss between isotropic aerials.

    .. math:: L = 20 \log_{10} (4 \pi d f / c)

    Args:
        distance_m: straight distance, at least 0.5 m [m].
        frequency_hz: carrier frequency, at least 100 kHz [Hz].

    Returns:
        Loss as a positive number [dB], of the common shape of the arguments.

    Raises:
        OutOfRange: an element is nearer, lower, or no number; both limits are our choice.

    Source:
        Rec. ITU-R P.525 (formula from memory; a ray tracer gives the same 45.196 dB at 10 m).

    Example:
        A fob at the far side of a 40 m yard:

        >>> float(free_space_loss_db(distance_m=40.0, frequency_hz=433.92e6))
        57.24
    """
    distance = np.asarray(distance_m, dtype=np.float64)
    frequency = np.asarray(frequency_hz, dtype=np.float64)
    require_range(
        "frequency_hz",
        frequency,
        "Hz",
        low=LOWEST_FREQUENCY_HZ,
        because="our choice",
        hint="Was that megahertz? Multiply it by 1e6.",
    )
    require_range(
        "distance_m", distance, "m", low=NEAREST_M, because="our choice, the formula is for the far field"
    )
    return np.asarray(20.0 * np.log10(4.0 * np.pi * distance * frequency / SPEED_OF_LIGHT_M_PER_S))
