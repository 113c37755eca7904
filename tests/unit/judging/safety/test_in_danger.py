"""What is relied on in danger, silent calls, gas and caps."""

from __future__ import annotations

from typing import Any

import pytest

from farpress.domain.finding import Finding, Stake, Verdict
from farpress.judging.output import toggling
from farpress.judging.safety import blasting, gas, in_danger, refusals, silent
from helpers.findings import finding_of
from helpers.logic_case import a_case

HOLDS, THIN, UNKNOWN, FAILS = Verdict.HOLDS, Verdict.THIN, Verdict.UNKNOWN, Verdict.FAILS


def _danger(output: dict[str, Any], device: str = "sounder", logic: str = "on", **more: Any) -> list[Finding]:
    sheet = more.pop("sheet", {})
    wants = more.pop("wants", "maintained")
    devices = {"it": {"device": device, "inputs": {"in": {"logic": logic, "wants": wants}}, **sheet}}
    functions = {"f1": {"output": "house/R1/1", "in_danger": True, **more.pop("function", {})}}
    return list(
        in_danger.judge(
            a_case({"1": {"works": "it.in", **output}}, devices=devices, functions=functions, **more)
        )
    )


def test_safe_40_two_who_press_at_once_leave_it_off() -> None:
    """Each press heard in nine of ten: even numbers leave it off, 1 - (1 - (-0.8)^n)/2, by hand."""
    finding = finding_of(_danger({"kind": "toggle"}), "SAFE-40")

    assert (finding.verdict, finding.stake, finding.bars) == (FAILS, Stake.HARM, True)
    assert finding.value == pytest.approx(0.81 + 0.01)
    assert "2 in 82%, 3 in 24% and 4 in 70%" in finding.says


@pytest.mark.parametrize(
    ("output", "more", "verdict"),
    [
        ({"kind": "follow"}, {}, FAILS),
        ({"kind": "pulse", "for_s": 300.0}, {}, THIN),
        ({"kind": "pulse", "for_s": 1.0}, {"wants": "pulse"}, HOLDS),
        ({"kind": "pulse", "for_s": 1.0}, {"logic": "stop"}, HOLDS),
    ],
)
def test_safe_40_by_the_kind_of_output(
    output: dict[str, Any], more: dict[str, Any], verdict: Verdict
) -> None:
    """What lasts while a button is held ends with the hand; a pulse that only starts something does not."""
    assert finding_of(_danger(output, **more), "SAFE-40").verdict is verdict


@pytest.mark.parametrize(("buttons", "verdict"), [(("f1", "f2"), THIN), (("f1",), HOLDS)])
def test_safe_40_a_latch_is_ended_by_those_who_decide(buttons: tuple[str, ...], verdict: Verdict) -> None:
    """Whoever begins it has no button to end it."""
    functions = {
        "f1": {"output": "house/R1/1", "in_danger": True, "switches": "on"},
        "f2": {"output": "house/R1/1", "switches": "off"},
    }
    groups = {
        "staff": {"count": 24, "buttons": {str(number): name for number, name in enumerate(buttons, 1)}},
        "head": {"count": 1, "buttons": {"1": "f2"}},
    }
    devices = {"it": {"device": "sounder", "inputs": {"in": {"logic": "on"}}}}
    case = a_case(
        {"1": {"kind": "latch", "works": "it.in"}}, devices=devices, functions=functions, groups=groups
    )

    assert finding_of(in_danger.judge(case), "SAFE-40").verdict is verdict


@pytest.mark.parametrize(("alike", "verdict"), [(None, UNKNOWN), ((), HOLDS), (("fire bell",), FAILS)])
def test_safe_41_a_signal_is_taken_for_no_other(alike: tuple[str, ...] | None, verdict: Verdict) -> None:
    """Not said is asked, and halts."""
    finding = finding_of(_danger({"kind": "toggle"}, function={"mistaken_for": alike}), "SAFE-41")

    assert (finding.verdict, finding.halts) == (verdict, verdict is UNKNOWN)


@pytest.mark.parametrize(
    ("sheet", "verdict"),
    [
        ({"escape_route": None}, UNKNOWN),
        ({"escape_route": False}, HOLDS),
        ({"escape_route": True}, FAILS),
        ({"escape_route": True, "opens_by_hand": False}, FAILS),
        ({"escape_route": True, "opens_by_hand": True}, THIN),
    ],
)
def test_safe_42_no_way_out_is_closed_in_danger(sheet: dict[str, Any], verdict: Verdict) -> None:
    """Shutters come down on the second way out; one that nobody tried by hand is none."""
    closed = _danger({"kind": "pulse", "for_s": 30.0}, "shutter", "down", sheet=sheet)
    opened = _danger({"kind": "pulse", "for_s": 30.0}, "shutter", "up", sheet=sheet)

    assert finding_of(closed, "SAFE-42").verdict is verdict
    assert "SAFE-42" not in {finding.code for finding in opened}


@pytest.mark.parametrize(
    ("places", "verdict"), [(None, UNKNOWN), ((), FAILS), (("there",), FAILS), (("here",), HOLDS)]
)
def test_safe_43_whoever_presses_notices_it(places: tuple[str, ...] | None, verdict: Verdict) -> None:
    """From every place it is promised from."""
    promises = ({"to": "pair", "function": "f1", "from": "here"},)
    finding = finding_of(
        _danger({"kind": "toggle"}, function={"noticed_at": places}, promises=promises), "SAFE-43"
    )

    assert finding.verdict is verdict


@pytest.mark.parametrize(
    ("a_year", "verdict"), [(None, UNKNOWN), (1.51, FAILS), (1.5, THIN), (1.36, THIN), (1.34, HOLDS)]
)
def test_safe_44_false_alarms_of_all_holders_are_counted(a_year: float | None, verdict: Verdict) -> None:
    """Two holders against three a year, the police's limit for false calls; thin within a tenth."""
    rate = None if a_year is None else a_year / 365.0
    finding = finding_of(_danger({"kind": "toggle"}, function={"by_accident_per_day": rate}), "SAFE-44")

    assert finding.verdict is verdict
    if a_year is not None:
        assert finding.value == pytest.approx(2.0 * a_year)


def test_a_stop_too_many_and_a_silent_call_are_not_asked_about() -> None:
    """A stop by accident harms nobody, and a silent call is to be noticed by nobody."""
    stop = {finding.code for finding in _danger({"kind": "pulse"}, function={"kind": "stop"})}
    quiet = {finding.code for finding in _danger({"kind": "pulse"}, function={"silent": True})}

    assert "SAFE-44" not in stop
    assert not {"SAFE-41", "SAFE-43"} & quiet


@pytest.mark.parametrize(
    ("device", "function", "verdict"),
    [
        ("sounder", {"silent": True}, FAILS),
        ("lamp", {"silent": True}, FAILS),
        ("contactor", {"silent": True}, HOLDS),
        ("sounder", {"says": "hold-up button"}, UNKNOWN),
    ],
)
def test_safe_47_a_silent_call_sounds_nowhere(
    device: str, function: dict[str, Any], verdict: Verdict
) -> None:
    """Nor lights up; one that is called so is asked about."""
    devices = {"it": {"device": device, "inputs": {"in": {"logic": "on"}}}}
    functions = {"f1": {"output": "house/R1/1", "kind": "call", **function}}
    case = a_case({"1": {"kind": "pulse", "works": "it.in"}}, devices=devices, functions=functions)
    finding = finding_of(silent.judge(case), "SAFE-47")

    assert (finding.verdict, finding.bars) == (verdict, verdict is FAILS)


@pytest.mark.parametrize("function", [{}, {"silent": False, "says": "hold-up"}])
def test_safe_47_other_calls_are_left_alone(function: dict[str, Any]) -> None:
    """A household call is to be heard."""
    assert not list(silent.judge(a_case({}, functions={"f1": function})))


@pytest.mark.parametrize(
    ("carries", "output", "kind", "verdict"),
    [
        ("gas", {}, None, FAILS),
        ("gas", {"contact": "normally closed"}, None, HOLDS),
        (None, {}, None, UNKNOWN),
        (None, {}, "water", None),
        ("water", {}, None, None),
        ("gas", {}, "water", FAILS),
    ],
)
def test_safe_45_no_press_lets_gas_on(
    carries: str | None, output: dict[str, Any], kind: str | None, verdict: Verdict | None
) -> None:
    """A break contact only shuts it; a function of water says what flows, unless the sheet says gas."""
    devices = {"it": {"device": "valve", "carries": carries, "inputs": {"in": {"logic": "on"}}}}
    case = a_case(
        {"1": {"kind": "toggle", "works": "it.in", **output}},
        devices=devices,
        kinds={"1": kind} if kind else None,
    )
    found = list(gas.judge(case))

    assert [finding.verdict for finding in found] == ([] if verdict is None else [verdict])
    assert all(finding.stake is Stake.HARM for finding in found)


def test_out_02_a_toggled_valve_is_refused_for_what_flows_through_it() -> None:
    """Gas is not called water."""
    devices = {"it": {"device": "valve", "carries": "gas", "inputs": {"in": {"logic": "on"}}}}
    case = a_case({"1": {"kind": "toggle", "works": "it.in"}}, devices=devices)
    finding = finding_of(toggling.judge_toggling(case, next(iter(case.outputs()))), "OUT-02")

    assert "refused for gas" in finding.says


@pytest.mark.parametrize(
    ("said", "verdict"),
    [
        ({}, UNKNOWN),
        ({"caps": "electric"}, FAILS),
        ({"caps": "electronic"}, FAILS),
        ({"caps": "electric", "kept_away_by": ("all fobs handed in",)}, THIN),
        ({"kept_away_by": ("all fobs handed in",)}, THIN),
        ({"caps": "not electric"}, HOLDS),
    ],
)
def test_safe_46_the_shotfirer_decides(said: dict[str, Any], verdict: Verdict) -> None:
    """Nothing goes into service before; the strongest fob is named with its power."""
    finding = finding_of(
        blasting.judge(a_case({}, house={"blasting": said}, fob={"erp_dbm": 10.0})), "SAFE-46"
    )

    assert (finding.verdict, finding.halts) == (verdict, verdict is UNKNOWN)
    assert "10 mW" in finding.because


def test_safe_46_where_none_is_done_nothing_is_said() -> None:
    """Most gardens."""
    assert not list(blasting.judge(a_case({})))


@pytest.mark.parametrize(("tested", "verdict"), [(True, HOLDS), (None, HOLDS), (False, FAILS)])
def test_safe_03_an_untested_safeguard_counts_for_nothing(tested: bool | None, verdict: Verdict) -> None:
    """Of a leaf that moves while a button is held."""
    devices = {
        "it": {
            "device": "garage door",
            "safeguards": ("edge",),
            "safeguards_tested": tested,
            "inputs": {"in": {"logic": "down", "wants": "maintained"}},
        }
    }
    case = a_case({"1": {"kind": "follow", "works": "it.in"}}, devices=devices)

    assert finding_of(refusals.judge(case), "SAFE-03").verdict is verdict


@pytest.mark.parametrize(
    ("sheet", "verdict"),
    [
        ({"fails": "unlocked", "released_by": ("fire alarm", "break glass")}, HOLDS),
        ({"fails": "unlocked", "released_by": ("fire alarm", "handle")}, HOLDS),
        ({"fails": "unlocked", "released_by": ("fire alarm",)}, FAILS),
        ({"fails": "unlocked", "released_by": ("break glass", "handle")}, FAILS),
        ({"fails": "locked", "released_by": ("fire alarm", "handle")}, FAILS),
        ({"fails": "unlocked"}, FAILS),
    ],
)
def test_safe_06_a_lock_that_is_released_before_the_radio_may_be_fed_by_it(
    sheet: dict[str, Any], verdict: Verdict
) -> None:
    """By the fire alarm and by hand, both before the receiver's contact, and unlocked without current."""
    devices = {
        "it": {
            "device": "magnetic lock",
            "escape_route": True,
            "inputs": {"in": {"logic": "on", "wants": "maintained"}},
            **sheet,
        }
    }
    case = a_case({"1": {"kind": "latch", "works": "it.in"}}, devices=devices)

    assert finding_of(refusals.judge(case), "SAFE-06").verdict is verdict
