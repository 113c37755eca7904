"""Invented recordings of a radio channel whose truth is known: noise, telegrams, strangers on a beat."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

RATE_HZ = 50_000.0
MIDDLE_HZ = 433.90e6
FULL_DBM = -20.0
"""Level that fills the recorder."""


def noise(seconds: float, dbm_in: float, width_hz: float, seed: int = 1) -> NDArray[np.complex64]:
    """White noise with so much power in a channel of that width."""
    rng = np.random.default_rng(seed)
    count = int(seconds * RATE_HZ)
    power = 10.0 ** ((dbm_in - FULL_DBM) / 10.0) * RATE_HZ / width_hz
    both = rng.standard_normal((2, count)) * np.sqrt(power / 2.0)
    return np.asarray(both[0] + 1j * both[1], dtype=np.complex64)


def keyed(
    samples: NDArray[np.complex64],
    begins_s: float,
    lasts_s: float,
    dbm: float,
    off_hz: float,
    bit_s: float = 0.0,
) -> None:
    """A carrier added, off the middle; switched on and off every `bit_s` where that is not 0, at `dbm` in
    the mean.
    """
    first, count = int(begins_s * RATE_HZ), int(lasts_s * RATE_HZ)
    t = np.arange(count) / RATE_HZ
    wave = np.sqrt(10.0 ** ((dbm - FULL_DBM) / 10.0)) * np.exp(2j * np.pi * off_hz * t)
    if bit_s:
        wave *= np.sqrt(2.0) * (np.floor(t / bit_s) % 2 == 0)
    samples[first : first + count] += wave.astype(np.complex64)


def as_sigmf(path: Path, samples: NDArray[np.complex64], **more: Any) -> Path:
    """Written as SigMF by its own library; the description's path."""
    import sigmf

    samples.astype(np.complex64).tofile(path.with_suffix(".sigmf-data"))
    found = sigmf.SigMFFile(
        data_file=str(path.with_suffix(".sigmf-data")),
        global_info={"core:datatype": "cf32_le", "core:sample_rate": RATE_HZ, "core:version": "1.0.0"},
    )
    found.add_capture(
        0, metadata={"core:frequency": MIDDLE_HZ, "core:datetime": "2026-11-30T07:00:00Z"} | more
    )
    found.tofile(str(path.with_suffix(".sigmf-meta")))
    return path.with_suffix(".sigmf-meta")


def as_bytes(path: Path, samples: NDArray[np.complex64]) -> Path:
    """Written as unsigned bytes, I and Q in turn."""
    pairs = samples.view(np.float32) * 128.0 + 127.5
    np.clip(np.round(pairs), 0, 255).astype(np.uint8).tofile(path)
    return path
