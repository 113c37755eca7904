"""Contacts of an invented house: carrying, making, breaking, wetting, mains, motors."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from farpress.case.case import Case
from farpress.domain.finding import Finding, Verdict
from farpress.judging.contact.load import judge
from farpress.judging.registry import all_checks
from farpress.sources import Citation, Mark
from helpers.findings import finding_of
from helpers.wired_case import wired_case

RECEIVER: dict[str, Any] = {
    "at": [0, 0],
    "contact_rated_a": 2.0,
    "contact_rated_v": 30.0,
    "contact_min_a": 0.010,
    "contact_min_v": 5.0,
    "mains_rated": False,
    "contact_life": 100_000,
    "fed": {"from": "main"},
}
SUPPLIES: dict[str, Any] = {"main": {"supply": "dc", "voltage_v": 12.0}}
STRIKE: dict[str, Any] = {
    "device": "strike",
    "supply": "dc",
    "voltage_v": 12.0,
    "current_a": 0.35,
    "load": "inductive dc",
    "peak_a": 0.35,
}
LIGHTS: dict[str, Any] = {
    "device": "lamp",
    "supply": "mains",
    "voltage_v": 230.0,
    "current_a": 0.04,
    "load": "led",
    "pieces": 8,
    "peak_a": 22.0,
    "peak_s": 80e-6,
}
SHUTTERS: dict[str, Any] = {
    "device": "shutter",
    "supply": "mains",
    "voltage_v": 230.0,
    "current_a": 0.9,
    "load": "motor",
    "motors": 2,
    "inputs": {"up": {"logic": "up", "voltage_v": 230.0}, "down": {"logic": "down", "voltage_v": 230.0}},
}
GATE: dict[str, Any] = {
    "device": "sliding gate",
    "supply": "potential-free",
    "inputs": {"open": {"logic": "open only", "voltage_v": 24.0, "current_a": 0.004}},
}
CONTACTOR: dict[str, Any] = {
    "coil_v": 12.0,
    "coil_a": 0.085,
    "coil_supply": "dc",
    "contact_rated_a": 16.0,
    "contact_rated_v": 250.0,
    "contact_make_a": 500.0,
    "mains_rated": True,
}
GOLD: dict[str, Any] = {
    "coil_v": 12.0,
    "coil_a": 0.017,
    "coil_supply": "dc",
    "contact_rated_a": 1.0,
    "contact_rated_v": 30.0,
    "contact_make_a": 1.0,
    "contact_min_a": 0.001,
}


def judged(
    device: dict[str, Any],
    *,
    works: str = "it.on",
    receiver: dict[str, Any] | None = None,
    relays: dict[str, Any] | None = None,
    more: dict[str, Any] | None = None,
    **output: Any,
) -> list[Finding]:
    """All findings for one output that works one device called "it"."""
    outputs = {"1": {"kind": "pulse", "works": works, **output}, **(more or {})}
    premises = {
        "supplies": SUPPLIES,
        "receivers": {"R1": RECEIVER | {"outputs": outputs} | (receiver or {})},
        "devices": {"it": device},
    }
    return list(judge(wired_case(premises, relays=relays)))


def test_a_strike_with_a_diode_is_well_within_the_rating() -> None:
    """0.35 A of the half of 2 A; it wears like 0.7 A."""
    finding = finding_of(judged(STRIKE, suppression="diode"), "CON-01")

    assert finding.verdict is Verdict.HOLDS
    assert (finding.value, finding.limit) == (pytest.approx(0.35), pytest.approx(1.0))
    assert "like 0.7 A" in finding.because


def test_an_unsuppressed_coil_counts_three_times() -> None:
    """0.35 A at 35 % wears like 1 A."""
    finding = finding_of(judged(STRIKE, suppression="none"), "CON-01")

    assert (finding.value, finding.limit) == (pytest.approx(0.35), pytest.approx(0.7))
    assert "35 % of the rating, 700 mA, allowed" in finding.says
    assert "like 1 A" in finding.because


def test_eight_drivers_weld_a_two_ampere_contact() -> None:
    """8 x 22 A = 176 A; even ten times 2 A is not enough, and one driver alone is too much."""
    finding = finding_of(judged(LIGHTS), "CON-02")

    assert finding.verdict is Verdict.FAILS
    assert finding.value == pytest.approx(176.0)
    assert finding.limit == pytest.approx(20.0)
    assert any("one piece alone makes 22 A" in remedy.does for remedy in finding.remedies)


@pytest.mark.parametrize("code", ["CON-01", "CON-02"])
def test_how_many_lights_is_asked_where_nobody_counted_them(code: str) -> None:
    """One alone would hold; on mains they seldom come alone."""
    one = LIGHTS | {"peak_a": 1.5}
    uncounted = {key: value for key, value in one.items() if key != "pieces"}
    dc = uncounted | {"supply": "dc", "voltage_v": 12.0}
    contact = {"mains_rated": True, "contact_rated_v": 250.0, "contact_make_a": 20.0}

    assert finding_of(judged(one | {"pieces": 1}, receiver=contact), code).verdict is Verdict.HOLDS
    asked = finding_of(judged(uncounted, receiver=contact), code)
    assert asked.verdict is Verdict.UNKNOWN
    assert any("'pieces'" in ask.says for ask in asked.asks)
    assert not any("'pieces'" in ask.says for ask in finding_of(judged(dc), code).asks)


def test_the_contactor_that_fits_is_named_and_cures_it() -> None:
    """Its coil is of the receiver's supply voltage, its contact makes the peak and is for mains."""
    weak = CONTACTOR | {"contact_make_a": 100.0}
    relays = {
        "weak": weak,
        "lighting": CONTACTOR,
        "wrong-coil": CONTACTOR | {"coil_v": 230.0, "coil_supply": "ac", "contact_rated_a": 10.0},
    }
    before = finding_of(judged(LIGHTS, relays=relays), "CON-02")

    assert before.remedies[0].changes[0].path[-1] == "via"
    assert before.remedies[0].changes[0].value == "lighting"
    after = judged(LIGHTS, relays=relays, via="lighting")
    assert finding_of(after, "CON-02", "lighting").verdict is Verdict.HOLDS
    assert finding_of(after, "CON-05", "lighting").verdict is Verdict.HOLDS


def test_behind_a_relay_the_receiver_only_works_the_coil() -> None:
    """85 mA at 12 V on its own contact."""
    findings = judged(LIGHTS, relays={"lighting": CONTACTOR}, via="lighting", suppression="diode")
    own = next(
        finding for finding in findings if finding.code == "CON-01" and finding.about == "larkfen/R1/1"
    )

    assert (own.value, own.limit) == (pytest.approx(0.085), pytest.approx(1.0))
    assert not any(finding.verdict is Verdict.FAILS for finding in findings)


def test_an_unknown_making_current_is_asked_for_between_one_and_ten_times() -> None:
    """One driver of 15 A: a 2 A relay may or may not."""
    finding = finding_of(judged(LIGHTS | {"pieces": 1, "peak_a": 15.0}), "CON-02")

    assert finding.verdict is Verdict.UNKNOWN
    assert "making current" in finding.remedies[0].does


def test_an_unknown_peak_is_bounded_by_what_is_usual() -> None:
    """Motor of 0.9 A: 4.5 to 9 A; 10 A hold, 3 A fail, 6 A must be asked."""
    motor = SHUTTERS | {"motors": 1}
    verdicts = [
        finding_of(judged(motor, works="it.up", receiver={"contact_make_a": make}), "CON-02").verdict
        for make in (10.5, 3.0, 6.0)
    ]

    assert verdicts == [Verdict.HOLDS, Verdict.FAILS, Verdict.UNKNOWN]


def test_the_cable_holds_a_peak_down() -> None:
    """12 V over 2 x 40 m of 0.22 mm2 cannot drive more than 1.4 A."""
    finding = finding_of(
        judged(
            STRIKE | {"load": "capacitive", "peak_a": 30.0},
            load_from="main",
            cable={"part": "alarm-6x0.22", "length_m": 40.0},
        ),
        "CON-02",
    )

    assert finding.value == pytest.approx(12 / (2 * 40 * 96 / 1000 * 1.1179))
    assert finding.verdict is Verdict.HOLDS


@pytest.mark.parametrize(
    ("fitted", "verdict"), [(None, Verdict.UNKNOWN), ("none", Verdict.FAILS), ("diode", Verdict.HOLDS)]
)
def test_what_catches_the_coil_is_judged_and_sized(fitted: str | None, verdict: Verdict) -> None:
    """A diode of ten times the voltage, with the release time."""
    finding = finding_of(judged(STRIKE, suppression=fitted), "CON-03")

    assert finding.verdict is verdict
    if verdict is not Verdict.HOLDS:
        assert any("120 V and 350 mA" in remedy.does for remedy in finding.remedies)


def test_a_diode_on_alternating_current_is_refused() -> None:
    """It shorts every other half wave."""
    valve = STRIKE | {"supply": "ac", "voltage_v": 24.0, "load": "coil ac"}

    assert finding_of(judged(valve, suppression="diode"), "CON-03").verdict is Verdict.FAILS


def test_four_milliamperes_do_not_keep_a_ten_milliampere_contact_clean() -> None:
    """A gold contact or a resistor: 24 V / (12 - 4 mA) = 3 kohm, 0.19 W."""
    finding = finding_of(judged(GATE, works="it.open", relays={"gold": GOLD}), "CON-04")

    assert finding.verdict is Verdict.FAILS
    assert finding.remedies[0].changes[0].value == "gold"
    assert "3 kohm" in finding.remedies[1].does
    assert "0.19 W" in finding.remedies[1].does
    assert "12 mA" in finding.remedies[1].effect


def test_mains_on_a_contact_not_rated_for_it_is_refused() -> None:
    """And where nobody knows, it may not either, until it is known."""
    assert finding_of(judged(LIGHTS), "CON-05").verdict is Verdict.FAILS
    assert finding_of(judged(LIGHTS, receiver={"mains_rated": None}), "CON-05").verdict is Verdict.UNKNOWN
    assert "licensed" in finding_of(judged(LIGHTS), "CON-05").because


def test_volts_named_at_an_input_do_not_make_a_motor_a_signal() -> None:
    """Only milliamperes do: 230 V at the input of a shutter is its own supply."""
    assert finding_of(judged(SHUTTERS, works="it.up"), "CON-05").verdict is Verdict.FAILS
    assert not [finding for finding in judged(SHUTTERS, works="it.up") if finding.code == "CON-04"]


def test_life_is_counted_where_operations_are_given() -> None:
    """0.35 A of 1 A allowed, 100 000 operations there: 2.8 times as many; 200 a day want 730 500."""
    finding = finding_of(judged(STRIKE, suppression="diode", operations_per_day=200.0), "CON-06")

    assert finding.value == pytest.approx(100_000 * 0.35**-0.992)
    assert finding.verdict is Verdict.FAILS


def test_two_motors_on_one_contact_need_a_separation_relay() -> None:
    """With one it holds."""
    assert finding_of(judged(SHUTTERS, works="it.up"), "CON-07").verdict is Verdict.FAILS
    assert (
        finding_of(judged(SHUTTERS | {"separation_relay": True}, works="it.up"), "CON-07").verdict
        is Verdict.HOLDS
    )


def test_coils_above_thirty_volts_direct_current_are_not_rated() -> None:
    """The arc does not go out."""
    assert (
        finding_of(
            judged(STRIKE | {"voltage_v": 48.0}, receiver={"contact_rated_v": 125.0}), "CON-01"
        ).verdict
        is Verdict.FAILS
    )


def test_a_device_without_figures_is_open_everywhere() -> None:
    """Nothing is guessed, everything is asked."""
    findings = judged({})

    assert findings
    assert {finding.verdict for finding in findings} == {Verdict.UNKNOWN}
    assert {finding.code for finding in findings} <= set(all_checks())


@pytest.mark.parametrize(("mark", "verdict"), [(Mark.MEMORY, Verdict.UNKNOWN), (Mark.GIVEN, Verdict.FAILS)])
def test_a_life_that_contacts_usually_have_condemns_none(mark: Mark, verdict: Verdict) -> None:
    """A life of the catalogue's receivers that would not be enough is asked; one of a sheet fails."""
    outputs = {"1": {"kind": "pulse", "works": "it.on", "suppression": "diode", "operations_per_day": 200.0}}
    premises = {
        "supplies": SUPPLIES,
        "receivers": {"R1": RECEIVER | {"outputs": outputs}},
        "devices": {"it": STRIKE},
    }
    case = wired_case(premises)
    part = case.equipment.receivers["larkfen/R1"]
    source = Citation("a receiver like others", mark=mark)
    usual = replace(part, origins={**part.origins, "contact_life": source})
    equipment = replace(case.equipment, receivers={"larkfen/R1": usual})
    finding = finding_of(judge(Case(case.job, equipment)), "CON-06")
    assert finding.verdict is verdict
    assert bool(finding.asks) is (verdict is Verdict.UNKNOWN)
