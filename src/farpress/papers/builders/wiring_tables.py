"""Tables of the wiring paper from the wiring task: each core, readings to expect, wrong wirings and what they
show.
"""

from __future__ import annotations

import math

from farpress.papers.builders.words import quantity
from farpress.papers.typesetting.paper import Cell, Column, PaperTable
from farpress.sources import Citation, Mark
from farpress.wiring.schedule import CoreRow, LoopRow, Schedule

__all__ = ["cores_table", "readings_table", "slips_table"]

_COMPUTED = (Citation("cores at their largest permitted resistance, at 20 °C", mark=Mark.COMPUTED),)
_SLIPS = (Citation("the loop's network solved with the wrong wiring", mark=Mark.COMPUTED),)
_CURRENT = (Citation("sheet of the load", place="data sheet, job or catalogue", mark=Mark.GIVEN),)
_CORNERS = (Citation("volts over all corners of supply, load and cable", mark=Mark.COMPUTED),)

_NONE = "no continuity"
"""What a meter shows of a way that is interrupted; "open" is a state of gates."""

Row = tuple[Cell | str | None, ...]


def cores_table(schedule: Schedule, given: tuple[Citation, ...], fuses: tuple[Citation, ...]) -> PaperTable:
    """Every core from terminal to terminal.

    Args:
        schedule: of the job.
        given: source of the lengths.
        fuses: source of the fuses.
    """
    columns = (
        Column("premises", 0.65),
        Column("cable", 0.42),
        Column("from, terminal", 0.95),
        Column("to, terminal", 0.95),
        Column("core", 0.42),
        Column("type", 0.75),
        Column("length", 0.5, True, given),
        Column("core, 20 °C", 0.55, True, _COMPUTED),
        Column("volts, worst to best", 0.8, True, _CORNERS),
        Column("current", 0.5, True, _CURRENT),
        Column("fuse", 0.45, True, fuses),
        Column("found", 0.4),
        Column("remark", 1.3),
    )
    return PaperTable(
        "cores", columns, tuple(_core(row) for row in schedule.cores), empty="No cable is described yet."
    )


def _core(row: CoreRow) -> Row:
    lowest, highest = quantity(row.lowest_v, "voltage"), quantity(row.highest_v, "voltage")
    volts = lowest if lowest == highest else " to ".join(text for text in (lowest, highest) if text)
    return (
        row.premises,
        row.cable_no,
        f"{row.start} {row.start_terminal}",
        f"{row.target} {row.target_terminal}",
        row.core if row.core_is_named else f"{row.core} (ours)",
        row.cable or None,
        quantity(row.length_m, "length"),
        quantity(row.core_ohm, "resistance"),
        volts or "",
        quantity(row.amperes, "current") or "",
        quantity(row.fuse_a, "current") or "",
        None,
        row.note,
    )


def readings_table(schedule: Schedule) -> PaperTable:
    """What a meter should show on each cable and loop, with room for what it does show."""
    columns = (
        Column("premises", 0.6),
        Column("cable", 0.4),
        Column("from", 0.7),
        Column("to", 0.8),
        Column("state", 0.9),
        Column("how to measure", 1.5),
        Column("expected", 0.55, True, _COMPUTED),
        Column("allowed", 0.8, sources=_COMPUTED),
        Column("found", 0.5),
        Column("outside means", 1.7),
    )
    return PaperTable(
        "readings-to-expect",
        columns,
        tuple(_reading(row) for row in schedule.loops),
        empty="No cable is described yet.",
    )


def _reading(row: LoopRow) -> Row:
    allowed = _NONE if math.isinf(row.expected_ohm) else f"{_ohm(row.low_ohm)} to {_ohm(row.high_ohm)}"
    return (
        row.premises,
        row.cable_no,
        row.start,
        row.target,
        row.state,
        row.how,
        _ohm(row.expected_ohm),
        allowed,
        None,
        row.note,
    )


def slips_table(schedule: Schedule) -> PaperTable:
    """Wrong wirings of supervised loops, with readings and symptom: from the symptom back to the slip."""
    rows: tuple[Row, ...] = tuple(
        (
            slip.premises,
            slip.cable_no,
            slip.loop,
            slip.slip.symptom,
            slip.slip.cause,
            _ohm(slip.slip.rest_ohm),
            _ohm(slip.slip.worked_ohm),
        )
        for slip in schedule.slips
    )
    columns = (
        Column("premises", 0.6),
        Column("cable", 0.4),
        Column("loop", 0.9),
        Column("symptom", 1.5),
        Column("wrong wiring", 1.9),
        Column("at rest", 0.6, True, _SLIPS),
        Column("worked", 0.6, True, _SLIPS),
    )
    return PaperTable("wrong-wirings", columns, rows, empty="No supervised loop is described.")


def _ohm(ohm: float) -> str:
    return _NONE if math.isinf(ohm) else quantity(ohm, "resistance") or ""
