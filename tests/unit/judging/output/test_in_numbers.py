"""Numbers in sentences and remedies about outputs, worked out by hand."""

from __future__ import annotations

from typing import Any

import pytest

from farpress.domain.finding import Finding
from farpress.judging.output import suits, use
from helpers.findings import finding_of
from helpers.logic_case import a_case


def _judged(code: str, output: dict[str, Any], needs: dict[str, Any], **more: Any) -> Finding:
    gate = {"gate": {"device": "sliding gate", "inputs": {"start": {"logic": "start", **needs}}}}
    return finding_of(
        suits.judge(a_case({"1": {"works": "gate.start", **output}}, devices=gate, **more)), code
    )


@pytest.mark.parametrize(
    ("needs", "length"),
    [
        ({"min_pulse_s": 0.4}, "600 ms"),  # half as long again
        ({"min_pulse_s": 0.4, "max_pulse_s": 0.6}, "500 ms"),  # the middle, where that is less
    ],
)
def test_a_pulse_too_short_is_made_half_as_long_again(needs: dict[str, Any], length: str) -> None:
    """As clocks differ; never beyond the middle of what the input takes."""
    finding = _judged("OUT-01", {"kind": "pulse", "for_s": 0.1}, needs)

    assert finding.remedies[0].does == f"Make the pulse {length}"
    assert finding.remedies[0].effect == f"{length} against 400 ms needed"


@pytest.mark.parametrize(("needs", "length"), [({}, "500 ms"), ({"min_pulse_s": 0.8}, "800 ms")])
def test_a_held_start_input_gets_a_pulse_that_it_takes(needs: dict[str, Any], length: str) -> None:
    """Half a second, or the shortest that it asks for."""
    finding = _judged("OUT-01", {"kind": "latch"}, {"wants": "pulse", **needs})

    assert finding.remedies[0].does == f"Make it a pulse of {length}"


def test_of_many_who_toggle_four_are_counted() -> None:
    """(1 - 0.4^4) / 2 = 48.7 % for four who press three times in ten: an odd number of presses."""
    case = a_case(
        {"1": {"kind": "toggle", "works": "lamp.on"}}, groups={"all": {"count": 6, "buttons": {"1": "f1"}}}
    )
    finding = finding_of(suits.judge(case), "OUT-02")

    assert "4 who switch it three times in ten in 49%" in finding.says


@pytest.mark.parametrize(
    ("share", "says"),
    [(0.0009, "less than 0.1 %"), (0.0012, "0.1%"), (0.0994, "9.9%"), (0.12, "12%"), (0.5, "50%")],
)
def test_a_share_has_a_decimal_below_a_tenth(share: float, says: str) -> None:
    """And is never told as none."""
    assert use._per_cent(share) == says


@pytest.mark.parametrize(("for_s", "margin_s"), [(3.0, -1.0), (1.5, 0.5)])
def test_a_start_input_that_says_no_longest_pulse_is_asked_against_two_seconds(
    for_s: float, margin_s: float
) -> None:
    """0.2 to 2 s are usual, common practice: above it the margin is negative, and nothing fails or holds."""
    finding = _judged("OUT-01", {"kind": "pulse", "for_s": for_s}, {"wants": "pulse"})

    assert finding.verdict.value == "unknown"
    assert finding.margin == pytest.approx(margin_s)
