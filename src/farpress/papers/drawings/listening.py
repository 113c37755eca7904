"""Levels of a radio channel over time, as recorded: the noise, and what stands out of it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final, NamedTuple

import numpy as np

from farpress.papers.drawings.svg import DrawingSheet, stacked

__all__ = ["LevelsOverTime", "levels_svg"]

_WIDTH: Final = 760.0
_HEIGHT: Final = 240.0
_LEFT: Final = 66.0
_TOP: Final = 34.0
_PLOT: Final = (670.0, 160.0)
_STEPS: Final = (1.0, 2.0, 5.0)


class LevelsOverTime(NamedTuple):
    """One recording: its title, the unit of its levels, and for each stretch of time [s] the highest and
    lowest level, and the noise floor.
    """

    title: str
    unit: str
    times_s: Sequence[float]
    highest: Sequence[float]
    lowest: Sequence[float]
    floor: float


def levels_svg(recordings: Sequence[LevelsOverTime]) -> str:
    """Each recording as a band from the lowest to the highest level over time, the noise floor dashed."""
    return stacked([_sheet(recording) for recording in recordings])


def _sheet(recording: LevelsOverTime) -> DrawingSheet:
    times, high, low = (np.asarray(row) for row in (recording.times_s, recording.highest, recording.lowest))
    span = max(float(times[-1]), 1e-9)
    bottom, top = float(np.floor(low.min() / 10.0) * 10.0), float(np.ceil((high.max() + 1.0) / 10.0) * 10.0)
    sheet = DrawingSheet(
        _WIDTH,
        _HEIGHT,
        title=recording.title,
        describes=f"Levels over {span:.4g} s, from {low.min():.0f} to {high.max():.0f} {recording.unit};"
        " noise floor"
        f" {recording.floor:.1f}",
    )
    wide, tall = _PLOT

    def place(time: float, level: float) -> tuple[float, float]:
        return _LEFT + wide * time / span, _TOP + tall * (top - level) / (top - bottom)

    sheet.words(_LEFT, 20.0, recording.title, size=13.0, bold=True, room=wide)
    sheet.box(_LEFT, _TOP, wide, tall, weight=0.8)
    for level in np.arange(bottom, top + 1.0, max(_step((top - bottom) / 5.0), 10.0)):
        x, y = place(0.0, float(level))
        sheet.line((x, y), (x + wide, y), weight=0.3)
        sheet.words(x - 6.0, y + 4.0, f"{level:.0f}", anchor="end")
    for time in np.arange(0.0, span + 1e-9, _step(span / 8.0)):
        x, y = place(float(time), bottom)
        sheet.line((x, y), (x, y + 4.0), weight=0.8)
        sheet.words(x, y + 16.0, f"{time:g}", anchor="middle")
    band = [place(float(t), float(v)) for t, v in zip(times, high)]
    band += [place(float(t), float(v)) for t, v in zip(times[::-1], low[::-1])]
    sheet.shape(*band, filled=True, weight=0.6)
    sheet.line(place(0.0, recording.floor), place(span, recording.floor), dashed=True, weight=1.6)
    sheet.words(_LEFT + wide, _TOP + tall + 32.0, f"seconds; levels in {recording.unit}", anchor="end")
    return sheet


def _step(about: float) -> float:
    """A round step of 1, 2 or 5 times a power of ten, no smaller."""
    power = 10.0 ** np.floor(np.log10(max(about, 1e-9)))
    return float(next((power * step for step in _STEPS if power * step >= about), power * 10.0))
