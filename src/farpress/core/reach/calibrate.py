"""What readings on site say about the prediction, there and elsewhere.

Linear and Gaussian: an offset shared by everything at one receiver, a deviation of each
place, and the scatter of a reading. It moves the prediction no further than the readings
warrant, and says how much doubt is left.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from farpress.errors import InputError, require_range
from farpress.sources import Mark, cites

__all__ = ["Correction", "correction"]


class Correction(NamedTuple):
    """What to add to a predicted level [dB], and the spread left of offset and place together [dB]."""

    add_db: float
    sd_db: float


@cites("Linear-Gaussian update (kriging with a known prior), textbook", mark=Mark.MEMORY)
def correction(
    *, residuals_db: Sequence[float], places: Sequence[str], local_sds_db: Sequence[float], reading_sd_db: float,
    shared_sd_db: float, target_place: str, target_local_sd_db: float,
) -> Correction:
    """Correction of the predicted level at a place, after the readings at the same receiver.

    Args:
        residuals_db: level read less level predicted, one per reading [dB].
        places: place of each reading; readings at one place share its deviation.
        local_sds_db: spread of the prediction from place to place, one per reading [dB].
        reading_sd_db: scatter of one reading [dB].
        shared_sd_db: spread of the offset shared by the receiver before any reading [dB].
        target_place: place the prediction is for.
        target_local_sd_db: its spread from place to place [dB].

    Returns:
        The amount to add, and the spread that is left. Without readings: 0 and the full spread.

    Example:
        One reading 6 dB below the prediction, taken elsewhere, moves it by less than that:

        >>> one = correction(residuals_db=[-6.0], places=["kitchen"], local_sds_db=[5.0], reading_sd_db=3.0,
        ...     shared_sd_db=6.0, target_place="street", target_local_sd_db=5.0)
        >>> one.add_db, one.sd_db
        (-3.086, 6.518)
    """
    count = len(residuals_db)
    if not len(places) == len(local_sds_db) == count:
        raise InputError(f"{count} residuals, {len(places)} places and {len(local_sds_db)} spreads: one of each per reading is wanted")
    require_range("reading_sd_db", reading_sd_db, "dB", low=0.1, because="our choice, no reading is exact")
    require_range("shared_sd_db", shared_sd_db, "dB", low=0.0, because="a standard deviation")
    before = shared_sd_db**2 + target_local_sd_db**2
    if count == 0:
        return Correction(0.0, float(np.sqrt(before)))
    sds = np.asarray(local_sds_db, dtype=np.float64)
    same = np.asarray([[one == other for other in places] for one in places])
    spread: NDArray[np.float64] = shared_sd_db**2 + np.where(same, np.outer(sds, sds), 0.0) + reading_sd_db**2 * np.eye(count)
    link = shared_sd_db**2 + np.where(np.asarray([place == target_place for place in places]), sds * target_local_sd_db, 0.0)
    gain = np.linalg.solve(spread, link)
    return Correction(float(gain @ np.asarray(residuals_db, dtype=np.float64)), float(np.sqrt(max(before - float(gain @ link), 0.0))))
