"""Panel coupling of an invented house: rest state, odds, transistor outputs, declared grades."""

from __future__ import annotations

from typing import Any

import pytest

from farpress.domain.finding import Finding, Verdict
from farpress.judging.panel.coupling import judge
from helpers.findings import finding_of
from helpers.wired_case import wired_case

LOOP: dict[str, Any] = {
    "scheme": "double end-of-line",
    "normal_ohm": 2200.0,
    "alarm_ohm": 4700.0,
    "tolerance_share": 0.01,
    "window_share": 0.15,
    "pull_up_ohm": 2200.0,
    "supply_v": 13.8,
}


def judged(
    *,
    loop: dict[str, Any] | None = None,
    output: dict[str, Any] | None = None,
    receiver: dict[str, Any] | None = None,
    **job: Any,
) -> list[Finding]:
    """One output on one zone."""
    first = {
        "kind": "pulse",
        "for_s": 1.0,
        "works": "panel.gate",
        "contact": "normally closed",
        "cable": {"part": "alarm-6x0.22", "length_m": 60.0},
        **(output or {}),
    }
    zone = {"reads": "zone", "response_s": 0.4, "loop": LOOP | (loop or {})}
    premises = {
        "receivers": {"R1": {"at": [0, 0], "outputs": {"1": first}, **(receiver or {})}},
        "panels": {"panel": {"grade": 2, "inputs": {"gate": zone}}},
    }
    return list(judge(wired_case(premises, **job)))


@pytest.mark.parametrize(
    ("scheme", "contact", "verdict"),
    [
        ("double end-of-line", "normally closed", Verdict.HOLDS),
        ("double end-of-line", "normally open", Verdict.UNKNOWN),
        ("two-resistor", "normally open", Verdict.HOLDS),
        ("two-resistor", "normally closed", Verdict.UNKNOWN),
        ("single end-of-line", "normally open", Verdict.HOLDS),
        ("single end-of-line", "normally closed", Verdict.HOLDS),
        ("open", "normally open", Verdict.HOLDS),
        ("closed", "normally closed", Verdict.HOLDS),
        ("closed", "normally open", Verdict.UNKNOWN),
    ],
)
def test_a_loop_must_read_normal_at_rest(scheme: str, contact: str, verdict: Verdict) -> None:
    """A make contact where the scheme wants a break contact is asked about, with the change named."""
    finding = finding_of(judged(loop={"scheme": scheme}, output={"contact": contact}), "PAN-08")

    assert finding.verdict is verdict
    if verdict is Verdict.UNKNOWN:
        other = "break" if contact == "normally open" else "make"
        assert finding.asks[0].says.startswith(f"Use the {other} contact of output larkfen/R1/1")
        (change,) = finding.remedies[-1].changes
        assert change.path == ("premises", "larkfen", "receivers", "R1", "outputs", "1", "contact")
        assert change.value == ("normally closed" if contact == "normally open" else "normally open")


def test_wide_resistors_are_told_with_their_odds() -> None:
    """10 % parts against windows of 5 %: about half of them stray."""
    finding = finding_of(judged(loop={"tolerance_share": 0.10, "window_share": 0.05}), "PAN-03")

    assert finding.verdict is Verdict.FAILS
    assert "Of loops built like this about 5" in finding.because


def test_good_resistors_have_no_odds_to_tell() -> None:
    """1 % against 15 %."""
    assert "Of loops built" not in finding_of(judged(), "PAN-03").because


@pytest.mark.parametrize("field", ["normal_ohm", "alarm_ohm"])
def test_a_loop_of_no_ohms_is_asked_about_and_nothing_else_is_lost(field: str) -> None:
    """0 ohm is a bridge, not a resistor."""
    findings = judged(loop={field: 0.0})

    assert finding_of(findings, "PAN-03").verdict is Verdict.UNKNOWN
    assert "0 ohm" in finding_of(findings, "PAN-03").remedies[0].does
    assert finding_of(findings, "PAN-08").verdict is Verdict.UNKNOWN
    assert finding_of(findings, "PAN-01").verdict is Verdict.HOLDS


def test_a_transistor_output_is_refused_on_a_loop_with_resistors() -> None:
    """0.8 V over 5.9 mA look like 135 ohm, which no band knows."""
    finding = finding_of(judged(receiver={"output_form": "open collector", "saturation_v": 0.8}), "PAN-09")

    assert finding.verdict is Verdict.FAILS
    assert finding.value == pytest.approx(135.4, abs=0.05)
    assert "reads as tamper" in finding.says


def test_a_relay_between_takes_the_transistor_off_the_loop() -> None:
    """Then its contact is on the loop."""
    findings = judged(
        receiver={"output_form": "open collector", "saturation_v": 0.8},
        output={"via": "helper"},
        relays={"helper": {"coil_v": 12.0}},
    )

    assert not [one for one in findings if one.code == "PAN-09"]


@pytest.mark.parametrize(
    ("grade", "verdict"),
    [(2, Verdict.HOLDS), (3, Verdict.HOLDS), (1, Verdict.FAILS), (None, Verdict.UNKNOWN)],
)
def test_the_receivers_declared_grade_is_held_against_the_systems(
    grade: int | None, verdict: Verdict
) -> None:
    """No fob presses it here, so the receiver alone decides."""
    assert finding_of(judged(receiver={"grade": grade}), "PAN-07").verdict is verdict


def test_a_status_line_with_its_own_zero_volt_core_is_offered_with_its_volts() -> None:
    """0.8 V of the transistor, and 0.6 A of a receiver's return in 30 m of alarm cable; without it 0.8 V and
    a little.
    """
    premises = {
        "supplies": {"main": {"supply": "dc", "voltage_v": 12.0}},
        "receivers": {
            "R1": {
                "at": [0, 0],
                "current_idle_a": 0.6,
                "input_voltage_v": 5.0,
                "input_current_a": 0.001,
                "input_low_v": 1.5,
                "fed": {"from": "main"},
                "inputs": {"1": {"reads": "panel.set", "cable": {"part": "alarm-6x0.22", "length_m": 30.0}}},
            }
        },
        "panels": {
            "panel": {
                "fed": {"from": "main"},
                "outputs": {"set": {"form": "open collector", "current_max_a": 0.05, "saturation_v": 0.8}},
            }
        },
    }
    finding = finding_of(judge(wired_case(premises)), "PAN-04")
    core = 30 * 0.096 * (1 + 0.00393 * 30)

    assert finding.verdict is Verdict.FAILS
    assert finding.value == pytest.approx(0.8 + 0.601 * core)
    assert finding.remedies[0].effect == f"{0.8 + 0.001 * core:.2f} V are left at the input"
