"""What a question about the cores of a cable names."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest

from farpress.domain.finding import Finding
from farpress.judging.supply import cable_stock
from helpers.findings import finding_of
from helpers.wired_case import wired_case

RUN: dict[str, Any] = {"part": "joined", "length_m": 5.0}


def _lamp_on(cable: dict[str, Any]) -> Finding:
    """A lamp over a cable of its own: a core there and one back."""
    output = {"kind": "pulse", "for_s": 4.0, "works": "lamp.on", "load_from": "main", "cable": RUN}
    receiver = {"at": [0, 0], "supply": "dc", "fed": {"from": "main", "cable": RUN}}
    premises: dict[str, Any] = {
        "supplies": {"main": {"supply": "dc", "voltage_v": 12.0}},
        "receivers": {"R1": receiver | {"outputs": {"1": output}}},
        "devices": {"lamp": {"device": "lamp", "supply": "dc", "current_a": 0.5, "load": "resistive"}},
    }
    case = wired_case(premises, cables={"joined": {"resistance_ohm_per_km": 90.0} | cable})
    return finding_of(list(cable_stock.judge(case)), "SUP-20", "lamp")


@pytest.mark.parametrize(
    ("parallel", "wanted", "joined"), [(None, 2.0, ""), (2, 4.0, ", 2 cores joined for each,")]
)
def test_joined_cores_are_counted_and_told_from_two(parallel: int | None, wanted: float, joined: str) -> None:
    """Two conductors of one core, or of two."""
    finding = _lamp_on({"cores": 6, "parallel": parallel})

    assert finding.value == wanted
    assert f"2 conductors{joined} and it has 6" in finding.says


def test_eight_conductors_are_named_and_the_rest_counted() -> None:
    """Of eleven: three more."""
    conductors = [SimpleNamespace(near=(f"core {number}",), far=("lamp.+",)) for number in range(1, 12)]
    body: Any = SimpleNamespace(conductors=conductors)

    assert cable_stock._wanted_for(body).endswith("core 8 to lamp.+ and 3 more")
