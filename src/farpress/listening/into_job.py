"""What was heard, as changes of a job: noise and share of bursts at a receiver, and the level of a press."""

from __future__ import annotations

import math

import numpy as np

from farpress.case.case import Case
from farpress.domain.finding import Change
from farpress.errors import InputError
from farpress.listening.hearing import Listened

__all__ = ["changes_from", "channel_width_hz"]


def channel_width_hz(case: Case, premises: str, receiver: str) -> float | None:
    """The bandwidth of a receiver, in which its noise counts; None where its sheet does not say [Hz]."""
    part = case.equipment.receivers.get(f"{premises}/{receiver}")
    return part.sheet.bandwidth_hz if part is not None else None


def changes_from(
    case: Case, heard: Listened, premises: str, receiver: str, *, pressed_at: str | None = None
) -> tuple[Change, ...]:
    """What a recording at a receiver's aerial changes in the job.

    Without presses: its noise floor, and the share of time that others take, at the side that 95 % confidence
    leaves, so that a short recording does not promise a free channel. With presses from a place: the
    median of their levels as a reading.

    Args:
        case: the job.
        heard: the recording.
        premises, receiver: where it was made.
        pressed_at: the place from which somebody pressed; None for a recording of what is there anyway.

    Raises:
        InputError: no such receiver or place, no level in dBm, or no press in it.
    """
    if premises not in case.job.premises or receiver not in case.job.premises[premises].receivers:
        raise InputError(f"There is no receiver '{premises}/{receiver}' in this job.")
    root = ("premises", premises, "receivers", receiver)
    if pressed_at is None:
        taken = 100.0 * max(heard.taken.at_most, 1e-5)
        changes = [Change((*root, "noise_bursts"), f"{_up(taken, 3)} %")]
        if heard.in_dbm:
            width = channel_width_hz(case, premises, receiver) or heard.channel.width_hz
            level = heard.floor.level_db + 10.0 * math.log10(width / heard.channel.width_hz)
            changes.insert(0, Change((*root, "noise_floor"), f"{level:.1f} dBm"))
        return tuple(changes)
    if case.place(pressed_at, premises) is None:
        raise InputError(f"There is no place '{pressed_at}' at {premises} in this job.")
    if not heard.in_dbm:
        raise InputError(
            f"{heard.name} has no level in dBm: give --full-scale, the level at the aerial's socket that"
            " fills the recorder."
        )
    if not heard.presses:
        raise InputError(f"{heard.name} holds no press: nothing stands out of the noise.")
    level = float(np.median([press.level_db for press in heard.presses]))
    reading = {
        "receiver": f"{premises}/{receiver}",
        "place": pressed_at,
        "level": f"{level:.1f} dBm",
        "says": f"from the recording {heard.name}, {len(heard.presses)} presses",
    }
    number = len((case.job_without_evidence or case.job).readings)
    return (Change(("readings", number), reading),)


def _up(value: float, digits: int) -> str:
    """Rounded up, to so many digits that count.

    >>> _up(3.14159, 3), _up(0.0005, 3)
    ('3.15', '0.0005')
    """
    step = 10.0 ** (math.floor(math.log10(value)) - digits + 1)
    return f"{math.ceil(value / step - 1e-9) * step:.{digits}g}"
