"""Contacts of an invented house: relays whose coil must fit, suppressors with side effects, life by
forecast.
"""

from __future__ import annotations

from typing import Any

import pytest

from farpress.domain.finding import Finding, Verdict
from farpress.judging.contact.load import judge
from farpress.judging.contact.use import forecast_per_day
from helpers.findings import finding_of
from helpers.wired_case import wired_case

SUPPLY: dict[str, Any] = {
    "supply": "dc",
    "voltage_v": 12.0,
    "voltage_min_v": 11.0,
    "voltage_max_v": 13.0,
    "rated_a": 1.0,
    "source_ohm": 0.2,
    "fuse_a": 1.0,
}
RECEIVER: dict[str, Any] = {
    "at": [0, 0],
    "supply": "dc",
    "current_idle_a": 0.02,
    "current_per_relay_a": 0.018,
    "contact_rated_a": 1.0,
    "contact_rated_v": 30.0,
    "contact_make_a": 2.0,
    "contact_min_a": 0.01,
    "contact_life": 100_000,
    "mains_rated": False,
    "fed": {"from": "main", "cable": {"part": "twin-1.0", "length_m": 10.0}},
}
RELAY: dict[str, Any] = {
    "coil_v": 12.0,
    "coil_min_v": 9.6,
    "coil_a": 0.04,
    "coil_supply": "dc",
    "contact_rated_a": 10.0,
    "contact_rated_v": 30.0,
    "contact_make_a": 30.0,
    "contact_min_a": 0.01,
}
PUMP: dict[str, Any] = {
    "device": "valve",
    "supply": "dc",
    "voltage_v": 12.0,
    "current_a": 1.5,
    "peak_a": 9.0,
    "load": "motor",
    "inputs": {"on": {}},
}
FUNCTIONS = {"pump": {"output": "larkfen/R1/1"}}


def judged(
    device: dict[str, Any],
    *,
    supply: dict[str, Any] | None = None,
    output: dict[str, Any] | None = None,
    relays: dict[str, dict[str, Any]] | None = None,
    **job: Any,
) -> list[Finding]:
    """Findings about one output that works one device from a second supply."""
    first = {
        "kind": "pulse",
        "for_s": 4.0,
        "works": "pump.on",
        "load_from": "strong",
        "cable": {"part": "twin-1.5", "length_m": 5.0},
        **(output or {}),
    }
    premises = {
        "supplies": {"main": SUPPLY | (supply or {}), "strong": SUPPLY | {"rated_a": 5.0}},
        "receivers": {"R1": RECEIVER | {"outputs": {"1": first}}},
        "devices": {"pump": device},
    }
    return list(judge(wired_case(premises, relays=relays, **job)))


def test_a_relay_is_offered_with_what_its_coil_does_to_the_supply() -> None:
    """11 V less the drop of 78 mA over 10 m; 78 mA of the supply's 1 A."""
    remedy = finding_of(judged(PUMP, relays={"helper": RELAY}, functions=FUNCTIONS), "CON-02").remedies[0]

    assert remedy.does == "Let helper switch it."
    assert "11 V at its coil, which needs 10.73 V; main then gives 78 mA of 1 A" in remedy.effect
    assert remedy.changes[0].value == "helper"


@pytest.mark.parametrize(
    ("why", "relay", "supply"),
    [
        ("the supply is full", {}, {"rated_a": 0.06}),
        ("it does not pull in", {"coil_min_v": 11.2}, {}),
        ("its coil does not wet the contact", {"coil_a": 0.005}, {}),
        ("its contact is weak", {"contact_make_a": 5.0}, {}),
    ],
)
def test_a_relay_that_does_not_fit_is_not_offered(
    why: str, relay: dict[str, Any], supply: dict[str, Any]
) -> None:
    """Whatever the reason, only what it must be rated for is said."""
    finding = finding_of(
        judged(PUMP, relays={"helper": RELAY | relay}, supply=supply, functions=FUNCTIONS), "CON-02"
    )

    assert not any(remedy.changes for remedy in finding.remedies)
    assert finding.remedies[0].does.startswith("Put a relay or contactor between")


def test_the_next_relay_is_tried_when_the_first_does_not_fit() -> None:
    """The weaker contact comes first, but its coil is too hungry."""
    relays = {"hungry": RELAY | {"coil_a": 2.0}, "larger": RELAY | {"contact_rated_a": 16.0}}

    assert (
        finding_of(judged(PUMP, relays=relays, functions=FUNCTIONS), "CON-02").remedies[0].changes[0].value
        == "larger"
    )


MAGNET = PUMP | {
    "device": "magnetic lock",
    "load": "inductive dc",
    "current_a": 0.5,
    "peak_a": None,
    "coil_h": 4.0,
}


def test_a_slow_lock_is_thin_and_gets_a_zener() -> None:
    """24 ohm and 4 H: with a diode 4 / 24 x ln(12.7 / 3.1) = 0.235 s, with a zener of the supply's 12 V a
    third of it.
    """
    finding = finding_of(judged(MAGNET, output={"suppression": "diode"}), "CON-03")

    assert finding.verdict is Verdict.THIN
    assert "lets the lock go only after about 235 ms" in finding.says
    assert "zener of 12 V" in finding.remedies[0].does
    assert finding_of(judged(MAGNET, output={"suppression": "zener"}), "CON-03").verdict is Verdict.HOLDS


def test_an_rc_element_that_holds_a_small_coil_is_thin() -> None:
    """A small AC relay of 5 mA at 230 V with the smallest usual RC: what leaks is most of what it needs."""
    small = PUMP | {
        "supply": "mains",
        "voltage_v": 230.0,
        "current_a": 0.03,
        "load": "coil ac",
        "peak_a": 0.1,
    }
    findings = judged(small, output={"suppression": "rc", "load_from": None})
    finding = finding_of(findings, "CON-03")

    assert finding.verdict is Verdict.THIN or "leak" not in finding.says
    assert any(
        "varistor" in remedy.does
        for remedy in finding_of(
            judged(small, output={"suppression": "none", "load_from": None}), "CON-03"
        ).remedies
    )


def test_both_rules_for_an_rc_element_are_shown() -> None:
    """They differ by far for small coils."""
    valve = PUMP | {
        "supply": "mains",
        "voltage_v": 24.0,
        "current_a": 0.25,
        "load": "coil ac",
        "peak_a": 0.45,
    }
    finding = finding_of(judged(valve, output={"suppression": "none", "load_from": None}), "CON-03")

    assert "By one rule 0.27 uF, by another (Bates) 0.0062 uF and 3.1 ohm." in finding.because


def test_a_coil_of_a_relay_is_named_once() -> None:
    """Not "the coil of coil of"."""
    findings = judged(PUMP, output={"via": "helper", "suppression": "diode"}, relays={"helper": RELAY})

    assert finding_of(findings, "CON-03").says.startswith("Coil of helper is caught by its diode")


@pytest.mark.parametrize(("stops", "per_day"), [(False, 80), (True, 120)])
def test_life_goes_by_the_presses_of_the_groups_where_nothing_else_is_given(
    stops: bool, per_day: int
) -> None:
    """Forty holders, six presses a day, three functions: 80 a day. With a fourth button that works the same
    output two of four functions: 120 a day.
    """
    groups: dict[str, Any] = {
        "tenants": {
            "fob": "F",
            "count": 40,
            "presses_per_day": 6.0,
            "buttons": {"1": "pump", "2": "light", "3": "gate"},
        }
    }
    functions = FUNCTIONS | {"light": {}, "gate": {}}
    if stops:
        groups["tenants"]["buttons"]["4"] = "pump off"
        functions |= {"pump off": FUNCTIONS["pump"]}
    device = PUMP | {"load": "resistive", "peak_a": 0.9, "current_a": 0.9}
    finding = finding_of(judged(device, groups=groups, functions=functions), "CON-06")

    assert finding.limit == pytest.approx(per_day * 365.25 * 10)
    assert "spread evenly over their functions" in finding.because


def test_without_any_forecast_the_daily_number_that_lasts_is_told() -> None:
    """100 000 operations at 1 A, 111 000 at 0.9: thirty a day for ten years."""
    device = PUMP | {"load": "resistive", "peak_a": 0.9, "current_a": 0.9}
    finding = finding_of(judged(device, functions=FUNCTIONS), "CON-06")

    assert finding.verdict is Verdict.UNKNOWN
    assert "10 years at 30 a day" in finding.says


def test_a_given_number_of_operations_counts_before_any_forecast() -> None:
    """The output's own."""
    case = wired_case(
        {
            "receivers": {
                "R1": RECEIVER | {"fed": None, "outputs": {"1": {"kind": "pulse", "operations_per_day": 7.0}}}
            }
        }
    )

    assert forecast_per_day(case, next(iter(case.outputs()))) == (7.0, "as given")


def test_a_relay_is_not_taken_away_because_its_coil_is_too_much() -> None:
    """The receiver's contact is weak for the coil; the relay's own contact is good for its load."""
    hungry = RELAY | {"coil_a": 1.2}
    findings = judged(
        PUMP, output={"via": "hungry"}, relays={"hungry": hungry, "helper": RELAY}, functions=FUNCTIONS
    )
    finding = next(one for one in findings if one.code == "CON-01" and one.verdict is Verdict.FAILS)

    assert "coil of hungry" in finding.says
    assert not any(remedy.changes for remedy in finding.remedies)
