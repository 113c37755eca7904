"""What was found on site, what must not go off, what is relied on in danger, and one button for too much."""

from __future__ import annotations

from typing import Any

import pytest

from farpress.domain.finding import Finding, Stake, Verdict
from farpress.domain.kinds import DEVICE_KINDS
from farpress.domain.refs import FunctionRef
from farpress.judging.safety import calls, found, one_press, relied_on
from helpers.findings import finding_of
from helpers.logic_case import a_case

HOLDS, THIN, UNKNOWN, FAILS = Verdict.HOLDS, Verdict.THIN, Verdict.UNKNOWN, Verdict.FAILS
WORKED: dict[str, Any] = {"kind": "toggle", "works": "it.in"}


def _thing(kind: str, **sheet: Any) -> dict[str, Any]:
    return {"it": {"device": kind, "inputs": {"in": {"logic": "on"}}, **sheet}}


@pytest.mark.parametrize(
    ("kind", "bars"), [("winch", True), ("barrier", True), ("strike", True), ("lamp", False)]
)
def test_safe_16_a_defect_is_never_worked_by_radio(kind: str, bars: bool) -> None:
    """Of what can hurt, or holds somebody in, nobody may accept it."""
    finding = finding_of(
        found.judge(a_case({"1": WORKED}, devices=_thing(kind, defects=("guard gone",)))), "SAFE-16"
    )

    assert (finding.verdict, finding.bars) == (FAILS, bars)
    assert "guard gone" in finding.says


def test_safe_16_nothing_found_is_nothing_said() -> None:
    """A sound thing has no finding."""
    assert not list(found.judge(a_case({"1": WORKED}, devices=_thing("winch", defects=()))))


@pytest.mark.parametrize(
    ("ways", "verdict"),
    [
        (None, UNKNOWN),
        ((), FAILS),
        (("fire alarm",), FAILS),
        (("their own key",), HOLDS),
        (("fire alarm", "by hand from outside"), HOLDS),
    ],
)
def test_safe_19_a_fire_engine_waits_for_nobody(ways: tuple[str, ...] | None, verdict: Verdict) -> None:
    """What opens it must do so without a fob and without power; not said is asked, and halts."""
    devices = _thing("bollard", fire_access=True, fire_opens_by=ways)
    finding = finding_of(found.judge(a_case({"1": WORKED}, devices=devices)), "SAFE-19")

    assert (finding.verdict, finding.halts, finding.stake) == (verdict, verdict is UNKNOWN, Stake.HARM)


def _stays(output: dict[str, Any], **more: Any) -> Finding:
    devices = _thing(more.pop("kind", "contactor"), must_stay_on="bilge pumps")
    return finding_of(
        relied_on.judge(a_case({"1": {**WORKED, **output}}, devices=devices, **more)), "SAFE-17"
    )


@pytest.mark.parametrize(
    ("output", "verdict", "words"),
    [
        ({"kind": "toggle"}, FAILS, ["can switch it off", "stays off until somebody comes"]),
        ({"kind": "toggle", "after_power_return": "as before"}, FAILS, ["can switch it off"]),
        ({"kind": "pulse", "for_s": 600.0}, FAILS, ["goes off by itself 10 min after a press"]),
        ({"kind": "toggle", "contact": "normally closed"}, FAILS, ["nothing switches it on again"]),
        ({"kind": "pulse", "for_s": 5.0, "contact": "normally closed"}, THIN, ["takes its power away"]),
    ],
)
def test_safe_17_no_press_and_no_cut_leaves_it_off(
    output: dict[str, Any], verdict: Verdict, words: list[str]
) -> None:
    """Only a contact that breaks for a moment leaves it on through everything else."""
    finding = _stays(output)

    assert (finding.verdict, finding.stake) == (verdict, Stake.HARM)
    assert all(word in finding.says for word in words)


def test_safe_17_two_wishes_that_contradict_each_other_are_named() -> None:
    """Nothing may come on after a cut, and this may never be off: somebody has to say which holds."""
    rules = ({"never": "works after power return", "of": ("f1",)},)

    assert "Rule 1 wants" in _stays({}, rules=rules).because
    assert "contradict" not in _stays({}).because


def test_safe_17_light_that_people_move_by_wants_a_battery() -> None:
    """A lamp is mended otherwise than a pump."""
    assert any("own battery" in remedy.does for remedy in _stays({}, kind="lamp").remedies)
    assert not any("own battery" in remedy.does for remedy in _stays({}).remedies)


@pytest.mark.parametrize(
    ("function", "verdict"),
    [
        ({"in_danger": True}, FAILS),
        ({"in_danger": True, "also_by": "a wired call point"}, THIN),
        ({"says": "lock-down of the building"}, UNKNOWN),
    ],
)
def test_safe_18_a_press_is_never_the_only_means_in_danger(
    function: dict[str, Any], verdict: Verdict
) -> None:
    """Whether it has an output yet or not; a name that sounds like it is asked about."""
    finding = finding_of(relied_on.judge(a_case({}, functions={"f1": function})), "SAFE-18")

    assert (finding.verdict, finding.bars) == (verdict, verdict is FAILS)
    assert finding.subjects == (FunctionRef("f1"),)


@pytest.mark.parametrize("function", [{}, {"in_danger": False, "says": "panic"}])
def test_safe_18_other_presses_are_left_alone(function: dict[str, Any]) -> None:
    """Said not to be, or nothing said that sounds like it."""
    assert not list(relied_on.judge(a_case({}, functions={"f1": function})))


def test_safe_05_a_call_without_an_output_is_judged_all_the_same() -> None:
    """Nobody answers it, wherever it will be wired."""
    functions = {"overboard": {"kind": "call", "answered_by": "nobody"}}
    finding = finding_of(calls.judge(a_case({}, functions=functions)), "SAFE-05")

    assert finding.verdict is FAILS
    assert finding.subjects == (FunctionRef("overboard"),)


def _one_button(kind: str, other: str, **more: Any) -> list[Finding]:
    devices = {
        "it": {"device": kind, "inputs": {"in": {"logic": "up"}}},
        "other": {"device": other, "inputs": {"in": {"logic": "on"}}},
    }
    outputs = {"1": WORKED, "2": {"kind": "toggle", "works": "other.in"}}
    functions = {"f1": {"output": "house/R1/1"}, "f2": {"output": "house/R1/2"}}
    groups = {"pair": {"count": 2, "buttons": {"1": ("f2", "f1")}}}
    return list(one_press.judge(a_case(outputs, devices=devices, functions=functions, groups=groups, **more)))


@pytest.mark.parametrize("kind", [kind.name for kind in DEVICE_KINDS.values() if kind.hurts])
def test_safe_21_a_press_for_a_lamp_never_starts_a_machine(kind: str) -> None:
    """Whatever hurts has a button of its own."""
    finding = finding_of(_one_button(kind, "lamp"), "SAFE-21")

    assert (finding.verdict, finding.stake) == (FAILS, Stake.HARM)
    assert "'f2' and for 'f1'" in finding.says


@pytest.mark.parametrize(
    ("kind", "other", "promises", "codes"),
    [
        ("barrier", "barrier", (), {"SAFE-21"}),
        ("barrier", "barrier", ("f1", "f2"), set()),
        ("barrier", "lamp", (), set()),
    ],
)
def test_safe_21_two_leaves_move_together_only_where_both_are_promised(
    kind: str, other: str, promises: tuple[str, ...], codes: set[str]
) -> None:
    """Promised from one place the press is meant for both; a lamp may go on beside a barrier."""
    told = tuple({"to": "pair", "function": name, "from": "here"} for name in promises)

    assert {finding.code for finding in _one_button(kind, other, promises=told)} == codes


@pytest.mark.parametrize(
    ("kind", "name", "access", "found_word"),
    [
        ("bollard", "f1", None, UNKNOWN),
        ("bollard", "f1", False, None),
        ("barrier", "f1", None, None),
        ("barrier", "fire lane", None, UNKNOWN),
        ("lamp", "fire lane", None, None),
    ],
)
def test_safe_19_what_bars_vehicles_is_asked_about(
    kind: str, name: str, access: bool | None, found_word: Verdict | None
) -> None:
    """A bollard always, a barrier where somebody writes of the fire; who said no is not asked again."""
    functions = {name: {"output": "house/R1/1"}}
    case = a_case({"1": WORKED}, functions=functions, devices=_thing(kind, fire_access=access))
    findings = [finding.verdict for finding in found.judge(case) if finding.code == "SAFE-19"]

    assert findings == ([] if found_word is None else [found_word])


@pytest.mark.parametrize(
    ("name", "stays", "found_word"),
    [
        ("stair light", None, UNKNOWN),
        ("stair light", "nothing", None),
        ("stair light", "the only light of the stair", FAILS),
        ("garden light", None, None),
        ("no freezer", None, None),
    ],
)
def test_safe_17_what_sounds_as_if_it_had_to_stay_on_is_asked_about(
    name: str, stays: str | None, found_word: Verdict | None
) -> None:
    """Left out it is no better than said; "nothing" is an answer."""
    functions = {name: {"output": "house/R1/1"}}
    case = a_case({"1": WORKED}, functions=functions, devices=_thing("lamp", must_stay_on=stays))
    findings = [finding.verdict for finding in relied_on.judge(case) if finding.code == "SAFE-17"]

    assert findings == ([] if found_word is None else [found_word])
