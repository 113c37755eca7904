"""The wiring schedule as tables for a spreadsheet: cores, readings, slips."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from farpress.domain.finding import Finding
from farpress.papers.typesetting.spreadsheet import TableSheet
from farpress.wiring.schedule import CoreRow, LoopRow, Schedule

__all__ = ["schedule_json", "schedule_sheets"]


def schedule_sheets(schedule: Schedule) -> tuple[TableSheet, ...]:
    """Three tables; figures rounded to what a meter and a tape measure are worth.

    Args:
        schedule: of a job.
    """
    cores = TableSheet(
        "cores",
        (
            "premises",
            "cable no.",
            "from",
            "terminal",
            "core",
            "named in the job",
            "to",
            "terminal there",
            "cable",
            "length, m",
            "one core at 20 degC at most, ohm",
            "lowest at the far end, V",
            "highest at the far end, V",
            "current, A",
            "fuse, A",
            "note",
        ),
        tuple(
            (
                row.premises,
                row.cable_no,
                row.start,
                row.start_terminal,
                row.core,
                "yes" if row.core_is_named else "no",
                row.target,
                row.target_terminal,
                row.cable,
                row.length_m,
                _round(row.core_ohm),
                _round(row.lowest_v),
                _round(row.highest_v),
                _round(row.amperes),
                row.fuse_a,
                row.note,
            )
            for row in schedule.cores
        ),
    )
    loops = TableSheet(
        "readings",
        (
            "premises",
            "cable no.",
            "measure at",
            "far end",
            "state",
            "how",
            "at least, ohm",
            "expected, ohm",
            "at most, ohm",
            "found, ohm",
            "outside means",
        ),
        tuple(
            (
                row.premises,
                row.cable_no,
                row.start,
                row.target,
                row.state,
                row.how,
                _ohm(row.low_ohm),
                _ohm(row.expected_ohm),
                _ohm(row.high_ohm),
                None,
                row.note,
            )
            for row in schedule.loops
        ),
    )
    slips = TableSheet(
        "wrong wiring",
        (
            "premises",
            "cable no.",
            "loop",
            "what is wrong",
            "at rest, ohm",
            "worked, ohm",
            "panel reads at rest",
            "panel reads worked",
            "symptom",
        ),
        tuple(
            (
                row.premises,
                row.cable_no,
                row.loop,
                row.slip.cause,
                _ohm(row.slip.rest_ohm),
                _ohm(row.slip.worked_ohm),
                row.slip.rest_state,
                row.slip.worked_state,
                row.slip.symptom,
            )
            for row in schedule.slips
        ),
    )
    return cores, loops, slips


def _round(number: float | None) -> float | None:
    return None if number is None else float(f"{number:.4g}")


def _ohm(ohm: float) -> str | float:
    return "open" if math.isinf(ohm) else float(f"{ohm:.4g}")


def schedule_json(schedule: Schedule, failing: Sequence[Finding]) -> dict[str, Any]:
    """The schedule for programs: names with their units, an open line as null ohms with `is_open`.

    Args:
        schedule: of a job.
        failing: findings to add.
    """

    def plain(row: CoreRow | LoopRow) -> dict[str, Any]:
        shown = dict(vars(row))
        if isinstance(row, LoopRow):
            shown["is_open"] = math.isinf(row.expected_ohm)
            shown |= {key: None for key in ("low_ohm", "expected_ohm", "high_ohm") if math.isinf(shown[key])}
        return shown

    return {
        "job": schedule.job,
        "fingerprint": schedule.fingerprint,
        "cores": [plain(row) for row in schedule.cores],
        "loops": [plain(row) for row in schedule.loops],
        "slips": [
            {"premises": row.premises, "cable_no": row.cable_no, "loop": row.loop}
            | {
                key: None if isinstance(value, float) and math.isinf(value) else value
                for key, value in vars(row.slip).items()
            }
            for row in schedule.slips
        ],
        "fails": [
            {
                "code": finding.code,
                "about": finding.about,
                "says": finding.says,
                "remedies": [{"does": remedy.does, "effect": remedy.effect} for remedy in finding.remedies],
            }
            for finding in failing
        ],
    }
