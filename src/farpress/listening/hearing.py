"""What a recording tells of one channel: noise, bursts and their beat, presses; and what was not to be
seen in it.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from typing import Final

import numpy as np
from numpy.typing import NDArray

from farpress.core.faults.diary import Period, burst_period
from farpress.core.listening.levels import Bursts, Floor, ShareTaken, bursts_over, noise_floor_of, share_taken
from farpress.core.listening.tones import Drift, Tone, drift_of, tone_of
from farpress.errors import InputError
from farpress.listening.recording import Samples, Sweeps

__all__ = ["Channel", "HeardPress", "Listened", "Over", "heard_in"]

BLOCK_S: Final = 0.002
"""Length of a block of samples [s]: our choice, a tenth of a short telegram and less."""

PRESS_GAP_S: Final = 0.5
"""A pause this long parts two presses [s]: our choice, telegrams of one press follow within 0.1 s."""

BEAT_ACCIDENT: Final = 0.01
"""A beat is told if accident shows it less often than this: our choice."""

ENOUGH_S: Final = 600.0
"""A recording shorter than this says little of a channel: our choice, ten minutes."""

HANN_ALIKE: Final = 1.944
"""Neighbouring steps of frequency under a Hann window say partly the same: 1 + 2 (4/9 + 1/36) of them count
as one, textbook, from memory."""

CLIPPED_SHARE: Final = 1e-6
_MOST_BLOCKS: Final = 5_000_000
_MIDDLE_BINS: Final = 1
_GRAPH: Final = 600


@dataclass(frozen=True)
class Channel:
    """What is listened to: middle and width [Hz], and the level at the aerial's socket that fills the
    recorder [dBm]; without it levels count from full scale.
    """

    middle_hz: float
    width_hz: float
    full_scale_dbm: float | None = None


@dataclass(frozen=True)
class HeardPress:
    """A press: when it began and how long it lasted [s], telegrams, mean level while sending, and where it
    lay.
    """

    at_s: float
    lasted_s: float
    telegrams: int
    level_db: float
    tone: Tone | None


@dataclass(frozen=True)
class Over:
    """Levels for a picture: the highest and lowest of each of some hundred stretches of time [dB]."""

    times_s: NDArray[np.float64]
    highest_db: NDArray[np.float64]
    lowest_db: NDArray[np.float64]


@dataclass(frozen=True)
class Listened:
    """What one recording told.

    Attributes:
        name, duration_s, began: of the recording.
        channel: what was listened to.
        in_dbm: whether levels are absolute.
        floor: the noise.
        bursts: lengths [s] and levels [dB] of all that stood out, and when they began [s].
        taken: share of time that they took.
        beat: a regular return of theirs, or None.
        presses: bursts that follow each other, as presses.
        drift: of the presses' frequency, or None.
        unseen: what was not to be seen, in words.
        over: levels for a picture.
    """

    name: str
    duration_s: float
    began: datetime | None
    channel: Channel
    in_dbm: bool
    floor: Floor
    begun_s: NDArray[np.float64]
    lengths_s: NDArray[np.float64]
    levels_db: NDArray[np.float64]
    taken: ShareTaken
    beat: Period | None
    presses: tuple[HeardPress, ...]
    drift: Drift | None
    unseen: tuple[str, ...]
    over: Over


def heard_in(
    recording: Samples | Sweeps,
    channel: Channel,
    *,
    over_db: float = 6.0,
    progress: Callable[[int, int], object] | None = None,
) -> Listened:
    """Listen to one channel of a recording, piece by piece.

    Args:
        recording: samples or sweeps.
        channel: what is listened to.
        over_db: how far a burst stands over the noise [dB].
        progress: told (done, of); may raise to stop.

    Raises:
        InputError: the channel does not lie in the recording, or the recording is too short.
    """
    levels, block_s, width, unseen = (
        _sweep_levels(recording, channel)
        if isinstance(recording, Sweeps)
        else _sample_levels(recording, channel, progress)
    )
    is_absolute = isinstance(recording, Sweeps) or channel.full_scale_dbm is not None
    if isinstance(recording, Samples):
        levels = levels + (channel.full_scale_dbm or 0.0)
    floor = noise_floor_of(levels_db=levels, values_per_block=max(width * block_s, 1.0))
    bursts = bursts_over(levels_db=levels, floor_db=floor.level_db, over_db=over_db)
    begun = np.asarray(bursts.begun * block_s, dtype=np.float64)
    lengths = np.asarray((bursts.ended - bursts.begun) * block_s, dtype=np.float64)
    duration = len(levels) * block_s
    presses = _presses(recording, channel, bursts, block_s, floor)
    placed = [(press.at_s, press.tone.middle_hz) for press in presses if press.tone is not None]
    found = Listened(
        recording.name,
        duration,
        recording.began,
        channel,
        is_absolute,
        floor,
        begun,
        lengths,
        bursts.level_db,
        share_taken(lengths_s=lengths, duration_s=duration),
        _beat(np.array([press.at_s for press in presses]), duration, block_s),
        presses,
        drift_of(times_s=[moment for moment, _ in placed], middles_hz=[hz for _, hz in placed]),
        (),
        _picture(levels, block_s),
    )
    return _with_unseen(found, unseen, block_s)


def _sample_levels(
    recording: Samples, channel: Channel, progress: Callable[[int, int], object] | None
) -> tuple[NDArray[np.float64], float, float, list[str]]:
    """Mean power in the channel, block by block [dB under full scale], length of a block [s], the width
    that was summed [Hz], and what was not to be seen.
    """
    block = max(round(BLOCK_S * recording.rate_hz), 16)
    blocks = recording.count // block
    if blocks < 10:
        raise InputError(
            f"{recording.name} lasts {recording.duration_s:.3g} s: ten blocks of"
            f" {1e3 * block / recording.rate_hz:.2g}"
            " ms are wanted at least."
        )
    if blocks > _MOST_BLOCKS:
        raise InputError(
            f"{recording.name} lasts {recording.duration_s / 3600.0:.1f} h; up to"
            f" {_MOST_BLOCKS * block / recording.rate_hz / 3600.0:.1f} h are looked at in one go: cut it."
        )
    inside = _bins(recording, channel, block)
    unseen = []
    if np.abs(inside - block // 2).min() <= _MIDDLE_BINS:
        inside = inside[np.abs(inside - block // 2) > _MIDDLE_BINS]
        unseen.append(
            f"the very middle of the recording ({recording.middle_hz / 1e6:.4f} MHz), where recorders have"
            " a line of"
            " their own: tune beside the channel"
        )
    window = np.hanning(block).astype(np.float32)
    scale = block * float(np.sum(window.astype(np.float64) ** 2))
    found, clipped, done = [], 0, 0
    for piece in recording.pieces(block):
        clipped += int(np.count_nonzero(np.maximum(np.abs(piece.real), np.abs(piece.imag)) >= 0.99))
        spectra = np.fft.fftshift(np.fft.fft(piece.reshape(-1, block) * window, axis=1), axes=1)[:, inside]
        power = np.sum(np.abs(spectra).astype(np.float64) ** 2, axis=1) / scale
        found.append(10.0 * np.log10(np.maximum(power, 1e-20)))
        done += len(piece)
        if progress is not None:
            progress(done, recording.count)
    if clipped > CLIPPED_SHARE * recording.count:
        unseen.append(
            f"the height of what filled the recorder: {clipped} of {recording.count} samples are at full"
            " scale; record"
            " anew with less gain, as what clips also spreads over all frequencies"
        )
    return (
        np.concatenate(found),
        block / recording.rate_hz,
        len(inside) * recording.rate_hz / block / HANN_ALIKE,
        unseen,
    )


def _bins(recording: Samples, channel: Channel, block: int) -> NDArray[np.int64]:
    """Numbers of the steps of frequency that lie in the channel, the middle of the recording in the
    middle.
    """
    step = recording.rate_hz / block
    off = channel.middle_hz - recording.middle_hz
    low = int(np.ceil((off - channel.width_hz / 2.0) / step)) + block // 2
    high = int(np.floor((off + channel.width_hz / 2.0) / step)) + block // 2
    if low < 0 or high >= block or high - low < 4:
        raise InputError(
            f"The channel of {channel.width_hz / 1e3:g} kHz round {channel.middle_hz / 1e6:g} MHz does not"
            " lie in"
            f" {recording.name}, which holds {recording.rate_hz / 1e3:g} kHz round"
            f" {recording.middle_hz / 1e6:g} MHz:"
            " name another with --channel and --width, or record wider."
        )
    return np.arange(low, high + 1)


def _sweep_levels(recording: Sweeps, channel: Channel) -> tuple[NDArray[np.float64], float, float, list[str]]:
    """The same from sweeps; a sweep is a block."""
    inside = np.abs(recording.frequencies_hz - channel.middle_hz) <= channel.width_hz / 2.0
    if not inside.any():
        low, high = recording.frequencies_hz[[0, -1]] / 1e6
        raise InputError(
            f"The channel of {channel.width_hz / 1e3:g} kHz round {channel.middle_hz / 1e6:g} MHz does not"
            " lie in"
            f" {recording.name}, which goes from {low:g} MHz to {high:g} MHz."
        )
    step = float(np.median(np.diff(recording.times_s)))
    power = np.sum(10.0 ** (recording.levels_dbm[:, inside] / 10.0), axis=1)
    unseen = [
        f"bursts between two sweeps, or shorter than {step:.3g} s: their number and length are those of"
        " the sweeps"
    ]
    uneven = np.diff(recording.times_s)
    if uneven.max() > 1.5 * step:
        unseen.append(
            f"what went on in {int((uneven > 1.5 * step).sum())} gaps of up to {uneven.max():.3g} s in the"
            " table"
        )
    return 10.0 * np.log10(power), step, channel.width_hz, unseen


def _presses(
    recording: Samples | Sweeps, channel: Channel, bursts: Bursts, block_s: float, floor: Floor
) -> tuple[HeardPress, ...]:
    """Bursts with short pauses between are one press."""
    if not bursts.begun.size:
        return ()
    apart = (bursts.begun[1:] - bursts.ended[:-1]) * block_s > PRESS_GAP_S
    firsts = np.flatnonzero(np.append(True, apart))
    lasts = np.append(firsts[1:], bursts.begun.size) - 1
    found = []
    for first, last in zip(firsts.tolist(), lasts.tolist()):
        some = slice(first, last + 1)
        lengths = bursts.ended[some] - bursts.begun[some]
        power = 10.0 ** (bursts.level_db[some] / 10.0)
        strongest = first + int(np.argmax(bursts.level_db[some]))
        tone = None
        if isinstance(recording, Samples):
            tone = _tone(
                recording, channel, int(bursts.begun[strongest]), int(bursts.ended[strongest]), block_s
            )
        found.append(
            HeardPress(
                float(bursts.begun[first] * block_s),
                float((bursts.ended[last] - bursts.begun[first]) * block_s),
                last - first + 1,
                float(10.0 * np.log10(np.sum(power * lengths) / lengths.sum())),
                tone,
            )
        )
    return tuple(found)


def _tone(recording: Samples, channel: Channel, begun: int, ended: int, block_s: float) -> Tone | None:
    """Where a burst lies, from up to a quarter of a second of it; the noise from as much before it."""
    block = round(block_s * recording.rate_hz)
    length = min((ended - begun) * block, int(recording.rate_hz / 4.0))
    piece = recording.piece(begun * block, length)
    step = recording.rate_hz / len(piece)
    spectrum = np.abs(np.fft.fftshift(np.fft.fft(piece * np.hanning(len(piece))))) ** 2
    off = channel.middle_hz - recording.middle_hz
    frequency = (np.arange(len(piece)) - len(piece) // 2) * step
    inside = np.abs(frequency - off) <= channel.width_hz / 2.0
    inside &= np.abs(frequency) > 2.0 * recording.rate_hz / block
    noise = float(np.median(spectrum[inside])) / 0.693
    tone = tone_of(power=np.where(inside, spectrum, 0.0), noise=noise, bin_hz=step)
    return None if tone is None else tone._replace(middle_hz=tone.middle_hz + recording.middle_hz)


def _beat(times: NDArray[np.float64], duration_s: float, block_s: float) -> Period | None:
    """A regular return, where accident does not show one as easily."""
    longest = duration_s / 3.0
    shortest = max(20.0 * block_s, longest / 2000.0)
    if times.size < 5 or longest <= 2.0 * shortest:
        return None
    found = burst_period(times_s=times.tolist(), shortest_s=shortest, longest_s=longest)
    if found is None or found.accident_chance >= BEAT_ACCIDENT:
        return None
    turns = np.round((times - times[0]) / found.period_s)
    return found._replace(period_s=float(np.polyfit(turns, times, 1)[0]))


def _picture(levels: NDArray[np.float64], block_s: float) -> Over:
    step = max(len(levels) // _GRAPH, 1)
    firsts = np.arange(0, len(levels), step)
    times = np.asarray(firsts * block_s, dtype=np.float64)
    return Over(times, np.maximum.reduceat(levels, firsts), np.minimum.reduceat(levels, firsts))


def _with_unseen(heard: Listened, unseen: list[str], block_s: float) -> Listened:
    """Everything that this recording cannot show."""
    from dataclasses import replace

    more = list(unseen)
    if heard.duration_s < ENOUGH_S:
        more.append(
            f"what comes seldom: {heard.duration_s:.3g} s were recorded, and others may take up to"
            f" {100.0 * heard.taken.at_most:.2g} % of the time without showing in it; ten minutes at the"
            " hour that"
            " counts say more"
        )
    more.append(
        f"other hours and days, bursts shorter than {1e3 * block_s:.2g} ms, and returns slower than"
        f" {heard.duration_s / 3.0:.3g} s"
    )
    if not heard.in_dbm:
        more.append(
            "any level in dBm: levels count from full scale; give --full-scale, the level at the aerial's"
            " socket that"
            " fills the recorder"
        )
    if heard.floor.quiet_share < 0.5:
        more.append("the noise itself: bursts fill more than half of the time, so the floor is an upper side")
    return replace(heard, unseen=tuple(more))
