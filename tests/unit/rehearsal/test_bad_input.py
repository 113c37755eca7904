"""What contradicts itself is found and named, and the rest is searched."""

from __future__ import annotations

from typing import Any

import pytest

from farpress.domain.finding import Verdict
from farpress.rehearsal.rules import rehearse
from helpers.logic_case import LAMP, a_case
from helpers.rehearsal_jobs import SHORT_GATE

PULSE: dict[str, Any] = {"kind": "pulse", "for_s": 1.0}
ON = {"never": "on longer than", "of": ("f2",), "for_s": 5.0}
UNDER = {"never": "closes while occupied", "of": ("f1",)}


def _results(gate: dict[str, Any], rule: dict[str, Any] = UNDER, **output: Any) -> list[Any]:
    """A gate with something wrong, and beside it a lamp with a rule that holds."""
    case = a_case(
        {"1": {**PULSE, "works": "gate.open", **output}, "2": {**PULSE, "works": "lamp.on"}},
        devices={"gate": SHORT_GATE | {"safeguards": ("loop",)} | gate, "lamp": LAMP},
        rules=(rule, ON),
    )
    return rehearse(case, rules=(1, 2))


@pytest.mark.parametrize(
    ("gate", "says"),
    [
        (
            {"inputs": {"open": {"logic": "open only", "min_pulse_s": 3.0, "max_pulse_s": 1.0}}},
            "at least 3 s and of at most 1 s",
        ),
        ({"waits_for": ("gate",), "waits_by": "end contacts"}, "until it stands closed itself"),
        ({"travel_s": 0.0}, "must take longer than 0"),
        ({"travel_s": None}, "How long gate travels is not known"),
    ],
)
def test_a_thing_that_contradicts_itself_is_asked_about(gate: dict[str, Any], says: str) -> None:
    """Told with what is given and what to do; the rule about another thing is searched to the end."""
    wrong, right = _results(gate)

    assert wrong.verdict is Verdict.UNKNOWN
    assert says in f"{wrong.says} {' '.join(wrong.asks)}"
    assert right.verdict is Verdict.HOLDS


def test_a_partial_opening_longer_than_the_whole_is_asked_about() -> None:
    """9 s of a travel of 6 s."""
    wrong, right = _results({"partial_travel_s": 9.0}, works="gate.partial")

    assert wrong.verdict is Verdict.UNKNOWN
    assert "takes 9000 ms of a travel of 6000 ms" in f"{wrong.says} {' '.join(wrong.asks)}"
    assert right.verdict is Verdict.HOLDS


def test_an_interlock_that_goes_in_a_circle_is_told_as_none() -> None:
    """1 names 2, 2 names 3, 3 names 1: no pair keeps the other off, and the story is found."""
    circle = {
        str(i): {**PULSE, "for_s": 5.0, "interlock": str(i % 3 + 1), "interlock_pause_s": 1.0}
        for i in (1, 2, 3)
    }
    (result,) = rehearse(a_case(circle, rules=({"never": "both on", "of": ("f1", "f2")},)), rules=(1,))

    assert result.verdict is Verdict.FAILS
    assert "no interlock of house/R1/1 with house/R1/2, because output 2 names output 3" in result.taken
