"""What works a thing with nobody there, air that is breathed, noise by night, water on a way."""

from __future__ import annotations

from typing import Any

import pytest

from farpress.domain.finding import Finding, Verdict
from farpress.judging.safety import air_kept, also_worked, around
from helpers.findings import finding_of
from helpers.logic_case import GATE, SIREN, VALVE, a_case

HOLDS, THIN, UNKNOWN, FAILS = Verdict.HOLDS, Verdict.THIN, Verdict.UNKNOWN, Verdict.FAILS
PAGER: dict[str, Any] = {"holds_s": 1.0, "seen": True, "contact_max_v": 30.0}


def _gate(change: dict[str, Any], **sheet: Any) -> Finding:
    inputs = {"open": {**GATE["inputs"]["open"], "voltage_v": 24.0, "max_pulse_s": 1.0}}
    gate = {**GATE, "inputs": inputs, "also_worked_by": {"pager": {**PAGER, **change}}, **sheet}
    case = a_case({"1": {"kind": "pulse", "works": "gate.open"}}, devices={"gate": gate})
    return finding_of(also_worked.judge(case), "SAFE-70")


@pytest.mark.parametrize(
    ("change", "sheet", "verdict"),
    [
        ({}, {}, HOLDS),
        ({"seen": False}, {}, HOLDS),  # beams and edge, tested
        ({"seen": False}, {"safeguards_tested": None}, FAILS),
        ({"seen": False}, {"safeguards": ()}, FAILS),
        ({"seen": None}, {"safeguards": ()}, UNKNOWN),
        ({"holds_s": 1.1}, {}, FAILS),
        ({"holds_s": None}, {}, UNKNOWN),
        ({"contact_max_v": 24.0}, {}, HOLDS),
        ({"contact_max_v": 23.0}, {}, FAILS),
        ({"contact_max_v": None}, {}, UNKNOWN),
    ],
)
def test_safe_70_what_else_starts_it(change: dict[str, Any], sheet: dict[str, Any], verdict: Verdict) -> None:
    """In sight or guarded, no longer than a command, a contact made for the volts; left out is asked."""
    assert _gate(change, **sheet).verdict is verdict


def test_safe_70_is_asked_of_what_is_relied_on_in_danger_alone() -> None:
    """An empty table says that it was asked."""
    outputs = {"1": {"kind": "pulse", "works": "gate.open"}}
    relied = {"functions": {"gate": {"output": "house/R1/1", "in_danger": True}}}

    assert not list(also_worked.judge(a_case(outputs)))
    assert finding_of(also_worked.judge(a_case(outputs, **relied)), "SAFE-70").verdict is UNKNOWN
    asked = {"gate": {**GATE, "also_worked_by": {}}}
    assert not list(also_worked.judge(a_case(outputs, devices=asked, **relied)))


@pytest.mark.parametrize(
    ("air", "verdict"),
    [
        (None, UNKNOWN),
        ({}, UNKNOWN),
        ({"breathed": False}, HOLDS),
        ({"breathed": True}, UNKNOWN),
        ({"breathed": True, "kept_by": "people"}, FAILS),
        ({"breathed": True, "kept_by": "nothing"}, FAILS),
        ({"kept_by": "people"}, FAILS),
        ({"breathed": True, "kept_by": "sensor that warns outside"}, THIN),
        ({"breathed": True, "kept_by": "sensor that runs the fan"}, HOLDS),
    ],
)
@pytest.mark.parametrize("thing", [{"device": "fan"}, {"device": "contactor", "feeds": "fan"}])
def test_safe_71_a_press_is_no_gas_warning(
    thing: dict[str, Any], air: dict[str, Any] | None, verdict: Verdict
) -> None:
    """Asked of each fan, and of a contactor that feeds one; what blows warm air alone is let be."""
    sheet = thing | ({} if air is None else {"air": air})
    case = a_case({"1": {"kind": "toggle", "works": "it.on"}}, devices={"it": sheet})

    assert finding_of(air_kept.judge(case), "SAFE-71").verdict is verdict


def _left(air: dict[str, Any], for_s: float | None = 600.0) -> Finding:
    output = {"kind": "toggle"} if for_s is None else {"kind": "pulse", "for_s": for_s}
    sheet = {"device": "fan", "air": {"breathed": True, **air}}
    case = a_case({"1": {**output, "works": "it.on"}}, devices={"it": sheet})
    return finding_of(air_kept.judge(case), "SAFE-72")


@pytest.mark.parametrize(
    ("gas", "verdict"), [(4.4, HOLDS), (4.6, THIN), (5.0, THIN), (5.1, FAILS), (None, UNKNOWN)]
)
def test_safe_72_what_stays_while_gas_comes_in(gas: float | None, verdict: Verdict) -> None:
    """5 m3/h in 1000 m3/h are half a per cent, by hand."""
    assert _left({"gas_m3_per_h": gas, "moved_m3_per_h": 1000.0, "most_share": 0.005}).verdict is verdict


def test_safe_72_ten_minutes_of_two_changes_leave_most_of_it() -> None:
    """exp(-2/6) = 0.717, by hand; a fan that has no end is not known to clear anything."""
    air = {"room_m3": 500.0, "moved_m3_per_h": 1000.0}

    assert _left(air).verdict is FAILS
    assert _left(air).value == pytest.approx(71.7, abs=0.05)
    assert _left(air, for_s=None).verdict is UNKNOWN
    assert _left(air, for_s=6 * 3600.0).verdict is UNKNOWN  # how much comes in meanwhile is asked


def _siren(noise: dict[str, Any] | None) -> Finding:
    sheet = SIREN | ({} if noise is None else {"noise": noise})
    case = a_case({"1": {"kind": "pulse", "for_s": 5.0, "works": "horn.on"}}, devices={"horn": sheet})
    return finding_of(around.judge(case), "SAFE-73")


@pytest.mark.parametrize(
    ("noise", "verdict"),
    [
        (None, UNKNOWN),
        ({"loudness": 80.0}, UNKNOWN),
        ({"bedroom_m": 10.0}, UNKNOWN),
        ({"loudness": 76.0, "bedroom_m": 10.0}, HOLDS),
        ({"loudness": 79.0, "bedroom_m": 10.0}, THIN),
        ({"loudness": 80.0, "bedroom_m": 10.0}, THIN),
        ({"loudness": 81.0, "bedroom_m": 10.0}, FAILS),
        ({"loudness": 120.0, "bedroom_m": 10.0, "agreed": "the town, by day"}, HOLDS),
        ({"loudness": 120.0, "agreed": "the town, by day"}, UNKNOWN),
    ],
)
def test_safe_73_who_sleeps_near_what_sounds(noise: dict[str, Any] | None, verdict: Verdict) -> None:
    """20 dB less at ten metres, by hand; asked of each thing that sounds."""
    assert _siren(noise).verdict is verdict


@pytest.mark.parametrize(
    ("name", "falls", "verdict"),
    [
        ("sprinklers", None, UNKNOWN),
        ("sprinklers", "own ground", HOLDS),
        ("sprinklers", "a way", FAILS),
        ("trough", "a way", FAILS),
        ("trough", None, None),
    ],
)
def test_safe_74_sprayed_water_falls_on_no_way(name: str, falls: str | None, verdict: Verdict | None) -> None:
    """A word makes somebody ask; what fills a trough is let be."""
    case = a_case(
        {"1": {"kind": "pulse", "for_s": 60.0, "works": f"{name}.on"}},
        devices={name: {**VALVE, "falls_on": falls}},
    )
    found = [finding.verdict for finding in around.judge(case) if finding.code == "SAFE-74"]

    assert found == ([] if verdict is None else [verdict])
