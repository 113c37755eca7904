"""Door holders are to let go without power; coils made for the mains hang on the mains."""

from __future__ import annotations

from typing import Any

import pytest

from farpress.case.case import Case
from farpress.domain.finding import Verdict
from farpress.judging.supply.volts import judge
from helpers.circuit_jobs import RECEIVER
from helpers.findings import finding_of
from helpers.wired_case import wired_case

SUPPLY: dict[str, Any] = {
    "supply": "dc",
    "voltage_v": 27.6,
    "voltage_min_v": 27.0,
    "voltage_max_v": 27.6,
    "rated_a": 2.0,
    "source_ohm": 0.05,
    "battery": {"voltage_v": 24.0, "end_v": 21.0, "capacity_ah": 3.0, "usable_share": 0.7},
    "standby_s": 86400.0,
}
RECEIVER_24: dict[str, Any] = {**RECEIVER, "voltage_max_v": 30.0}
HOLDER: dict[str, Any] = {
    "device": "hold-open magnet",
    "supply": "dc",
    "voltage_v": 24.0,
    "voltage_max_v": 30.0,
    "current_a": 0.067,
    "pieces": 2,
    "load": "inductive dc",
    "released_by": ("fire alarm",),
}


def house(kind: str, least_v: float, metres: float = 100.0) -> Case:
    """A receiver whose contact feeds two magnets over thin cores."""
    run = {"part": "alarm-6x0.22", "length_m": metres}
    return wired_case(
        {
            "supplies": {"main": SUPPLY},
            "receivers": {
                "R1": {
                    **RECEIVER_24,
                    "fed": {"from": "main", "cable": {"part": "twin-1.5", "length_m": 1.0}},
                    "outputs": {
                        "1": {
                            "kind": "toggle",
                            "works": "holder.hold",
                            "contact": "normally closed",
                            "load_from": "main",
                            "cable": run,
                        }
                    },
                }
            },
            "devices": {
                "holder": {
                    **HOLDER,
                    "device": kind,
                    "voltage_min_v": least_v,
                    "inputs": {"hold": {"logic": "on", "wants": "maintained"}},
                }
            },
        }
    )


@pytest.mark.parametrize(
    ("kind", "least_v", "verdict"),
    [
        ("hold-open magnet", 20.4, Verdict.HOLDS),
        ("hold-open magnet", 25.0, Verdict.FAILS),
        ("magnetic lock", 20.4, Verdict.FAILS),
    ],
)
def test_sup_01_a_door_holder_is_judged_on_the_mains(kind: str, least_v: float, verdict: Verdict) -> None:
    """134 mA over 19.2 ohm lose 2.6 V cold: 24.4 V of 27 V on the mains, 18.4 V of 21 V on the battery."""
    finding = finding_of(judge(house(kind, least_v)), "SUP-01", "holder")
    assert finding.verdict is verdict
    expected = 24.4 if kind == "hold-open magnet" else 18.4
    assert finding.value == pytest.approx(expected, abs=0.4)  # hot cores lose a little more


def test_sup_04_what_may_let_go_is_offered_off_the_battery() -> None:
    """A battery that does not last has something on it that needs none."""
    for kind, offered in (("hold-open magnet", True), ("magnetic lock", False)):
        finding = finding_of(judge(house(kind, 20.4)), "SUP-04")
        assert finding.verdict is Verdict.FAILS
        assert any("off the battery" in remedy.does for remedy in finding.remedies) is offered


def coils(part: dict[str, Any], load_from: str | None = None) -> list[str]:
    """What SUP-06 says of the coil of a contactor for a mains lamp."""
    case = wired_case(
        {
            "supplies": {"main": SUPPLY},
            "receivers": {
                "R1": {
                    **RECEIVER_24,
                    "fed": {"from": "main", "cable": {"part": "twin-1.5", "length_m": 1.0}},
                    "outputs": {
                        "1": {"kind": "toggle", "works": "lamp.on", "via": "K1", "load_from": load_from}
                    },
                }
            },
            "devices": {"lamp": {"device": "lamp", "supply": "mains", "voltage_v": 230.0, "current_a": 0.1}},
        },
        relays={"K1": part},
    )
    return [
        str(finding.verdict)
        for finding in judge(case)
        if finding.code == "SUP-06" and "coil" in finding.about
    ]


def test_sup_06_a_coil_for_the_mains_hangs_on_the_mains() -> None:
    """Unless a supply is named for it, or its coil is made for extra-low volts or for direct current."""
    mains = {"coil_v": 230.0, "coil_supply": "ac", "coil_a": 0.02}
    assert coils(mains) == []
    assert coils(mains, "main") == ["fails"]
    assert coils({"coil_v": 24.0, "coil_supply": "ac", "coil_a": 0.2}) == ["fails"]
    assert coils({"coil_v": 24.0, "coil_supply": "dc", "coil_a": 0.1}) == ["holds"]
