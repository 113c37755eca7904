"""A start input held closed is a danger where something moves, and a slip of the unit is asked about."""

from __future__ import annotations

from typing import Any

import pytest

from farpress.domain.finding import Finding, Stake, Verdict
from farpress.judging.output import suits
from helpers.findings import finding_of
from helpers.logic_case import a_case

HOLDS, UNKNOWN, FAILS = Verdict.HOLDS, Verdict.UNKNOWN, Verdict.FAILS


def _found(output: dict[str, Any], device: str = "sliding gate", **needs: Any) -> Finding:
    logic = {"logic": "start", **needs}
    devices = {"it": {"device": device, "inputs": {"in": logic}}}
    case = a_case({"1": {"kind": "pulse", "works": "it.in", **output}}, devices=devices)
    return finding_of(list(suits.judge(case)), "OUT-01")


@pytest.mark.parametrize(
    ("for_s", "needs", "verdict", "stake"),
    [
        (10.0, {}, UNKNOWN, Stake.PROMISE),  # odd, but somebody may mean it
        (10.1, {}, FAILS, Stake.HARM),
        (10.1, {"max_pulse_s": 2.0}, FAILS, Stake.HARM),
        (9.9, {"max_pulse_s": 2.0}, FAILS, Stake.PROMISE),
        (500.0, {"max_pulse_s": 1000.0}, HOLDS, Stake.PROMISE),  # the sheet takes it
        (500.0, {"wants": "either"}, HOLDS, Stake.PROMISE),
        (500.0, {"logic": "close"}, FAILS, Stake.HARM),
        (500.0, {"logic": "stop"}, HOLDS, Stake.PROMISE),  # a longer stop does no harm
    ],
)
def test_a_pulse_far_too_long_holds_the_start_input(
    for_s: float, needs: dict[str, Any], verdict: Verdict, stake: Stake
) -> None:
    """Above ten seconds, whether or not anybody wrote the longest pulse of the input."""
    finding = _found({"for_s": for_s}, **needs)

    assert (finding.verdict, finding.stake) == (verdict, stake)


@pytest.mark.parametrize(
    ("for_s", "meant", "written"),
    [(500.0, "500 ms", "500 ms"), (60.0, None, "500 ms"), (800.0, "800 ms", "800 ms")],
)
def test_what_was_probably_meant_is_asked(for_s: float, meant: str | None, written: str) -> None:
    """500 s is 500 ms written with the wrong unit; a minute is nobody's slip of a prefix."""
    finding = _found({"for_s": for_s})

    assert (f"was {meant} meant?" in finding.asks[0].says) is (meant is not None)
    assert f"{for_s:g} s" in finding.says
    assert [change.value for change in finding.remedies[0].changes] == [written]


def test_a_meant_length_that_the_input_does_not_take_is_not_advised() -> None:
    """500 ms was meant, but the input needs 700 ms: that is written."""
    finding = _found({"for_s": 500.0}, min_pulse_s=0.7)

    assert [change.value for change in finding.remedies[0].changes] == ["700 ms"]


def test_a_held_input_of_what_hurts_nobody_stops_nothing() -> None:
    """A lamp's start input, held, is a lamp that cannot be switched."""
    assert _found({"for_s": 500.0}, device="lamp").stake is Stake.PROMISE
    assert _found({"for_s": 500.0}, device="winch").stake is Stake.HARM


@pytest.mark.parametrize(
    ("kind", "stake"), [("toggle", Stake.HARM), ("latch", Stake.HARM), ("follow", Stake.PROMISE)]
)
def test_an_output_that_stays_on_holds_it_too(kind: str, stake: Stake) -> None:
    """As long as somebody holds the button he stands there and lets go."""
    finding = _found({"kind": kind})

    assert (finding.verdict, finding.stake) == (FAILS, stake)


@pytest.mark.parametrize(
    ("more", "logic", "stake"),
    [
        ({}, "start", Stake.HARM),
        ({}, "up", Stake.HARM),
        ({"via": "relay-12v"}, "start", Stake.PROMISE),
        ({"contact": "normally open"}, "start", Stake.PROMISE),
        ({}, "stop", Stake.PROMISE),
    ],
)
def test_a_break_contact_gives_the_command_at_rest(more: dict[str, Any], logic: str, stake: Stake) -> None:
    """Only a press takes it away; a stop that opens is how a stop is wired."""
    finding = _found({"for_s": 0.5, "contact": "normally closed", **more}, logic=logic)

    assert finding.stake is stake
    assert (finding.verdict is FAILS) is (stake is Stake.HARM)
