"""Volts that a meter read, beside what the drawn circuit has there: worked out by Ohm's law beside each."""

from __future__ import annotations

from typing import Any

import pytest

from farpress.case.case import Case
from farpress.domain.finding import Finding, Verdict
from farpress.domain.refs import DeviceRef
from farpress.judging.supply.volts_found import judge
from helpers.findings import finding_of
from helpers.wired_case import wired_case

HOLDS, UNKNOWN, FAILS = Verdict.HOLDS, Verdict.UNKNOWN, Verdict.FAILS


def case_of(*read: dict[str, Any], lamp_a: float | None = 1.0, rated: float | None = 13.8) -> Case:
    """A lamp of 1 A fed straight over 20 m of two cores of 0.05 ohm a metre: 1 ohm there, 1 ohm back."""
    supply = {"supply": "dc", "voltage_v": rated}
    if rated is not None:
        supply |= {"voltage_min_v": 13.0, "voltage_max_v": 14.0}
    lamp: dict[str, Any] = {"device": "other", "supply": "dc", "current_a": lamp_a, "current_rest_a": lamp_a}
    lamp |= {"load": "led", "fed": {"from": "main", "cable": {"part": "pair", "length_m": 20.0}}}
    return wired_case(
        {"supplies": {"main": supply}, "devices": {"lamp": lamp}, "volts_read": list(read)},
        cables={"pair": {"cores": 2, "resistance_ohm_per_km": 50.0}},
    )


def at_lamp(volts: float, **more: Any) -> dict[str, Any]:
    """A reading at the lamp."""
    return {"between": ["lamp.+", "lamp.0"], "volts_v": volts, **more}


def found(case: Case) -> Finding:
    """What is said of the first reading."""
    return finding_of(list(judge(case))[:1], "SUP-32")


@pytest.mark.parametrize(
    ("volts", "verdict"),
    # At 20 degC 2 ohm lose 2 V of 13.8: 11.8 V; at 14.0 V 12.0, and a twentieth: 12.6; warm ones lose more.
    [(11.8, HOLDS), (12.4, HOLDS), (12.9, FAILS), (9.0, FAILS), (-11.8, FAILS)],
)
def test_volts_read_are_held_against_the_drawn_circuit(volts: float, verdict: Verdict) -> None:
    """Too few and too many are told, and a reading with the cores changed over."""
    finding = found(case_of(at_lamp(volts)))

    assert finding.verdict is verdict
    assert finding.subjects == (DeviceRef("larkfen/lamp"),)
    assert ("changed over" in finding.because) is (volts < 0)


@pytest.mark.parametrize(("volts", "verdict"), [(11.3, HOLDS), (11.0, HOLDS), (10.4, FAILS), (11.9, FAILS)])
def test_a_supply_that_was_read_too_leaves_less_doubt(volts: float, verdict: Verdict) -> None:
    """With 13.2 V read at its terminals the lamp has 13.2 / 13.8 of 11.8 V, 11.29 V, give or take 2 %."""
    source = {"between": ["main.+", "main.0"], "volts_v": 13.2}

    assert found(case_of(at_lamp(volts), source)).verdict is verdict
    assert found(case_of(at_lamp(11.9), source | {"mains_off": True})).verdict is HOLDS  # in another state


@pytest.mark.parametrize(
    ("case", "asked"),
    [
        (case_of(at_lamp(11.8), rated=None), "rated volts"),
        (case_of(at_lamp(11.8, during="light")), "nothing at larkfen does 'light'"),
        (case_of({"between": ["lamp.+", "lamp.5"], "volts_v": 3.0}), "lamp"),
    ],
)
def test_what_is_not_known_of_the_drawing_is_asked(case: Case, asked: str) -> None:
    """Missing is never better."""
    finding = found(case)

    assert finding.verdict is UNKNOWN
    assert asked in " ".join(ask.says for ask in finding.asks)
