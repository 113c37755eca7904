"""A supply that is named for an output beside its drawn cores is no second way past them."""

from __future__ import annotations

from typing import Any

import pytest

from farpress.domain.finding import Finding
from farpress.judging.supply.volts import judge
from helpers.findings import finding_of
from helpers.wired_case import wired_case


def arriving(**output: Any) -> Finding:
    """SUP-01 of a strike of 0.45 A behind 86 m of two cores that are drawn."""
    box = {"at": [0, 0], "outputs": {"1": {"kind": "pulse", "for_s": 6.0, "works": "gate.in", **output}}}
    strike = {"device": "strike", "supply": "dc", "voltage_v": 12.0, "voltage_min_v": 10.5, "current_a": 0.45}
    house = {
        "supplies": {"main": {"supply": "dc", "voltage_v": 13.6, "voltage_min_v": 13.6}},
        "receivers": {"R1": box},
        "devices": {"gate": strike | {"inputs": {"in": {"logic": "release"}}}},
        "cables": {
            "W1": {
                "part": "twin-0.5",
                "length_m": 86.0,
                "cores": {"red": ["main.+", "R1.1.common"], "black": ["main.0", "gate.0"]},
            }
        },
        "links": [["R1.1.make", "gate.+"]],
    }
    return finding_of(
        judge(wired_case(house, functions={"gate": {"output": "larkfen/R1/1"}})), "SUP-01", "gate"
    )


def test_the_drawn_cores_carry_it_whether_its_supply_is_named_or_not() -> None:
    """2 x 86 m of 39 ohm/km are 6.7 ohm, an eighth more when hot: 13.6 V - 0.45 A x 7.5 ohm."""
    drawn, named = arriving(), arriving(load_from="main")

    assert drawn.value == pytest.approx(13.6 - 0.45 * 2 * 0.086 * 39.0 * 1.118, abs=0.05)
    assert named.value == drawn.value
