"""A loop has one figure wherever it is told: schedule, sheets, slips, meter, check and paper."""

from __future__ import annotations

from typing import Any

import pytest

from farpress.case.case import Case
from farpress.core.wiring.loops import Scheme
from farpress.core.wiring.wrong_wiring import wrong_wirings
from farpress.domain.premises import CableRun
from farpress.judging.panel.loops import judge_loops
from farpress.papers.builders.words import loop_ohm_cell
from farpress.wiring.metering import metered
from farpress.wiring.schedule import wiring_schedule
from farpress.wiring.sheets import schedule_json
from helpers.findings import finding_of
from helpers.wired_case import wired_case

CABLE = {"part": "alarm-6x0.22", "length_m": 26.0}
"""26 m of 96 ohm/km there and back are 4.992 ohm, and 0.05 ohm for each of two terminals: 5.092 ohm."""

STATES = ("at rest", "worked")

SCHEMES: tuple[tuple[Scheme, str, float], ...] = (
    ("single end-of-line", "normally open", 4700.0),
    ("single end-of-line", "normally closed", 4700.0),
    ("double end-of-line", "normally closed", 2200.0),
    ("double end-of-line", "normally open", 6900.0),
    ("two-resistor", "normally open", 2200.0),
    ("closed", "normally closed", 0.0),
)
"""Scheme, side of the contact, and what its resistors come to at rest: by hand."""


def loop_of(scheme: Scheme) -> dict[str, Any]:
    """A loop of that scheme."""
    if scheme == "closed":
        return {"scheme": scheme}
    normal = 4700.0 if scheme == "single end-of-line" else 2200.0
    more = {} if scheme == "single end-of-line" else {"alarm_ohm": 4700.0}
    return {"scheme": scheme, "normal_ohm": normal, "tolerance_share": 0.01, "window_share": 0.15, **more}


def case_of(scheme: Scheme, contact: str, *, by: str) -> Case:
    """Such a loop, worked by an output of a receiver or by a relay of its own signal."""
    worked = {"works": "panel.zone", "contact": contact, "cable": CABLE}
    box: dict[str, Any] = {"at": [0, 0], "contact_form": "changeover", "low_cell": {"form": "relay"}}
    if by == "output":
        box["outputs"] = {"1": {"kind": "latch", **worked}}
    else:
        box["signals"] = {"low cell": worked}
    return wired_case(
        {
            "receivers": {"R1": box},
            "panels": {"panel": {"inputs": {"zone": {"reads": "zone", "loop": loop_of(scheme)}}}},
        }
    )


@pytest.mark.parametrize("by", ["output", "signal"])
@pytest.mark.parametrize(("scheme", "contact", "resistors"), SCHEMES)
def test_a_loop_reads_the_same_everywhere(scheme: Scheme, contact: str, resistors: float, by: str) -> None:
    """Resistors by hand, and 5.092 ohm of cable; the check's corners of warmth and tolerance lie round it."""
    case = case_of(scheme, contact, by=by)
    row = next(row for row in wiring_schedule(case).loops if row.state == "at rest")
    bare = next(row for row in wiring_schedule(case).loops if row.state == "far end joined")
    sheets = schedule_json(wiring_schedule(case), ())["loops"]
    sheet = next(found for found in sheets if found["state"] == "at rest")
    meter = metered(
        case, "larkfen", "panel.zone", "panel.zone common", moment="at rest", level="as a meter reads it"
    )
    loop = loop_of(scheme)
    (right, *_) = wrong_wirings(
        scheme=scheme,
        bands=(),
        normal_ohm=loop.get("normal_ohm", 0.0),
        alarm_ohm=loop.get("alarm_ohm", 0.0),
        break_contact=contact == "normally closed",
    )

    assert bare.expected_ohm == pytest.approx(5.092, rel=1e-9)
    assert row.expected_ohm == pytest.approx(resistors + 5.092, rel=1e-9)
    assert sheet["expected_ohm"] == pytest.approx(row.expected_ohm)
    assert meter.ohms == pytest.approx(row.expected_ohm, rel=1e-8)
    assert right.rest_ohm + bare.expected_ohm == pytest.approx(row.expected_ohm)
    assert row.low_ohm <= row.expected_ohm <= row.high_ohm
    cell = loop_ohm_cell(case, CableRun(**CABLE))
    assert cell is not None
    assert cell.text == "5.092 ohm"
    if by == "output" and scheme != "closed":
        said = finding_of(judge_loops(case), "PAN-03")
        told = [found.expected_ohm for found in wiring_schedule(case).loops if found.state in STATES]
        assert any(
            said.value == pytest.approx(ohm, rel=0.0125) for ohm in told
        )  # 1 % of tolerance; no cable, or a hot one
