"""A pump runs only with an open valve, a doser only with its pump: whoever presses what."""

from __future__ import annotations

from typing import Any

import pytest

from farpress.domain.finding import Finding, Verdict
from farpress.judging.output import only_with
from helpers.findings import finding_of
from helpers.logic_case import VALVE, a_case

HOLDS, THIN, UNKNOWN, FAILS = Verdict.HOLDS, Verdict.THIN, Verdict.UNKNOWN, Verdict.FAILS
PUMP: dict[str, Any] = {"device": "pump", "inputs": {"on": {"logic": "on", "wants": "maintained"}}}
PULSE: dict[str, Any] = {"kind": "pulse", "for_s": 600.0}


def _judged(
    buttons: dict[str, Any], *, valve_for_s: float = 600.0, by: str | None = "presses", two: bool = False
) -> Finding:
    """A pump on output 1 that runs only with the valve on output 2, of the same receiver or of another."""
    outputs = {"1": {**PULSE, "works": "pump.on"}, "2": {**PULSE, "for_s": valve_for_s, "works": "valve.on"}}
    case = a_case(
        outputs,
        devices={"pump": PUMP, "valve": {**VALVE, "longest_run_s": None}},
        premises=("house", "yard") if two else ("house",),
        functions={
            "pump": {"output": "house/R1/1"},
            "valve": {"output": "yard/R1/2" if two else "house/R1/2"},
        },
        groups={"pair": {"count": 2, "buttons": buttons}},
    )
    for house in case.job.premises.values():
        device = house.devices["pump"]
        with_ = ("yard/valve",) if two else ("valve",)
        house.devices["pump"] = device.model_copy(update={"only_with": with_, "only_with_by": by})
    found = [one for one in only_with.judge(case) if one.about == "house/pump"]
    return finding_of(found, "OUT-55")


@pytest.mark.parametrize(
    ("buttons", "by", "verdict"),
    [
        ({"1": "pump", "2": "valve"}, "presses", FAILS),
        ({"1": ("pump", "valve")}, "presses", THIN),
        ({"1": ("pump", "valve")}, None, UNKNOWN),
        ({"1": ("pump", "valve"), "2": "pump"}, "presses", FAILS),
        ({"1": "pump"}, "a switch of its own", HOLDS),
        ({"1": "pump"}, "a controller", HOLDS),
        ({"1": "pump"}, None, FAILS),
    ],
)
def test_out_55_a_press_opens_what_the_pump_needs(
    buttons: dict[str, Any], by: str | None, verdict: Verdict
) -> None:
    """One press for the pump alone is enough to run it against what is shut."""
    assert _judged(buttons, by=by).verdict is verdict


def test_out_55_two_receivers_hear_each_for_itself() -> None:
    """Learned on two receivers, one of them misses the press now and then."""
    finding = _judged({"1": ("pump", "valve")}, two=True)

    assert finding.verdict is FAILS
    assert "where one of the two misses it" in finding.says


@pytest.mark.parametrize(("valve_for_s", "verdict"), [(600.0, THIN), (601.0, THIN), (599.0, FAILS)])
def test_out_55_the_pump_stops_no_later_than_the_valve(valve_for_s: float, verdict: Verdict) -> None:
    """A valve that shuts first leaves the pump against it."""
    assert _judged({"1": ("pump", "valve")}, valve_for_s=valve_for_s).verdict is verdict


def test_two_that_wait_for_each_other_never_begin() -> None:
    """Each with a switch of its own that wants the other: asked about, whatever sees to it."""
    both = {
        name: PUMP | {"only_with": (other,), "only_with_by": "a switch of its own"}
        for name, other in (("pump", "doser"), ("doser", "pump"))
    }
    case = a_case({str(i): {**PULSE, "works": f"{name}.on"} for i, name in enumerate(both, 1)}, devices=both)
    found = [one for one in only_with.judge(case) if one.about == "house/pump"]

    assert finding_of(found, "OUT-55").verdict is UNKNOWN
    assert "none of them ever begins" in found[0].says
    assert "pump and doser" in found[0].asks[0].says
