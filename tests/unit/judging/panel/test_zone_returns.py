"""A zone that comes back on the core of a load: what the panel reads while the load is on."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from farpress.domain.finding import Finding, Verdict
from farpress.judging.panel.zone_returns import seen_ohm
from farpress.judging.panel.zones import judge
from helpers.findings import finding_of
from helpers.wired_case import wired_case

HOLDS, UNKNOWN, FAILS = Verdict.HOLDS, Verdict.UNKNOWN, Verdict.FAILS
LOOP: dict[str, Any] = {
    "scheme": "double end-of-line",
    "normal_ohm": 4700.0,
    "alarm_ohm": 4700.0,
    "tolerance_share": 0.01,
    "window_share": 0.2,
    "pull_up_ohm": 4700.0,
    "supply_v": 12.0,
}


def solved_ohm(loop_ohm: float, load_a: float, shared_ohm: float, volts: float, pull_up: float) -> float:
    """What a panel's divider makes of the volts at its terminal, node by node (modified nodal analysis): the
    far end of the loop and the load's 0 V are one node, which the shared core joins to the panel's 0 V.
    """
    g = np.array(
        [[1 / pull_up + 1 / loop_ohm, -1 / loop_ohm], [-1 / loop_ohm, 1 / loop_ohm + 1 / shared_ohm]]
    )
    at_panel, _ = np.linalg.solve(g, np.array([volts / pull_up, load_a]))
    return float(pull_up * at_panel / (volts - at_panel))


@pytest.mark.parametrize("loop_ohm", [1000.0, 4715.0, 9415.0])
@pytest.mark.parametrize("load_a", [0.0, 0.05, 0.5])
def test_what_is_seen_is_what_the_circuit_solved_says(loop_ohm: float, load_a: float) -> None:
    """45 m of 96 ohm/km; the zone's own milliampere in the shared core is left out, a part in a thousand."""
    wanted = solved_ohm(loop_ohm, load_a, 4.32, 12.0, 4700.0)

    assert seen_ohm(loop_ohm, load_a * 4.32, 12.0, 4700.0) == pytest.approx(wanted, rel=0.006)


def judged(current_a: float | None, *, loop: dict[str, Any] | None = None, **cable: Any) -> list[Finding]:
    """A zone 45 m away beside a magnet, fed over R1/1."""
    run = {"part": "alarm-6x0.22", "length_m": 45.0}
    magnet = {"device": "magnetic lock", "supply": "dc", "inputs": {"release": {"logic": "release"}}}
    house = {
        "supplies": {"main": {"supply": "dc", "voltage_v": 12.0}},
        "devices": {
            "magnet": {
                **magnet,
                "current_a": current_a,
                "fed": {"from": "main", "cable": {**run, "label": "C1"}},
            }
        },
        "panels": {
            "alarm": {
                "zones": {
                    "Z1": {
                        "loop": {**LOOP, **(loop or {})},
                        "contacts": 1,
                        "resistor": "far end",
                        "cable": {**run, "label": "C1", "shares_return_with": "magnet", **cable},
                    }
                }
            }
        },
    }
    return list(judge(wired_case(house)))


@pytest.mark.parametrize(
    ("current_a", "more", "verdict"),
    [
        (0.5, {}, FAILS),
        (0.5, {"shared_m": 1.0}, HOLDS),
        (0.03, {}, HOLDS),
        (None, {}, UNKNOWN),
        (0.5, {"loop": {"supply_v": None}}, UNKNOWN),
        (0.5, {"loop": {"pull_up_ohm": None}}, UNKNOWN),
    ],
)
def test_pan_24_a_zone_is_read_rightly_while_the_load_is_on(
    current_a: float | None, more: dict[str, Any], verdict: Verdict
) -> None:
    """0.5 A over 45 m lift it by 2.4 V: 4.7 kohm at rest are read as 7.1; over 1 m nobody notices."""
    finding = finding_of(judged(current_a, **more), "PAN-24")

    assert finding.verdict is verdict
    assert bool(finding.asks) == (verdict is UNKNOWN)


def test_a_zone_with_a_core_of_its_own_is_not_asked() -> None:
    """Only where the job says whose core it is."""
    assert "PAN-24" not in {one.code for one in judged(0.5, shares_return_with=None)}
