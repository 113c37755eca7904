"""Coupling to an invented panel: pulses, kinds of input, loops, status, tamper legs, grade."""

from __future__ import annotations

from typing import Any

import pytest

from farpress.domain.finding import Finding, Verdict
from farpress.domain.refs import FunctionRef
from farpress.judging.panel.coupling import judge
from farpress.judging.registry import all_checks
from helpers.findings import finding_of
from helpers.wired_case import wired_case

LOOP: dict[str, Any] = {
    "scheme": "double end-of-line",
    "normal_ohm": 2200.0,
    "alarm_ohm": 4700.0,
    "tolerance_share": 0.05,
    "window_share": 0.15,
}
PANEL: dict[str, Any] = {
    "grade": 2,
    "keypad": True,
    "inputs": {
        "set-unset": {"reads": "toggling pulse", "min_pulse_s": 0.4},
        "set": {"reads": "set pulse", "response_s": 0.4},
        "level": {"reads": "level"},
        "zone": {"reads": "zone", "response_s": 0.5, "loop": LOOP},
    },
    "outputs": {"set": {"form": "open collector", "current_max_a": 0.05, "saturation_v": 0.9}},
}


def judged(
    *,
    works: str = "panel.set-unset",
    panel: dict[str, Any] | None = None,
    receiver: dict[str, Any] | None = None,
    job: dict[str, Any] | None = None,
    more: dict[str, Any] | None = None,
    **output: Any,
) -> list[Finding]:
    """All findings for one output that works one input of the panel."""
    first = {
        "kind": "pulse",
        "for_s": 0.3,
        "works": works,
        "cable": {"part": "alarm-6x0.22", "length_m": 2.0},
    } | output
    premises = {
        "receivers": {"R1": {"at": [0, 0], "outputs": {"4": first}} | (receiver or {})},
        "panels": {"panel": PANEL | (panel or {})},
        **(more or {}),
    }
    functions = {"alarm": {"output": "larkfen/R1/4", "kind": "set and unset"}}
    return list(judge(wired_case(premises, **({"functions": functions} | (job or {})))))


def test_three_hundred_milliseconds_are_lost_on_an_input_that_wants_four_hundred() -> None:
    """The cure is a pulse of 1 s, written as a change."""
    finding = finding_of(judged(), "PAN-01")

    assert finding.verdict is Verdict.FAILS
    assert finding.margin == pytest.approx(-0.1)
    assert finding.remedies[0].changes[0].value == "1 s"
    assert finding.remedies[0].effect == "2.5 times what the input needs"
    assert finding_of(judged(for_s=1.0), "PAN-01").verdict is Verdict.HOLDS
    assert finding_of(judged(for_s=0.5), "PAN-01").verdict is Verdict.THIN


def test_an_unknown_response_is_asked_for() -> None:
    """No default is taken for it."""
    assert (
        finding_of(judged(panel={"inputs": {"set-unset": {"reads": "toggling pulse"}}}), "PAN-01").verdict
        is Verdict.UNKNOWN
    )


@pytest.mark.parametrize(
    ("works", "kind", "status", "keypad", "verdict"),
    [
        ("panel.set-unset", "pulse", False, True, Verdict.FAILS),
        ("panel.set-unset", "pulse", True, True, Verdict.THIN),
        ("panel.set-unset", "toggle", True, True, Verdict.FAILS),
        ("panel.set", "pulse", False, True, Verdict.HOLDS),
        ("panel.set", "toggle", False, True, Verdict.FAILS),
        ("panel.level", "toggle", False, True, Verdict.FAILS),
        ("panel.level", "toggle", False, False, Verdict.THIN),
        ("panel.level", "toggle", False, None, Verdict.UNKNOWN),
        ("panel.level", "pulse", False, False, Verdict.FAILS),
        ("panel.zone", "pulse", False, True, Verdict.HOLDS),
    ],
)
def test_the_output_must_act_as_the_input_reads(
    works: str, kind: str, status: bool, keypad: bool | None, verdict: Verdict
) -> None:
    """Toggling pulses lose step, levels fight with keypads, pulses do not hold a level."""
    receiver = {"inputs": {"1": {"reads": "panel.set"}}} if status else {}
    premises_output = {"outputs": {"4": {"kind": kind, "for_s": 1.0, "works": works}}}
    findings = judged(works=works, panel={"keypad": keypad}, receiver=receiver | premises_output)

    assert finding_of(findings, "PAN-02").verdict is verdict


def test_five_per_cent_resistors_pass_fifteen_per_cent_windows_over_two_metres() -> None:
    """2200 x 1.05 + 0.43 ohm lies 219.6 ohm within 2530; the alarm band has more room."""
    finding = finding_of(judged(works="panel.zone"), "PAN-03")

    assert finding.verdict is Verdict.HOLDS
    assert finding.margin == pytest.approx(0.10 * 2200 - 2 * 2 * 96 / 1000 * 1.1179, abs=0.1)


def test_a_long_cable_pushes_the_resting_state_out_of_a_narrow_window() -> None:
    """600 m of 0.22 mm2 add 129 ohm to 5 % of 2200."""
    panel = {"inputs": {"zone": {"reads": "zone", "response_s": 0.5, "loop": LOOP | {"window_share": 0.10}}}}
    finding = finding_of(
        judged(works="panel.zone", panel=panel, cable={"part": "alarm-6x0.22", "length_m": 600.0}), "PAN-03"
    )

    assert finding.verdict is Verdict.FAILS


def test_bands_are_found_from_the_pull_up_where_none_are_published() -> None:
    """Thresholds of a divider: 733, 3732 and 16 000 ohm."""
    panel = {
        "inputs": {
            "zone": {
                "reads": "zone",
                "response_s": 0.5,
                "loop": LOOP | {"window_share": None, "pull_up_ohm": 2200.0},
            }
        }
    }
    finding = finding_of(judged(works="panel.zone", panel=panel), "PAN-03")

    assert finding.verdict is Verdict.HOLDS
    assert (
        "1.13" in finding.because
    )  # kohm of leak that upset the resting state: 733.3 x 2090 / (2090 - 733.3)


def test_an_open_collector_is_judged_by_current_and_remaining_volts() -> None:
    """0.9 V and what little is lost in 2 m: a 0.8 V threshold fails, 2 V hold."""
    feed = {"fed": {"from": "main", "cable": {"part": "alarm-6x0.22", "length_m": 2.0}}}
    panel = feed | {"current_a": 0.1}
    fed = feed | {
        "inputs": {"1": {"reads": "panel.set", "cable": {"part": "alarm-6x0.22", "length_m": 2.0}}},
        "input_voltage_v": 12.0,
        "input_current_a": 0.005,
        "current_idle_a": 0.022,
        "current_per_relay_a": 0.018,
    }
    more = {"supplies": {"main": {}}}
    low = finding_of(judged(receiver=fed | {"input_low_v": 0.8}, panel=panel, more=more), "PAN-04")
    high = finding_of(judged(receiver=fed | {"input_low_v": 2.0}, panel=panel, more=more), "PAN-04")
    unknown = finding_of(judged(receiver={"inputs": {"1": {"reads": "panel.set"}}}), "PAN-04")
    greedy = finding_of(
        judged(
            receiver=fed | {"input_low_v": 2.0, "input_current_a": 0.06},
            panel={"fed": {"from": "main"}},
            more=more,
        ),
        "PAN-13",
    )

    assert [finding.verdict for finding in (low, high, unknown, greedy)] == [
        Verdict.FAILS,
        Verdict.HOLDS,
        Verdict.UNKNOWN,
        Verdict.FAILS,
    ]


def test_the_leg_that_drifted_to_eleven_ohm_stands_out() -> None:
    """Legs of 1.1, 0.9, 2.4, 6.8 and 1.3 ohm; the fourth reads 11 later."""
    loops = {
        "lids": {
            "panel": "panel",
            "legs": {"R1": 1.1, "R2": 0.9, "R3": 2.4, "R4": 6.8, "R5": 1.3},
            "later": {"R4": 11.0},
        }
    }
    findings = judged(more={"tamper_loops": loops})

    assert finding_of(findings, "PAN-05", "R4").verdict is Verdict.FAILS
    assert finding_of(findings, "PAN-05", "R4").value == pytest.approx(11.0 - 1.2)
    assert finding_of(findings, "PAN-05", "R3").verdict is Verdict.HOLDS


def test_setting_without_any_answer_fails_and_the_status_line_is_offered() -> None:
    """The panel's own set output to a free input of the receiver."""
    finding = finding_of(judged(), "PAN-06")

    assert finding.verdict is Verdict.FAILS
    assert finding.remedies[0].changes[0].value == {"reads": "panel.set"}
    assert FunctionRef("alarm") in finding.subjects


@pytest.mark.parametrize(
    ("box", "verdict"),
    [
        ({"acknowledges_by": "sounder of its own"}, Verdict.HOLDS),
        ({}, Verdict.UNKNOWN),
        ({"acknowledges_by": "nothing"}, Verdict.FAILS),
        ({"acknowledges_by": "output"}, Verdict.FAILS),
        ({"acknowledge": {"form": "relay"}}, Verdict.FAILS),
        ({"acknowledge": {"form": "relay"}, "signals": {"acknowledge": {"works": "bell.on"}}}, Verdict.HOLDS),
        ({"signals": {"acknowledge": {"works": "panel.zone"}}}, Verdict.UNKNOWN),
    ],
)
def test_a_state_that_comes_back_to_a_box_tells_nobody_unless_the_box_does(
    box: dict[str, Any], verdict: Verdict
) -> None:
    """The set output lies on an input of the receiver in every one of them."""
    receiver = {"inputs": {"1": {"reads": "panel.set"}}, **box}
    more = {"devices": {"bell": {"device": "sounder"}}}
    finding = finding_of(judged(receiver=receiver, more=more), "PAN-06")

    assert finding.verdict is verdict
    assert bool(finding.asks) is (verdict is Verdict.UNKNOWN)
    assert bool(finding.remedies) is (verdict is not Verdict.HOLDS)


def test_a_grade_is_asked_of_the_radio_and_demanded_of_the_panel() -> None:
    """The system is only as good as its lowest part."""
    assert finding_of(judged(), "PAN-07").verdict is Verdict.UNKNOWN
    assert finding_of(judged(job={"grade": 3}), "PAN-07").verdict is Verdict.FAILS


def test_codes_are_explained() -> None:
    """The reference page of messages is made from them."""
    assert {finding.code for finding in judged()} <= set(all_checks())
