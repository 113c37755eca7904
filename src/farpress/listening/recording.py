"""A recording in an open format, read piece by piece: SigMF, raw samples of a given kind, or a table of
sweeps.

A piece fits into memory however long the recording is.
"""

from __future__ import annotations

import csv
import math
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from farpress.errors import InputError

__all__ = ["RAW_KINDS", "Samples", "Sweeps", "open_raw", "open_recording", "open_sigmf", "open_sweeps"]

RAW_KINDS: Final = {
    "cu8": ("u1", 127.5, 128.0),
    "ci8": ("i1", 0.0, 128.0),
    "ci16": ("<i2", 0.0, 32768.0),
    "cf32": ("<f4", 0.0, 1.0),
}
"""Kind of raw samples, I and Q in turn → how a number is stored, its zero, and its full scale."""

_PIECE: Final = 1 << 20
_SIGMF_ENDS: Final = (".sigmf", ".sigmf-meta", ".sigmf-data")
_LEAST_ROWS: Final = 8
_MOST_COLUMNS: Final = 100_000


@dataclass(frozen=True)
class Samples:
    """I and Q over time.

    Attributes:
        name: of the file.
        rate_hz: samples a second [Hz].
        middle_hz: frequency in the middle [Hz].
        count: samples in all.
        began: moment of the first, where it is known.
        source: what holds them: numbers in turn with zero and full scale, or a SigMF reader.
    """

    name: str
    rate_hz: float
    middle_hz: float
    count: int
    began: datetime | None
    source: Any
    zero: float = 0.0
    full: float = 1.0

    @property
    def duration_s(self) -> float:
        """Length of the recording [s]."""
        return self.count / self.rate_hz

    def piece(self, first: int, count: int) -> NDArray[np.complex64]:
        """Some samples, full scale 1."""
        if hasattr(self.source, "read_samples"):
            return np.asarray(self.source.read_samples(first, count), dtype=np.complex64).reshape(-1)
        numbers = np.asarray(self.source[2 * first : 2 * (first + count)], dtype=np.float32)
        pairs = (numbers - np.float32(self.zero)) / np.float32(self.full)
        return np.ascontiguousarray(pairs).view(np.complex64)

    def pieces(self, multiple_of: int) -> Iterator[NDArray[np.complex64]]:
        """Piece by piece, each a whole number of blocks; what is over at the end is left out."""
        step = max(_PIECE // multiple_of, 1) * multiple_of
        whole = self.count // multiple_of * multiple_of
        for first in range(0, whole, step):
            yield self.piece(first, min(step, whole - first))


@dataclass(frozen=True)
class Sweeps:
    """Levels over frequency, sweep after sweep: times [s], frequencies [Hz], levels (times, frequencies)
    [dBm].
    """

    name: str
    times_s: NDArray[np.float64]
    frequencies_hz: NDArray[np.float64]
    levels_dbm: NDArray[np.float64]
    began: datetime | None = None

    @property
    def duration_s(self) -> float:
        """From the first sweep to the end of the last [s]."""
        return float(self.times_s[-1] - self.times_s[0] + np.median(np.diff(self.times_s)))


def open_recording(
    path: Path, *, kind: str | None = None, rate_hz: float | None = None, middle_hz: float | None = None
) -> Samples | Sweeps:
    """Open a recording by its ending: .sigmf, .sigmf-meta or .sigmf-data, .csv; anything else is raw samples.

    Args:
        path: the file.
        kind: of raw samples, see `RAW_KINDS`.
        rate_hz, middle_hz: of raw samples [Hz]; over those that SigMF gives where both are there.

    Raises:
        InputError: the file is missing, empty, or is not what its name says.
    """
    if not path.is_file():
        raise InputError(
            f"There is no file {path}. Give a SigMF recording, raw samples, or a .csv of sweeps."
        )
    if path.suffix.lower() in _SIGMF_ENDS:
        return open_sigmf(path, middle_hz=middle_hz)
    if path.suffix.lower() == ".csv":
        return open_sweeps(path)
    if kind is None or rate_hz is None or middle_hz is None:
        raise InputError(
            f"{path.name} is taken as raw samples: its ending is none of {', '.join(_SIGMF_ENDS)}, .csv."
            " Say how it"
            f" was recorded: --samples {'|'.join(RAW_KINDS)}, --rate and --middle (hertz)."
        )
    return open_raw(path, kind=kind, rate_hz=rate_hz, middle_hz=middle_hz)


def open_raw(path: Path, *, kind: str, rate_hz: float, middle_hz: float) -> Samples:
    """Raw samples, I and Q in turn."""
    if kind not in RAW_KINDS:
        raise InputError(f"--samples {kind}: known are {', '.join(RAW_KINDS)} (I and Q in turn).")
    if not 1e3 <= rate_hz <= 1e9 or not 1e3 <= middle_hz <= 1e11:
        raise InputError(
            f"--rate {rate_hz:g} and --middle {middle_hz:g} are hertz: 1e3 to 1e9 samples a second, 1e3 to"
            " 1e11 Hz."
        )
    stored, zero, full = RAW_KINDS[kind]
    size = path.stat().st_size
    each = 2 * np.dtype(stored).itemsize
    if size < each or size % each:
        raise InputError(
            f"{path.name} has {size} bytes, which is no whole number of {kind} samples of {each} bytes: it"
            " was cut"
            " off, or was recorded as another kind."
        )
    numbers = np.memmap(path, dtype=stored, mode="r")
    return Samples(path.name, rate_hz, middle_hz, size // each, None, numbers, zero, full)


def open_sigmf(path: Path, *, middle_hz: float | None = None) -> Samples:
    """A SigMF recording of complex samples, one channel."""
    import sigmf
    from sigmf.error import SigMFError

    try:
        found: Any = sigmf.fromfile(str(path))
        described = found.get_global_info()
        captures = found.get_captures()
        count = int(found.sample_count)
    except (SigMFError, OSError, ValueError, KeyError, TypeError, AttributeError) as error:
        raise InputError(
            f"{path.name} cannot be read as a SigMF recording ({type(error).__name__}:"
            f" {str(error)[:120]}). Its"
            " description (.sigmf-meta) and its samples (.sigmf-data) must lie side by side, unchanged."
        ) from None
    rate, kind = described.get("core:sample_rate"), str(described.get("core:datatype", ""))
    middle = middle_hz or next(
        (part["core:frequency"] for part in captures if "core:frequency" in part), None
    )
    if not kind.startswith("c") or int(described.get("core:num_channels", 1)) != 1:
        raise InputError(
            f"{path.name} holds {kind or 'unknown'} samples: one channel of complex ones is wanted."
        )
    if not rate or not middle or not math.isfinite(float(rate)) or float(rate) <= 0.0:
        raise InputError(
            f"{path.name} says neither how fast nor on which frequency it was recorded (core:sample_rate,"
            " core:frequency); give --middle, or record it anew."
        )
    if count < 1:
        raise InputError(f"{path.name} holds no sample.")
    moments = {part.get("core:frequency") for part in captures if "core:frequency" in part}
    if len(moments) > 1:
        raise InputError(f"{path.name} changes its frequency on the way; cut it into one recording for each.")
    return Samples(path.name, float(rate), float(middle), count, _moment(captures), found)


def _moment(captures: list[dict[str, Any]]) -> datetime | None:
    text = str(captures[0].get("core:datetime", "")) if captures else ""
    try:
        return datetime.fromisoformat(text.replace("Z", "+00:00"))
    except ValueError:
        return None


def open_sweeps(path: Path) -> Sweeps:
    """A table of sweeps: its first row names the frequencies [Hz], each further row begins with the time
    [s, or a date and time], then the level at each frequency [dBm].
    """
    try:
        rows = [row for row in csv.reader(path.read_text(encoding="utf-8-sig").splitlines()) if row]
    except UnicodeDecodeError:
        raise InputError(f"{path.name} is no text in UTF-8: save it as a plain .csv.") from None
    if len(rows) <= _LEAST_ROWS or not 2 <= len(rows[0]) <= _MOST_COLUMNS:
        raise InputError(
            f"{path.name} has {max(len(rows) - 1, 0)} sweeps; more than {_LEAST_ROWS} are wanted, under a"
            " first row"
            " 'time' and the frequencies in hertz, each sweep a time and as many levels in dBm."
        )
    try:
        frequencies = np.array([float(word) for word in rows[0][1:]])
    except ValueError:
        raise InputError(f"{path.name}, row 1: 'time', then frequencies in hertz as plain numbers.") from None
    faults, times, levels = [], [], []
    began = _date(rows[1][0])
    for number, row in enumerate(rows[1:], start=2):
        moment = _date(row[0])
        try:
            if moment is not None and began is not None:
                times.append((moment - began).total_seconds())
            else:
                times.append(float(row[0]))
            levels.append([float(word) for word in row[1:]])
            if len(row) != len(rows[0]) or not np.isfinite(levels[-1]).all() or not math.isfinite(times[-1]):
                raise ValueError
        except (ValueError, TypeError):
            faults.append(number)
    if faults:
        raise InputError(
            f"{path.name}, row{'s' if len(faults) > 1 else ''} {', '.join(map(str, faults[:10]))}"
            f"{f' and {len(faults) - 10} more' if len(faults) > 10 else ''}: a time and {len(frequencies)}"
            " numbers in"
            " dBm are wanted."
        )
    if (np.diff(frequencies) <= 0.0).any() or (np.diff(times) <= 0.0).any():
        raise InputError(f"{path.name}: frequencies and times must grow from one to the next.")
    return Sweeps(path.name, np.array(times), frequencies, np.array(levels), began)


def _date(text: str) -> datetime | None:
    try:
        return datetime.fromisoformat(text) if "-" in text[1:] and ":" in text else None
    except ValueError:
        return None
