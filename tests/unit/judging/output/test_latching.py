"""Valves that latch, and what brings them back."""

from __future__ import annotations

from typing import Any

import pytest

from farpress.domain.finding import Finding, Verdict
from farpress.judging.output.latching import judge_latching
from helpers.logic_case import STRIKE, VALVE, a_case

OPEN: dict[str, Any] = {"logic": "open only", "wants": "pulse"}
CLOSE: dict[str, Any] = {"logic": "close", "wants": "pulse"}


def judged(sheet: dict[str, Any], *works: str) -> list[Finding]:
    """OUT-22 of a thing with outputs on these inputs."""
    outputs = {
        str(number): {"kind": "pulse", "for_s": 0.2, "works": f"it.{name}"}
        for number, name in enumerate(works, start=1)
    }
    return list(judge_latching(a_case(outputs, devices={"it": sheet})))


@pytest.mark.parametrize(
    ("works", "verdict"), [(("open",), Verdict.FAILS), (("open", "close"), Verdict.THIN), (("close",), None)]
)
def test_out_22_a_valve_that_latches_needs_something_that_closes_it(
    works: tuple[str, ...], verdict: Verdict | None
) -> None:
    """With a press for closing it still stays open in a power cut."""
    found = judged({**VALVE, "inputs": {"open": OPEN, "close": CLOSE}}, *works)
    assert [finding.verdict for finding in found] == [verdict] * (verdict is not None)


@pytest.mark.parametrize(
    "sheet",
    [
        {**VALVE, "inputs": {"open": {**OPEN, "wants": "maintained"}}},
        {**VALVE, "inputs": {"open": {"logic": "on"}}},
        {"device": "sounder", "inputs": {"open": OPEN}},
        {**STRIKE, "inputs": {"open": OPEN}},
        {"device": "sliding gate", "inputs": {"open": OPEN}},
    ],
)
def test_out_22_only_what_a_pulse_opens_for_good(sheet: dict[str, Any]) -> None:
    """A valve that is held, a sounder, a lock and a leaf are none."""
    assert not judged(sheet, "open")


def test_out_22_an_input_that_only_opens_and_does_not_say_how_is_asked() -> None:
    """Left out, how it is worked makes nothing well."""
    (finding,) = judged({**VALVE, "inputs": {"open": {"logic": "open only"}}}, "open")
    assert finding.verdict is Verdict.UNKNOWN
    assert "see whether it shuts" in finding.asks[0].says
