"""From levels over time to a noise floor, how far it scatters, and the bursts that stand out of it.

A level is the mean power of a short block in one channel; what is shorter than a block is spread over it.
"""

from __future__ import annotations

from typing import Final, NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from farpress.errors import require_range
from farpress.sources import Mark, cites

__all__ = ["Bursts", "Floor", "ShareTaken", "bursts_over", "noise_floor_of", "share_taken"]

_ROUNDS: Final = 40
_OVER_SD: Final = 4.0
_OVER_DB: Final = 3.0


class Floor(NamedTuple):
    """A noise floor: mean power of the blocks with noise alone [dB], how far these scatter by more than the
    averaging in a block brings [dB], and the share of the blocks they are.
    """

    level_db: float
    spread_db: float
    quiet_share: float


class Bursts(NamedTuple):
    """Bursts, n of them: first block and the block after the last, and mean power while they last [dB]."""

    begun: NDArray[np.int64]
    ended: NDArray[np.int64]
    level_db: NDArray[np.float64]


class ShareTaken(NamedTuple):
    """Share of time that bursts take, and a share that is not exceeded with 95 % confidence."""

    share: float
    at_most: float


@cites("Mean power of what is left when all that stands out is cut off, again and again", mark=Mark.COMPUTED)
def noise_floor_of(*, levels_db: ArrayLike, values_per_block: float) -> Floor:
    """The noise floor under bursts that fill less than half of the time.

    What lies more than four standard deviations, and 3 dB at least, over the mean is cut off until nothing
    more goes; it begins at the lower half of the blocks, so that long bursts do not pass for noise.

    Args:
        levels_db: mean power of each block, (n,) [dB].
        values_per_block: independent values that a block averages: its length times its bandwidth.

    Raises:
        OutOfRange: no block, or a level that is no number.

    Example:
        >>> floor = noise_floor_of(levels_db=[-110.0] * 90 + [-60.0] * 10, values_per_block=100.0)
        >>> floor.level_db, floor.quiet_share
        (-110.0, 0.9)
    """
    levels = np.asarray(levels_db, dtype=np.float64).reshape(-1)
    require_range(
        "levels_db", levels if levels.size else [np.nan], "dB", because="levels of blocks are wanted"
    )
    own_sd = 4.343 / np.sqrt(max(values_per_block, 1.0))
    quiet = levels <= np.quantile(levels, 0.5) + _OVER_DB
    for _ in range(_ROUNDS):
        power = 10.0 ** (levels[quiet] / 10.0)
        middle, scatter = 10.0 * np.log10(power.mean()), float(levels[quiet].std())
        still = levels <= middle + max(_OVER_DB, _OVER_SD * max(scatter, own_sd))
        if (still == quiet).all():
            break
        quiet = still
    level = float(10.0 * np.log10(np.mean(10.0 ** (levels[quiet] / 10.0))))
    spread = float(np.sqrt(max(float(levels[quiet].var()) - own_sd**2, 0.0)))
    return Floor(level, spread, float(quiet.mean()))


@cites("Threshold with hysteresis; short gaps are bridged", mark=Mark.COMPUTED)
def bursts_over(
    *, levels_db: ArrayLike, floor_db: float, over_db: float = 6.0, bridged_blocks: int = 1
) -> Bursts:
    """Runs of blocks that stand over a floor.

    A burst begins `over_db` over the floor and lasts as long as half of that is kept.

    Args:
        levels_db: mean power of each block, (n,) [dB].
        floor_db: the noise floor [dB].
        over_db: how far it has to stand out [dB].
        bridged_blocks: gaps of so many blocks and fewer belong to the burst.

    Example:
        >>> bursts = bursts_over(levels_db=[-110, -80, -80, -110, -110, -110, -90, -110], floor_db=-110.0)
        >>> bursts.begun.tolist(), bursts.ended.tolist(), bursts.level_db.tolist()
        ([1, 6], [3, 7], [-80.0, -90.0])
    """
    levels = np.asarray(levels_db, dtype=np.float64).reshape(-1)
    require_range("over_db", over_db, "dB", low=0.5, high=60.0, because="our choice")
    above = levels >= floor_db + over_db / 2.0
    edges = np.diff(np.concatenate([[False], above, [False]]).astype(np.int8))
    begun, ended = np.flatnonzero(edges == 1), np.flatnonzero(edges == -1)
    if begun.size > 1:
        apart = begun[1:] - ended[:-1] > bridged_blocks
        begun, ended = begun[np.append(True, apart)], ended[np.append(apart, True)]
    peaks = np.maximum.reduceat(levels, begun) if begun.size else np.zeros(0)
    strong = peaks >= floor_db + over_db if begun.size else np.zeros(0, dtype=np.bool_)
    begun, ended = begun[strong], ended[strong]
    sums = np.concatenate([[0.0], np.cumsum(10.0 ** (levels / 10.0))])
    mean = (sums[ended] - sums[begun]) / np.maximum(ended - begun, 1)
    return Bursts(begun, ended, np.asarray(10.0 * np.log10(np.maximum(mean, 1e-300))))


@cites("Garwood, Biometrika 28", edition="1936", place="437-442, limit of a count", mark=Mark.MEMORY)
def share_taken(*, lengths_s: ArrayLike, duration_s: float, least_length_s: float = 0.1) -> ShareTaken:
    """The share of time that bursts take, and what it may be at most for all that was heard.

    The limit is that of their number (Garwood, one-sided, 95 %), each as long as those heard were in the
    mean, or `least_length_s` where they were shorter or none was heard: a short recording proves little.

    Args:
        lengths_s: of each burst [s].
        duration_s: of the recording [s].
        least_length_s: what a burst that was not heard is taken to last [s]: our choice, a telegram and
        its repeat.

    Example:
        None heard in ten seconds, and in ten minutes:

        >>> [round(share_taken(lengths_s=[], duration_s=s).at_most, 4) for s in (10.0, 600.0)]
        [0.03, 0.0005]
    """
    from scipy.special import gammaincinv

    require_range("duration_s", duration_s, "s", low=1e-3, because="a recording lasts some time")
    lengths = np.asarray(lengths_s, dtype=np.float64).reshape(-1)
    share = float(lengths.sum()) / duration_s
    mean = max(float(lengths.mean()) if lengths.size else 0.0, least_length_s)
    most = float(gammaincinv(lengths.size + 1.0, 0.95)) * mean / duration_s
    return ShareTaken(min(share, 1.0), min(max(most, share), 1.0))
