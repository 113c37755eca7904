"""Each refusal on both sides of what decides it, what is at stake, and whom nobody may overrule."""

from __future__ import annotations

from typing import Any

import pytest

from farpress.domain.finding import Finding, Stake, Verdict, Who
from farpress.domain.refs import DeviceRef, OutputRef
from farpress.judging.safety import refusals
from helpers.findings import finding_of
from helpers.logic_case import STRIKE, a_case

PULSE: dict[str, Any] = {"kind": "pulse", "for_s": 0.5}


def _judged(code: str, output: dict[str, Any], **more: Any) -> Finding:
    return finding_of(refusals.judge(a_case({"1": output}, **more)), code)


def _codes(output: dict[str, Any], **more: Any) -> set[str]:
    return {finding.code for finding in refusals.judge(a_case({"1": output}, **more))}


def _gate(logic: str | None) -> dict[str, dict[str, Any]]:
    return {"gate": {"device": "sliding gate", "inputs": {"x": {"logic": logic, "wants": "pulse"}}}}


@pytest.mark.parametrize(
    ("logic", "code", "verdict", "bars"),
    [
        ("safety", "SAFE-01", Verdict.FAILS, True),
        (None, "SAFE-01", Verdict.UNKNOWN, False),
        ("stop", "SAFE-02", Verdict.HOLDS, False),
    ],
)
def test_an_input_is_refused_asked_about_or_left_alone(
    logic: str | None, code: str, verdict: Verdict, bars: bool
) -> None:
    """An input that nobody describes may be a safety input."""
    finding = _judged(code, {**PULSE, "works": "gate.x"}, devices=_gate(logic))

    assert (finding.verdict, finding.bars, finding.stake) == (verdict, bars, Stake.HARM)
    assert bool(finding.asks) is (verdict is Verdict.UNKNOWN)


def test_an_input_that_is_described_is_no_safety_input() -> None:
    """Neither is the unknown input of a lamp."""
    assert not {"SAFE-01", "SAFE-02"} & _codes({**PULSE, "works": "gate.x"}, devices=_gate("start"))
    lamp = {"lamp": {"device": "lamp", "inputs": {"on": {}}}}
    assert "SAFE-01" not in _codes({"kind": "toggle", "works": "lamp.on"}, devices=lamp)


@pytest.mark.parametrize(
    ("safeguards", "verdict"), [((), Verdict.FAILS), (None, Verdict.UNKNOWN), (("beams",), Verdict.HOLDS)]
)
def test_a_leaf_that_only_a_held_button_guards_is_barred(
    safeguards: tuple[str, ...] | None, verdict: Verdict
) -> None:
    """The leaf is what mends it; nobody may accept it."""
    door = {
        "door": {"device": "garage door", "safeguards": safeguards, "inputs": {"down": {"logic": "down"}}}
    }
    finding = _judged("SAFE-03", {"kind": "follow", "works": "door.down"}, devices=door)

    assert (finding.verdict, finding.cause) == (verdict, DeviceRef("house/door"))
    assert finding.bars is (verdict is Verdict.FAILS)


@pytest.mark.parametrize(
    ("escape", "contact", "verdict"),
    [
        (True, "normally open", Verdict.FAILS),
        (True, "normally closed", Verdict.HOLDS),
        (None, "normally open", Verdict.UNKNOWN),
        (None, "normally closed", None),
        (False, "normally open", None),
    ],
)
def test_a_lock_fed_by_radio_is_barred_on_an_escape_route(
    escape: bool | None, contact: str, verdict: Verdict | None
) -> None:
    """Where nobody says whether it is one, it is asked; a customer can say it."""
    lock = {"strike": {**STRIKE, "device": "magnetic lock", "escape_route": escape}}
    output = {"kind": "toggle", "works": "strike.release", "contact": contact}
    if verdict is None:
        assert "SAFE-06" not in _codes(output, devices=lock)
        return
    finding = _judged("SAFE-06", output, devices=lock)

    assert (finding.verdict, finding.cause) == (verdict, OutputRef("house/R1/1"))
    assert finding.bars is (verdict is Verdict.FAILS)
    assert all(ask.who is Who.CUSTOMER for ask in finding.asks)


@pytest.mark.parametrize(
    ("supply", "volts", "is_said"),
    [
        ("ac", 50.0, False),
        ("ac", 50.1, True),
        ("dc", 120.0, False),
        ("dc", 120.1, True),
        ("mains", None, True),
    ],
)
def test_mains_begins_above_extra_low_voltage(supply: str, volts: float | None, is_said: bool) -> None:
    """50 V alternating and 120 V direct are the upper ends of extra-low voltage: IEC 60364, from memory."""
    lamp = {"lamp": {"device": "lamp", "supply": supply, "voltage_v": volts}}

    assert ("SAFE-07" in _codes({"kind": "toggle", "works": "lamp.on"}, devices=lamp)) is is_said


@pytest.mark.parametrize(
    ("kept", "works", "verdict", "stake"),
    [
        ("in pocket", "gate.open", Verdict.THIN, Stake.HARM),
        ("in pocket", "panel.unset", Verdict.THIN, Stake.PROMISE),
        (None, "gate.open", Verdict.UNKNOWN, Stake.HARM),
    ],
)
def test_where_a_fob_is_carried_is_asked(
    kept: str | None, works: str, verdict: Verdict, stake: Stake
) -> None:
    """A leaf that moves unseen can hurt; an alarm that is unset cannot."""
    groups = {"some": {"people": ("Ana",), "buttons": {"1": "f1"}, "kept": kept}}
    finding = _judged("SAFE-10", {**PULSE, "works": works}, groups=groups)

    assert (finding.verdict, finding.stake, finding.advice) == (verdict, stake, True)


def test_what_a_fob_in_a_pocket_moves_is_asked_where_nobody_says_what_it_is() -> None:
    """Without its kind a gate is no less a gate."""
    groups = {"some": {"people": ("Ana",), "buttons": {"1": "f1"}, "kept": "in pocket"}}
    devices = {"it": {"inputs": {"open": {"logic": "open only"}}}}
    finding = _judged("SAFE-10", {**PULSE, "works": "it.open"}, groups=groups, devices=devices)

    assert finding.verdict is Verdict.UNKNOWN


def test_guessing_a_fixed_code_takes_what_it_says() -> None:
    """4 096 codes at ten a second are 409.6 s; of 3 learned the first comes after 4 097 / 4 tries."""
    groups = {"some": {"count": 2, "spares": 1, "buttons": {"1": "f1"}, "kept": "in hand"}}
    finding = _judged("SAFE-09", {**PULSE, "works": "gate.open"}, groups=groups, fob={"code": "fixed"})

    assert finding.value == pytest.approx(4097 / 4 * 0.1)
    assert "all of them take 6.827 min" in finding.because


def test_all_fixed_codes_of_a_receiver_are_guessed_at_together() -> None:
    """Six groups of ten, 48 ms four times a press: 4 097 / 61 tries of 0.192 s, and 786 s for every code."""
    groups = {f"block {n}": {"count": 10, "buttons": {"1": "f1"}, "kept": "in hand"} for n in range(6)}
    fob = {"code": "fixed", "codes": 4096, "press_telegrams": 4, "repeat_s": 0.048}
    found = [
        finding
        for finding in refusals.judge(a_case({"1": {**PULSE, "works": "gate.open"}}, groups=groups, fob=fob))
        if finding.code == "SAFE-09"
    ]

    assert [finding.value for finding in found] == [pytest.approx(4097 / 61 * 0.192)] * 6
    assert all("knows 60 such fobs" in finding.because for finding in found)


@pytest.mark.parametrize(("count", "verdict"), [(21, Verdict.THIN), (20, Verdict.THIN), (19, Verdict.HOLDS)])
def test_safe_15_two_of_many_fixed_codes_may_be_alike(count: int, verdict: Verdict) -> None:
    """Counted by products: 20 of 4 096 are alike in 4.54 %, 21 in 5.00 %, 19 in 4.10 %."""
    groups = {"some": {"count": count, "buttons": {"1": "f1"}, "kept": "in hand"}}
    finding = _judged("SAFE-15", {**PULSE, "works": "gate.open"}, groups=groups, fob={"code": "fixed"})
    apart = 1.0
    for drawn in range(count):
        apart *= (4096 - drawn) / 4096

    assert finding.verdict is verdict
    assert finding.value == pytest.approx(1 - apart)


@pytest.mark.parametrize(
    ("answered_by", "tested", "verdict", "asks"),
    [
        ("Ana", 1 / 7, Verdict.THIN, 0),
        ("Ana", 1 / 7.1, Verdict.FAILS, 0),
        ("Ana", 0.0, Verdict.FAILS, 0),
        ("nobody", 1.0, Verdict.FAILS, 0),
        ("Ana", None, Verdict.UNKNOWN, 1),
        (None, 1.0, Verdict.UNKNOWN, 1),
        (None, None, Verdict.FAILS, 2),
    ],
)
def test_a_call_for_help_can_hurt_and_is_never_well(
    answered_by: str | None, tested: float | None, verdict: Verdict, asks: int
) -> None:
    """Thin is the best word for it, with somebody who answers and a test every week; nothing agreed fails."""
    call = {"output": "house/R1/1", "kind": "call", "answered_by": answered_by, "tested_per_day": tested}
    finding = _judged(
        "SAFE-05", {"kind": "pulse", "for_s": 60.0, "works": "siren.on"}, functions={"help": call}
    )

    assert (finding.verdict, finding.stake, len(finding.asks)) == (verdict, Stake.HARM, asks)


@pytest.mark.parametrize(
    ("name", "logic", "verdict"),
    [
        ("photocell", "open only", Verdict.UNKNOWN),
        ("e-stop", "stop", Verdict.UNKNOWN),
        ("Lichtschranke", "close", Verdict.UNKNOWN),
        ("fotokomórka", "start", Verdict.UNKNOWN),
        ("photocell", "safety", Verdict.FAILS),
        ("open", "open only", None),
    ],
)
def test_an_input_that_is_called_like_a_safety_input_is_asked_about(
    name: str, logic: str, verdict: Verdict | None
) -> None:
    """Whatever function somebody gave it; what is called by what it does is left alone."""
    gate = {"gate": {"device": "sliding gate", "inputs": {name: {"logic": logic}}}}
    found = refusals.judge(a_case({"1": {**PULSE, "works": f"gate.{name}"}}, devices=gate))

    assert [finding.verdict for finding in found if finding.code == "SAFE-01"] == (
        [] if verdict is None else [verdict]
    )


@pytest.mark.parametrize(
    ("says", "verdict", "bars"),
    [
        ("emergency call to the ambulance, monitored day and night", Verdict.FAILS, True),
        ("Notruf", Verdict.FAILS, True),
        ("a household call, no emergency call and not monitored", Verdict.THIN, False),
        ("", Verdict.THIN, False),
    ],
)
def test_no_words_make_a_household_call_an_emergency_call(says: str, verdict: Verdict, bars: bool) -> None:
    """What is denied is not promised."""
    call: dict[str, Any] = {"kind": "call", "says": says, "answered_by": "Mirela", "tested_per_day": 0.2}
    call["output"] = "house/R1/1"
    finding = _judged("SAFE-05", {**PULSE, "works": "siren.on"}, functions={"call": call})

    assert (finding.verdict, finding.bars) == (verdict, bars)
