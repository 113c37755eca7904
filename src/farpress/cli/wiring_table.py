"""The wiring schedule as text for a terminal: cable by cable, core by core, with the ohms to expect."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator
from typing import TYPE_CHECKING

from farpress.cli.text import columns_of, to_ascii, wrapped
from farpress.units import write_quantity

if TYPE_CHECKING:
    from farpress.wiring.schedule import CoreRow, LoopRow, Schedule, SlipRow

__all__ = ["wiring_table"]


def wiring_table(schedule: Schedule, *, width: int = 80, plain: bool = False, slips: bool = False) -> str:
    """Every cable with its cores, then the readings.

    Args:
        schedule: of a job.
        width: columns to keep within, at least 60.
        plain: only ASCII signs.
        slips: add what a wrong wiring of each loop shows.
    """
    lines: list[str] = [f"{schedule.job}: wiring core by core"]
    for premises, rows in itertools.groupby(schedule.cores, key=lambda row: row.premises):
        lines += ["", premises, "─" * len(premises)]
        for _, cores in itertools.groupby(rows, key=lambda row: row.cable_no):
            lines += _cable(list(cores), width)
    lines += ["", "Readings to expect, unplugged, at 20 °C"]
    for (premises, number), readings in itertools.groupby(
        schedule.loops, key=lambda row: (row.premises, row.cable_no)
    ):
        lines += _readings(premises, number, list(readings), width)
    if slips:
        lines += ["", "What a wrong wiring shows: at rest, worked, and what the panel makes of it"]
        for (premises, number, loop), slip_rows in itertools.groupby(
            schedule.slips, key=lambda row: (row.premises, row.cable_no, row.loop)
        ):
            lines += [
                "",
                f"{premises} {number} {loop}",
                *(line for row in slip_rows for line in _slip(row, width)),
            ]
    lines += [
        "",
        *wrapped(
            "Core numbers are ours unless the job names colours. Terminals after EN 50005 and EN 50011: check"
            " them against the receiver's own. Mains side only by a licensed electrician; national wiring"
            " rules come first.",
            width,
        ),
    ]
    text = "\n".join(line.rstrip() for line in lines)
    return to_ascii(text) if plain else text


def _cable(rows: list[CoreRow], width: int) -> Iterator[str]:
    main = next((row for row in rows if row.core != "link"), rows[-1])
    facts = [main.cable or "no cable described"] if main.core else [main.cable, "mains"]
    if not main.cable_no:
        facts = ["Wires in housings"]
    if main.length_m is not None:
        facts.append(write_quantity(main.length_m, "length"))
    if main.core_ohm is not None:
        facts.append(f"{_short(main.core_ohm)} ohm a core")
    if main.lowest_v is not None and main.highest_v is not None:
        facts.append(
            f"{main.lowest_v:.1f} to {main.highest_v:.1f} V"
            if abs(main.highest_v - main.lowest_v) > 0.05
            else write_quantity(main.lowest_v, "voltage")
        )
    if main.amperes is not None:
        facts.append(write_quantity(main.amperes, "current"))
    if main.fuse_a is not None:
        facts.append(f"fuse {write_quantity(main.fuse_a, 'current')}")
    yield ""
    yield from wrapped(f"{main.cable_no}  {', '.join(filter(None, facts))}", width, "", "     ")
    for row in rows:
        start, end = f"{row.start} {row.start_terminal}", f"{row.target} {row.target_terminal}"
        note = f"  ({row.note})" if row.note else ""
        line = f"     {start:<24} ── {row.core or 'mains':<6} ── {end}"
        if columns_of(line + note) <= width:
            yield line + note
            continue
        yield from [line] if columns_of(line) <= width else wrapped(line.strip(), width, "     ", "         ")
        if note:
            yield from wrapped(note.strip(), width, "         ")


def _readings(premises: str, number: str, rows: list[LoopRow], width: int) -> Iterator[str]:
    for row in rows:
        value = (
            "open"
            if math.isinf(row.expected_ohm)
            else f"{_ohm(row.expected_ohm)} ({_ohm(row.low_ohm)} to {_ohm(row.high_ohm)})"
        )
        text = f"{premises} {number}  {row.start} → {row.target}, {row.state}: {value}"
        yield from wrapped(text, width, "  ", "      ")


def _slip(row: SlipRow, width: int) -> Iterator[str]:
    rest, worked = (
        ("open" if math.isinf(ohm) else _ohm(ohm)) for ohm in (row.slip.rest_ohm, row.slip.worked_ohm)
    )
    cause = f"{row.slip.cause[0].upper()}{row.slip.cause[1:]}"
    yield from wrapped(f"{rest} / {worked}: {row.slip.symptom}. {cause}.", width, "  ", "      ")


def _ohm(ohm: float) -> str:
    return write_quantity(float(f"{ohm:.3g}"), "resistance")


def _short(ohm: float) -> str:
    return f"{ohm:.2g}" if ohm < 10 else f"{ohm:.3g}"
