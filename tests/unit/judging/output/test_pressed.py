"""Presses tried in every state things are left in: done, nothing, the opposite, several, and no way back."""

from __future__ import annotations

from typing import Any

import pytest

from farpress.case.case import Case
from farpress.domain.finding import Finding, Verdict
from farpress.judging.output.pressed import judge
from helpers.logic_case import a_case
from helpers.rehearsal_jobs import SHORT_GATE

_PULSE = {"kind": "pulse", "for_s": 0.5}


def _found(case: Case, code: str = "OUT-17") -> list[Finding]:
    return [finding for finding in judge(case) if finding.code == code]


def _gate(*logics: str, **sheet: Any) -> Case:
    outputs = {str(i): {**_PULSE, "works": f"gate.{logic}"} for i, logic in enumerate(logics, 1)}
    return a_case(outputs, devices={"gate": SHORT_GATE | sheet})


def test_an_open_input_opens_from_every_state() -> None:
    """Closed, stopped on its way down by a power cut: one press."""
    (found,) = _found(_gate("open"))

    assert found.verdict is Verdict.HOLDS


@pytest.mark.parametrize(
    ("sheet", "dropout", "asked"),
    [({"travel_s": None}, 0.4, "travels"), ({}, None, "stays on after a button is let go")],
)
def test_what_cannot_be_played_is_asked_about(
    sheet: dict[str, Any], dropout: float | None, asked: str
) -> None:
    """Without its travel, or on a held output without the time it lets go after; with both it is played."""
    outputs = {"1": {"kind": "follow", "works": "gate.open"}}

    def found(device: dict[str, Any], lets_go: float | None) -> list[Finding]:
        case = a_case(outputs, devices={"gate": SHORT_GATE | device}, receiver={"dropout_s": lets_go})
        return [finding for finding in _found(case) if "cannot be played" in finding.says]

    (finding,) = found(sheet, dropout)
    assert finding.verdict is Verdict.UNKNOWN
    assert asked in finding.asks[0].says
    assert found({}, 0.4) == []


def test_a_step_drive_that_stopped_while_opening_does_the_opposite_first() -> None:
    """Right at rest, so it is thin; the state and the number of presses are told."""
    case = a_case(
        {"1": {**_PULSE, "works": "gate.start"}},
        devices={"gate": SHORT_GATE},
        functions={"f1": {"output": "house/R1/1", "kind": "open"}},
    )
    (found,) = _found(case)

    assert found.verdict is Verdict.THIN
    assert "stopped while opening: the first press does the opposite, and it takes 3 presses" in found.says


def test_one_button_on_two_outputs_that_keep_each_other_off_does_nothing() -> None:
    """Both are wanted at once, so neither comes on."""
    lock = {"kind": "follow", "interlock_pause_s": 0.5}
    case = a_case(
        {
            "1": {**lock, "works": "shutter.up", "interlock": "2"},
            "2": {**lock, "works": "shutter.down", "interlock": "1"},
        },
        functions={"f1": {"outputs": ("house/R1/1", "house/R1/2")}},
    )

    found = _found(case)

    assert {finding.verdict for finding in found} == {Verdict.FAILS}
    assert all("at rest: nothing happens" in finding.says for finding in found)


@pytest.mark.parametrize(("for_s", "verdict"), [(1.0, Verdict.HOLDS), (0.9, Verdict.FAILS)])
def test_a_press_too_short_for_its_input_does_nothing(for_s: float, verdict: Verdict) -> None:
    """The state that counts for a press to unset is set."""
    inputs = {
        name: {"reads": f"{name} pulse", "wants": "pulse", "response_s": 1.0} for name in ("set", "unset")
    }
    case = a_case(
        {
            "1": {"kind": "pulse", "for_s": 1.0, "works": "panel.set"},
            "2": {"kind": "pulse", "for_s": for_s, "works": "panel.unset"},
        },
        panel={"exit_s": 0.0, "inputs": inputs},
    )

    sets, unsets = _found(case)
    assert (sets.verdict, unsets.verdict) == (Verdict.HOLDS, verdict)


def test_a_level_beside_a_keypad_needs_two_presses() -> None:
    """The contact stands as the last press left it, the panel as the keypad did."""
    case = a_case({"1": {"kind": "toggle", "works": "panel.level"}}, panel={"exit_s": 0.0})

    (found,) = _found(case)

    assert found.verdict is Verdict.THIN
    assert "it needs 2 presses" in found.says


def test_a_late_effect_is_told() -> None:
    """Three seconds until the panel believes it."""
    inputs = {"set": {"reads": "set pulse", "wants": "pulse", "response_s": 3.0}}
    case = a_case(
        {"1": {"kind": "pulse", "for_s": 4.0, "works": "panel.set"}}, panel={"exit_s": 0.0, "inputs": inputs}
    )

    assert "up to 3 s after the press" in _found(case)[0].because


@pytest.mark.parametrize(
    ("logics", "closes_after_s", "is_asked"),
    [(("open",), None, True), (("open",), 4.0, False), (("open", "close"), None, False)],
)
def test_what_nothing_brings_back_is_asked_about(
    logics: tuple[str, ...], closes_after_s: float | None, is_asked: bool
) -> None:
    """A gate that opens and that nothing in the job closes."""
    found = _found(_gate(*logics, closes_after_s=closes_after_s), "OUT-18")

    assert bool(found) is is_asked
    assert all(finding.verdict is Verdict.UNKNOWN and "gate open" in finding.says for finding in found)


def test_a_pulse_too_short_for_the_one_input_of_a_gate_does_nothing() -> None:
    """Nothing else works the gate, so it is not even in the model: told all the same."""
    gate = {"inputs": {"open": {"logic": "open only", "wants": "pulse", "min_pulse_s": 1.0}}}
    (found,) = _found(_gate("open", **gate))

    assert found.verdict is Verdict.FAILS
    assert "at rest: nothing happens at gate.open" in found.says


@pytest.mark.parametrize(
    ("kind", "verdict"), [("set", Verdict.THIN), ("unset", Verdict.FAILS), ("set and unset", Verdict.HOLDS)]
)
def test_a_toggling_pulse_does_the_opposite_of_a_button_that_sets(kind: str, verdict: Verdict) -> None:
    """Pressed to set where it is set it unsets; to unset at rest it sets; to do either by turns is right."""
    case = a_case(
        {"1": {"kind": "pulse", "for_s": 1.0, "works": "panel.flip"}},
        panel={"exit_s": 0.0, "keypad": False, "inputs": {"flip": {"reads": "toggling pulse"}}},
        functions={"f1": {"output": "house/R1/1", "kind": kind}},
    )
    (found,) = _found(case)

    assert found.verdict is verdict
    assert ("the opposite" in found.says) is (verdict is not Verdict.HOLDS)


def test_a_step_drive_that_stands_open_is_closed_by_a_press_to_open() -> None:
    """Nobody wants anything of it there, and it closes."""
    case = a_case(
        {"1": {**_PULSE, "works": "gate.start"}},
        devices={"gate": SHORT_GATE},
        functions={"f1": {"output": "house/R1/1", "kind": "open"}},
    )
    (found,) = _found(case)

    assert "gate open" in f"{found.says} {found.because}"


@pytest.mark.parametrize(
    ("by", "verdict"), [("a switch of its own", Verdict.THIN), ("presses", Verdict.HOLDS)]
)
def test_a_pump_that_runs_only_with_its_valve_does_nothing_before_it(by: str, verdict: Verdict) -> None:
    """Pressed after the valve it runs; at rest nothing happens, which whoever presses has to know."""
    pump = {"device": "pump", "inputs": {"on": {"logic": "on", "wants": "maintained"}}}
    case = a_case(
        {
            "1": {"kind": "pulse", "for_s": 600.0, "works": "pump.on"},
            "2": {"kind": "toggle", "works": "valve.on"},
        },
        devices={
            "pump": pump | {"only_with": ("valve",), "only_with_by": by},
            "valve": pump | {"device": "valve"},
        },
    )
    found = next(one for one in _found(case) if one.about.endswith("pump.on"))

    assert found.verdict is verdict
    assert ("nothing happens" in found.says) is (verdict is Verdict.THIN)
