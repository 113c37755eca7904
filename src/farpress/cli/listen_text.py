"""What `farpress listen` prints: for people, and for programs."""

from __future__ import annotations

import json
import textwrap
from collections.abc import Sequence
from typing import Any

from farpress.domain.finding import Change
from farpress.listening.hearing import Listened
from farpress.phrases import plural

__all__ = ["heard_json", "heard_text"]


def heard_text(found: Sequence[Listened], changes: Sequence[Change], width: int, *, is_written: bool) -> str:
    """Each recording in a few lines, then what goes into the job."""
    lines: list[str] = []
    for heard in found:
        lines += [*_one(heard, width), ""]
    if changes:
        lines.append("Written into the job:" if is_written else "For the job (--write writes it):")
        lines += [
            _filled(f"{'.'.join(map(str, change.path))}: {_plain(change.value)}", width) for change in changes
        ]
    return "\n".join(lines).rstrip() + "\n"


def _one(heard: Listened, width: int) -> list[str]:
    unit = "dBm" if heard.in_dbm else "dB under full scale"
    channel = f"{heard.channel.middle_hz / 1e6:g} MHz, {heard.channel.width_hz / 1e3:g} kHz wide"
    began = f", begun {heard.began:%Y-%m-%d %H:%M}" if heard.began is not None else ""
    lines = [f"{heard.name}: {heard.duration_s:.4g} s of {channel}{began}"]
    says = [
        f"Noise {heard.floor.level_db:.1f} {unit}, scattering by {heard.floor.spread_db:.1f} dB over the"
        " time.",
        _bursts(heard, unit),
    ]
    if heard.beat is not None:
        says.append(f"They come back every {heard.beat.period_s:.4g} s: a sender with a clock of its own.")
    if heard.presses:
        says.append(_presses(heard, unit))
    if heard.drift is not None and abs(heard.drift.hz_per_s) > 3.0 * heard.drift.doubt_hz_per_s:
        says.append(
            f"Their frequency drifts by {heard.drift.in_all_hz / 1e3:+.2f} kHz from the first to the last"
            f" ({heard.drift.hz_per_s:+.3g} Hz each second)."
        )
    lines += [_filled(sentence, width) for sentence in says]
    lines.append("  Not to be seen in it:")
    lines += [_filled(f"- {word}", width) for word in heard.unseen]
    return lines


def _bursts(heard: Listened, unit: str) -> str:
    taken = heard.taken
    if not heard.lengths_s.size:
        return f"Nothing stands out of it; others take at most {100 * taken.at_most:.2g} % of the time (95"
        " % sure)."
    longest, strongest = float(heard.lengths_s.max()), float(heard.levels_db.max())
    middle = sorted(heard.lengths_s)[heard.lengths_s.size // 2]
    return (
        f"{heard.lengths_s.size} bursts, {1e3 * middle:.3g} ms in the middle and {1e3 * longest:.3g} ms at"
        " the longest,"
        f" up to {strongest:.1f} {unit}: {100 * taken.share:.3g} % of the time, at most"
        f" {100 * taken.at_most:.3g} %"
        " (95 % sure)."
    )


def _presses(heard: Listened, unit: str) -> str:
    levels = sorted(press.level_db for press in heard.presses)
    tones = sorted(press.tone.middle_hz for press in heard.presses if press.tone is not None)
    occupied = sorted(press.tone.occupied_hz for press in heard.presses if press.tone is not None)
    where = (
        f", at {tones[len(tones) // 2] / 1e6:.4f} MHz, {_hertz(occupied[len(occupied) // 2])} wide"
        if tones
        else ""
    )
    count = len(levels)
    return (
        f"Taken as presses, {count}, the first of {plural(heard.presses[0].telegrams, 'telegram')}:"
        f" {levels[count // 2]:.1f} {unit} in the middle, {levels[0]:.1f} to {levels[-1]:.1f}{where}."
    )


def _hertz(width_hz: float) -> str:
    return f"{width_hz / 1e3:.3g} kHz" if width_hz >= 1e3 else f"{width_hz:.0f} Hz"


def _filled(text: str, width: int) -> str:
    return textwrap.fill(text, width, initial_indent="  ", subsequent_indent="    ")


def _plain(value: object) -> str:
    return (
        ", ".join(f"{key} {word}" for key, word in value.items()) if isinstance(value, dict) else str(value)
    )


def heard_json(found: Sequence[Listened], changes: Sequence[Change]) -> str:
    """The same for programs: dB or dBm as `level_unit` says, seconds, hertz."""
    return json.dumps(
        {
            "recordings": [_as_data(heard) for heard in found],
            "changes": [{"path": list(change.path), "value": change.value} for change in changes],
        },
        indent=1,
    )


def _as_data(heard: Listened) -> dict[str, Any]:
    return {
        "name": heard.name,
        "duration_s": heard.duration_s,
        "began": heard.began.isoformat() if heard.began is not None else None,
        "channel_hz": heard.channel.middle_hz,
        "width_hz": heard.channel.width_hz,
        "level_unit": "dBm" if heard.in_dbm else "dBFS",
        "noise_floor": heard.floor.level_db,
        "noise_spread_db": heard.floor.spread_db,
        "bursts": [
            {"at_s": float(begun), "length_s": float(length), "level": float(level)}
            for begun, length, level in zip(heard.begun_s, heard.lengths_s, heard.levels_db)
        ],
        "taken_share": heard.taken.share,
        "taken_at_most": heard.taken.at_most,
        "beat_s": heard.beat.period_s if heard.beat is not None else None,
        "presses": [
            {
                "at_s": press.at_s,
                "lasted_s": press.lasted_s,
                "telegrams": press.telegrams,
                "level": press.level_db,
                "middle_hz": press.tone.middle_hz if press.tone is not None else None,
                "occupied_hz": press.tone.occupied_hz if press.tone is not None else None,
            }
            for press in heard.presses
        ],
        "drift_hz_per_s": heard.drift.hz_per_s if heard.drift is not None else None,
        "unseen": list(heard.unseen),
    }
