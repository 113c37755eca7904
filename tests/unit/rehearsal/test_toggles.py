"""What turns by the next press, and what does not; argued by hand."""

from __future__ import annotations

import pytest

from farpress.domain.finding import Verdict
from farpress.judging.rules import searched
from farpress.rehearsal.rules import rehearse
from helpers.logic_case import a_case
from helpers.rehearsal_jobs import SHORT_GATE


@pytest.mark.parametrize(("kind", "verdict"), [("toggle", Verdict.FAILS), ("follow", None)])
def test_a_toggle_of_a_device_falls_out_of_step(kind: str, verdict: Verdict | None) -> None:
    """One press that was not heard, and the next does the opposite of what is believed."""
    case = a_case(
        {"1": {"kind": kind, "works": "lamp.on"}}, rules=({"never": "state out of step", "of": ("f1",)},)
    )
    (result,) = rehearse(case, rules=(1,))

    if verdict is None:
        assert not result.searched
        return
    assert result.verdict is verdict
    assert result.story is not None
    assert [step.says for step in result.story.steps] == ["f1 pressed and not heard", "f1 pressed by pair"]
    (finding,) = [one for one in searched.judge(case) if one.code == "RULE-08"]
    assert finding.verdict is verdict
    assert "44%" in finding.says


def test_a_button_to_close_is_not_what_turns_round_the_button_to_open() -> None:
    """Open only and close by a button each: neither toggles, though one ends what the other began."""
    inputs = {"open": {"logic": "open only", "wants": "pulse"}, "close": {"logic": "close", "wants": "pulse"}}
    case = a_case(
        {
            "1": {"kind": "pulse", "for_s": 0.5, "works": "gate.open"},
            "2": {"kind": "pulse", "for_s": 0.5, "works": "gate.close"},
        },
        devices={"gate": {**SHORT_GATE, "inputs": inputs}},
        rules=({"never": "toggles", "of": ("f1", "f2")},),
    )

    assert [result.verdict for result in rehearse(case, rules=(1,))] == [Verdict.HOLDS, Verdict.HOLDS]
