"""What a load takes when it starts, and who is worst off then, in numbers worked out by hand."""

from __future__ import annotations

from typing import Any

import pytest

from farpress.domain.finding import Finding, Verdict
from farpress.judging.supply.volts import judge
from helpers.findings import finding_of
from helpers.wired_case import wired_case

CABLES: dict[str, dict[str, Any]] = {"thick": {"resistance_ohm_per_km": 1e-3, "cores": 2, "rated_a": 100.0}}
RUN: dict[str, Any] = {"part": "thick", "length_m": 1.0}
WORN = 1.5
"""A worn battery at 25 degC has half more resistance than a new one: IEEE 1188, from memory."""

BATTERY: dict[str, Any] = {
    "coldest_degc": 25.0,
    "capacity_ah": 10.0,
    "voltage_v": 12.0,
    "end_v": 10.5,
    "chemistry": "lead",
    "inner_ohm": 0.1 / WORN,
}


def judged(code: str, least_v: tuple[float, ...] = (9.0,), *, rated_a: float = 2.0, **more: Any) -> Finding:
    """A motor on the first output of the first of some receivers; what they need at least."""
    device = {"device": "lamp", "supply": "dc", "voltage_v": 12.0, **more.pop("motor")}
    output = {"kind": "pulse", "for_s": 4.0, "works": "motor.on", "load_from": "main", "cable": RUN}
    receivers = {
        f"R{number}": {
            "at": [0, 0],
            "supply": "dc",
            "voltage_min_v": volts,
            "current_idle_a": 0.0,
            "current_per_relay_a": 0.0,
            "fed": {"from": "main", "cable": RUN},
            "outputs": {"1": output} if number == 1 else {},
        }
        for number, volts in enumerate(least_v, start=1)
    }
    supply = {"supply": "dc", "voltage_v": 12.0, "voltage_min_v": 12.0, "rated_a": rated_a, **more}
    premises = {"supplies": {"main": supply}, "receivers": receivers, "devices": {"motor": device}}
    return finding_of(judge(wired_case(premises, cables=CABLES)), code)


@pytest.mark.parametrize(
    ("rated_a", "ends", "verdict"),
    [
        (6.0, "6 A, so its voltage stands.", Verdict.HOLDS),
        (5.0, "5 A, so its voltage stands.", Verdict.THIN),
        (4.0, "4 A and has no battery.", Verdict.UNKNOWN),
        (2.4, "2.4 A and has no battery.", Verdict.FAILS),
    ],
)
def test_sup_14_a_motor_takes_five_to_ten_times_its_current(
    rated_a: float, ends: str, verdict: Verdict
) -> None:
    """0.5 A: 2.5 to 5 A, from what is usual."""
    finding = judged("SUP-14", rated_a=rated_a, motor={"load": "motor", "current_a": 0.5})

    assert finding.verdict is verdict
    assert finding.value == pytest.approx(5.0)
    assert f"takes 2.5 A to 5 A (usual range) when it starts; larkfen/main gives {ends}" in finding.says
    assert ("breaks down" in finding.because) is (rated_a < 5.0)


@pytest.mark.parametrize(("pieces", "amperes"), [(None, 4.0), (2, 8.0)])
def test_sup_14_pieces_start_together(pieces: int | None, amperes: float) -> None:
    """Two that take 4 A each."""
    motor = {"load": "motor", "current_a": 0.5, "peak_a": 4.0, "peak_s": 0.3, "pieces": pieces}

    assert judged("SUP-14", motor=motor).value == pytest.approx(amperes)


@pytest.mark.parametrize(("least_v", "worst"), [((9.0, 10.5), "R2"), ((10.5, 9.0), "R1")])
def test_sup_10_the_receiver_that_is_nearest_to_its_least_is_told(
    least_v: tuple[float, ...], worst: str
) -> None:
    """12 V less 10 A through 0.1 ohm reach both: 11 V are 0.5 V more than one of them needs."""
    motor = {"load": "motor", "current_a": 0.5, "peak_a": 10.0, "peak_s": 0.3}
    finding = judged("SUP-10", least_v, motor=motor, battery=BATTERY, standby_s=3600.0)

    assert f"are left at {worst}, which needs 10.5 V" in finding.says
    assert finding.limit == pytest.approx(10.5)


@pytest.mark.parametrize(
    ("coldest", "ohm"), [(25.0, 0.15), (10.0, 0.18375), (-10.0, 0.22875), (None, 0.18375)]
)
def test_sup_10_a_battery_is_taken_worn_and_cold(coldest: float | None, ohm: float) -> None:
    """0.1 ohm new, half more worn, 1.5 % more a kelvin below 25 degC; 10 degC where nobody says."""
    battery = BATTERY | {"inner_ohm": 0.1, "coldest_degc": coldest}
    motor = {"load": "motor", "current_a": 0.5, "peak_a": 10.0, "peak_s": 0.3}
    finding = judged("SUP-10", motor=motor, battery=battery, standby_s=3600.0)

    assert finding.value == pytest.approx(10.5 - 10.0 * ohm, abs=0.001)
    assert "worn and at" in finding.because
