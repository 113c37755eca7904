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
    """0.8 V over 5.9 mA look like 135 ohm, with the two cores of the cable 149, which no band knows."""
    finding = finding_of(judged(receiver={"output_form": "open collector", "saturation_v": 0.8}), "PAN-09")

    assert finding.verdict is Verdict.FAILS
    assert finding.value == pytest.approx(0.8 / 13.0 * (2200 + 120 * PER_M) + 120 * PER_M)
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


PER_M = 0.096 * (1 + 0.00393 * 30)
"""One core of alarm cable, hot [ohm/m]."""


def status_line(*, receiver_m: float, panel_m: float, panel_a: float, **more: Any) -> dict[str, Any]:
    """A panel's transistor of 0.25 V on an input of 5 V behind 5 kohm, 40 m apart."""

    def cable(metres: float, **shared: Any) -> dict[str, Any]:
        return {"part": "alarm-6x0.22", "length_m": metres, **shared}

    status = cable(40.0, **({} if more.pop("own", False) else {"shares_return_with": "R1"}))
    return {
        "supplies": {"main": {"supply": "dc", "voltage_v": 12.0}},
        "receivers": {
            "R1": {
                "at": [0, 0],
                "current_idle_a": 0.02,
                "current_per_relay_a": 0.018,
                "input_voltage_v": 5.0,
                "input_current_a": 0.001,
                "input_low_v": 0.8,
                "fed": {"from": "main", "cable": cable(receiver_m)},
                "inputs": {"1": {"reads": "panel.set", "cable": status}},
            }
            | more.pop("receiver", {})
        },
        "devices": {},
        "panels": {
            "panel": {
                "current_a": panel_a,
                "fed": {"from": "main", "cable": cable(panel_m)},
                "outputs": {"set": {"form": "open collector", "current_max_a": 0.05, "saturation_v": 0.25}},
            }
        },
    } | more


def test_what_returns_from_the_panel_lifts_the_status_line() -> None:
    """Supply beside the receiver, 0.2 A of panel over 40 m of r ohm: (4.75 + 0.02 r - 8 r) / (5000 + 81 r)
    through the input, and 5 - 5000 i = 1.11 V are left of 0.8 V. With a 0 V core beside: 0.68 V.
    """
    finding = finding_of(judge(wired_case(status_line(receiver_m=1.0, panel_m=40.0, panel_a=0.2))), "PAN-04")
    amperes = (4.75 + 0.02 * PER_M - 8 * PER_M) / (5000 + 81 * PER_M)

    assert finding.verdict is Verdict.FAILS
    assert finding.value == pytest.approx(5 - 5000 * amperes)
    assert finding.value == pytest.approx(1.11, abs=0.005)
    assert finding.remedies[0].effect == "0.68 V are left at the input"


def test_a_zero_volt_core_that_lies_there_is_counted() -> None:
    """The same with the core drawn: 0.68 V, and what would be left without it is told."""
    own = status_line(receiver_m=1.0, panel_m=40.0, panel_a=0.2, own=True)
    finding = finding_of(judge(wired_case(own)), "PAN-04")

    assert finding.verdict is Verdict.HOLDS
    assert finding.value == pytest.approx(0.68, abs=0.005)
    assert "Without the 0 V core of its own cable 1.11 V are left" in finding.because


def test_what_returns_from_the_receiver_pulls_the_input_below_its_own_zero() -> None:
    """Supply beside the panel, receiver 40 m off with a strike of 0.5 A on its own return: -2.10 V."""
    strike = {"device": "strike", "supply": "dc", "voltage_v": 12.0, "current_a": 0.5, "load": "inductive dc"}
    opens = {
        "kind": "pulse",
        "for_s": 4.0,
        "works": "strike.release",
        "load_from": "main",
        "cable": {"part": "alarm-6x0.22", "length_m": 40.0, "shares_return_with": "R1"},
    }
    box = {"outputs": {"1": opens}}
    premises = status_line(
        receiver_m=40.0, panel_m=2.0, panel_a=0.1, receiver=box, devices={"strike": strike}
    )
    finding = finding_of(judge(wired_case(premises)), "PAN-04")
    shift = 2 * 0.1 * PER_M - 40 * 0.538 * PER_M

    assert finding.verdict is Verdict.FAILS
    assert finding.value == pytest.approx(0.25 + shift, abs=0.02)
    assert finding.value == pytest.approx(-2.03, abs=0.02)
    assert finding.limit == pytest.approx(-0.3)
    assert "below its own 0 V" in finding.says


def test_a_status_line_on_a_drawn_core_is_solved_like_one_in_the_short_form() -> None:
    """A lock of 0.9 A over 60 m of 96 ohm/km: its core lifts the receiver's 0 V far over the panel's. Neither
    the cable of the line nor its supply is asked for: both are drawn.
    """
    lock = {"device": "magnetic lock", "supply": "dc", "voltage_v": 12.0, "current_a": 0.9}
    premises: dict[str, Any] = {
        "supplies": {"main": {"supply": "dc", "voltage_v": 12.0}},
        "receivers": {
            "R1": {
                "at": [0, 0],
                "current_idle_a": 0.02,
                "outputs": {"1": {"kind": "pulse", "for_s": 5.0, "works": "lock.release"}},
                "inputs": {"1": {"reads": "panel.set"}},
            }
        },
        "devices": {"lock": lock},
        "panels": {
            "panel": {
                "fed": {"from": "main", "cable": {"part": "alarm-6x0.22", "length_m": 1.0}},
                "current_a": 0.1,
                "outputs": {"set": {"form": "open collector", "saturation_v": 0.9}},
            }
        },
        "cables": {
            "W1": {
                "part": "alarm-6x0.22",
                "length_m": 60.0,
                "cores": {
                    "red": ["main.+", "R1.+", "R1.1.common"],
                    "black": ["main.0", "R1.0", "lock.0"],
                    "white": ["panel.set", "R1.in1"],
                },
            }
        },
        "links": [["R1.1.make", "lock.+"]],
    }
    finding = finding_of(judge(wired_case(premises)), "PAN-04")

    assert finding.verdict is Verdict.FAILS
    assert "below its own 0 V" in finding.says
    assert not [ask for ask in finding.asks if "status line" in ask.says or "one supply" in ask.says]


def test_a_receivers_transistor_on_a_zone_is_read_with_what_else_returns_there() -> None:
    """0.25 V over 5.1 kohm at 5 V look like 268 ohm with nothing else on; a strike in the receiver's return
    lifts it to an open line, which is the zone at rest: PAN-08 and PAN-09 fail.
    """
    zone = {"reads": "zone", "loop": {"scheme": "open", "pull_up_ohm": 5100.0, "supply_v": 5.0}}
    strike = {"supply": "dc", "voltage_v": 12.0, "current_a": 0.9, "load": "inductive dc", "device": "strike"}
    run = {"part": "alarm-6x0.22", "length_m": 60.0, "shares_return_with": "R1"}
    outputs = {
        "1": {"kind": "pulse", "for_s": 4.0, "works": "panel.zone", "cable": run | {"cores": "white"}},
        "2": {"kind": "pulse", "for_s": 4.0, "works": "strike.release", "load_from": "main", "cable": run},
    }
    premises = status_line(
        receiver_m=60.0,
        panel_m=2.0,
        panel_a=0.1,
        receiver={"output_form": "open collector", "saturation_v": 0.25, "outputs": outputs, "inputs": {}},
        devices={"strike": strike},
    )
    premises["panels"]["panel"]["inputs"] = {"zone": zone}
    findings = list(judge(wired_case(premises)))
    seen = finding_of(findings, "PAN-09")

    assert seen.verdict is Verdict.FAILS
    assert "With what else returns over the receiver's 0 V it is an open line" in seen.says
    assert "With no volts between the two 0 V it is 268.4 ohm" in seen.says
    assert finding_of(findings, "PAN-08").verdict is Verdict.FAILS


def test_damp_hides_an_alarm_long_before_it_upsets_the_rest() -> None:
    """3.3 and 3.3 kohm of 1 % behind 3.3 kohm: midway lies 4.62 kohm, so that 6.534 kohm are
    an alarm no more with less than 4.62 x 6.534 / (6.534 - 4.62) = 15.8 kohm between the cores.
    """
    loop = {"normal_ohm": 3300.0, "alarm_ohm": 3300.0, "pull_up_ohm": 3300.0, "window_share": None}
    finding = finding_of(judged(loop=loop), "PAN-03")

    assert "below 15.77 kohm would hide an alarm" in finding.because
    assert "would upset the resting state" in finding.because


def test_damp_that_stands_for_an_open_contact_hides_its_alarm() -> None:
    """A break contact with one resistor of 5.6 kohm: a leak past it reads normal up to 15 % above that."""
    loop = {"scheme": "single end-of-line", "normal_ohm": 5600.0, "alarm_ohm": None, "window_share": 0.15}
    finding = finding_of(judged(loop=loop), "PAN-03")

    assert "below 6.44 kohm would hide an alarm" in finding.because


def test_a_status_line_that_fails_says_what_a_meter_shows() -> None:
    """Nothing pressed, 20 °C: 0.2 A over 40 m of 96 ohm/km lift the panel's 0 V, 0.02 A over 1 m the
    other.
    """
    finding = finding_of(judge(wired_case(status_line(receiver_m=1.0, panel_m=40.0, panel_a=0.2))), "PAN-04")
    core = 0.096
    amperes = (4.75 + 0.02 * core - 8 * core) / (5000 + 81 * core)

    assert f"a meter shows {5 - 5000 * amperes:.2f} V there" in finding.because
