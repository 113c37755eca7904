"""Where in frequency a burst lies: its middle, the band that holds 99 % of it, and how it drifts."""

from __future__ import annotations

from typing import Final, NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from farpress.errors import require_range
from farpress.sources import Mark, cites

__all__ = ["Drift", "Tone", "drift_of", "tone_of"]

HELD_SHARE: Final = 0.99
"""Share of the power that the occupied band holds (Rec. ITU-R SM.328, from memory)."""


class Tone(NamedTuple):
    """Middle of a burst [Hz, from the middle of the recording], its occupied band and what it may be off
    [Hz].
    """

    middle_hz: float
    occupied_hz: float
    doubt_hz: float


class Drift(NamedTuple):
    """A straight line through frequencies over time: slope [Hz/s], its doubt, and the whole way from first to
    last [Hz].
    """

    hz_per_s: float
    doubt_hz_per_s: float
    in_all_hz: float


@cites("Rec. ITU-R SM.328", place="occupied bandwidth, 0.5 % beyond each end", mark=Mark.MEMORY)
def tone_of(*, power: ArrayLike, noise: float, bin_hz: float) -> Tone | None:
    """Middle and occupied band of a burst from its spectrum; None where nothing stands over the noise.

    The middle is half-way between the ends of the occupied band, which holds for one carrier switched on
    and off and for two frequencies in turn.

    Args:
        power: over frequency from the lowest up, the middle of the recording in the middle, (n,).
        noise: mean power of the noise in one of them.
        bin_hz: from one to the next [Hz].

    Example:
        >>> tone_of(power=[0, 0, 0, 0, 0, 0, 5, 0], noise=0.01, bin_hz=100.0).middle_hz
        200.0
    """
    require_range("bin_hz", bin_hz, "Hz", low=1e-6, because="a spectrum has steps")
    spectrum = np.asarray(power, dtype=np.float64)
    peak = int(spectrum.argmax())
    over = np.where(spectrum > max(4.0 * noise, 0.001 * spectrum[peak]), spectrum - noise, 0.0)
    whole = float(over.sum())
    if whole <= 0.0 or spectrum[peak] < 4.0 * noise:
        return None
    ends = np.interp(
        [(1.0 - HELD_SHARE) / 2.0 * whole, (1.0 + HELD_SHARE) / 2.0 * whole],
        np.concatenate([[0.0], np.cumsum(over)]),
        np.arange(len(spectrum) + 1) - 0.5 + 1e-9 * np.arange(len(spectrum) + 1),
    )
    middle = float(ends.mean()) - len(spectrum) // 2
    return Tone(middle * bin_hz, float(ends[1] - ends[0]) * bin_hz, bin_hz / 2.0)


@cites("Theil, Sen: median of all slopes", mark=Mark.MEMORY)
def drift_of(*, times_s: ArrayLike, middles_hz: ArrayLike) -> Drift | None:
    """How a fob's frequency drifts from press to press; None with fewer than three.

    Args:
        times_s: of each press [s].
        middles_hz: where each lay [Hz].

    Example:
        >>> drift_of(times_s=[0.0, 10.0, 20.0], middles_hz=[100.0, 200.0, 300.0]).hz_per_s
        10.0
    """
    times = np.asarray(times_s, dtype=np.float64)
    middles = np.asarray(middles_hz, dtype=np.float64)
    first, second = np.triu_indices(len(times), 1)
    apart = times[second] - times[first]
    slopes: NDArray[np.float64] = (middles[second] - middles[first])[apart > 0.0] / apart[apart > 0.0]
    if len(times) < 3 or slopes.size == 0:
        return None
    slope = float(np.median(slopes))
    rest = middles - slope * times
    doubt = 1.4826 * float(np.median(np.abs(rest - np.median(rest))))
    span = float(np.ptp(times))
    return Drift(slope, doubt / span * np.sqrt(12.0 / len(times)) if span else 0.0, slope * span)
