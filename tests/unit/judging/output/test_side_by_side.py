"""Several outputs on one input: what keeps a state falls out of step."""

from __future__ import annotations

from typing import Any

import pytest

from farpress.domain.finding import Stake, Verdict
from farpress.judging.output.side_by_side import judge_side_by_side
from helpers.logic_case import a_case

PULSE: dict[str, Any] = {"kind": "pulse", "for_s": 5.0}
TOGGLE: dict[str, Any] = {"kind": "toggle"}
LATCH: dict[str, Any] = {"kind": "latch"}


@pytest.mark.parametrize(
    ("first", "second", "verdict"),
    [
        (TOGGLE, TOGGLE, Verdict.FAILS),
        (TOGGLE, LATCH, Verdict.FAILS),
        (TOGGLE, PULSE, Verdict.THIN),
        (PULSE, LATCH, Verdict.THIN),
        (PULSE, PULSE, None),
    ],
)
def test_out_20_two_that_keep_a_state_on_one_input(
    first: dict[str, Any], second: dict[str, Any], verdict: Verdict | None
) -> None:
    """Two toggles can never be brought in step by presses; two pulses only add up."""
    case = a_case({"1": {**first, "works": "lamp.on"}, "2": {**second, "works": "lamp.on"}})
    assert [finding.verdict for finding in judge_side_by_side(case)] == [verdict] * (verdict is not None)


def test_out_20_on_inputs_of_their_own_nothing_is_said() -> None:
    """Two toggles for two things are two things."""
    outputs = {"1": {**TOGGLE, "works": "lamp.on"}, "2": {**TOGGLE, "works": "valve.on"}}
    assert not list(judge_side_by_side(a_case(outputs)))


def test_out_20_a_call_that_cannot_be_silenced_is_harm() -> None:
    """Otherwise a promise is broken, and nobody is hurt."""
    outputs = {number: {**TOGGLE, "works": "siren.on"} for number in ("1", "2")}
    stakes = [
        finding.stake
        for kind in ("call", "sound")
        for finding in judge_side_by_side(a_case(outputs, kinds={"1": kind, "2": kind}))
    ]
    assert stakes == [Stake.HARM, Stake.PROMISE]
