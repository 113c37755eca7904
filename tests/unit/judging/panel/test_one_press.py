"""One press that tells one panel to set and to unset."""

from __future__ import annotations

from typing import Any

import pytest

from farpress.domain.finding import Stake, Verdict
from farpress.judging.panel import one_press
from helpers.findings import finding_of
from helpers.logic_case import a_case

PULSE: dict[str, Any] = {"kind": "pulse", "for_s": 0.5}


def judged(first: str, other: str, *, button: Any) -> list[Any]:
    """Two outputs on a panel, and a button for both."""
    outputs = {"1": {**PULSE, "works": f"panel.{first}"}, "2": {**PULSE, "works": f"panel.{other}"}}
    groups = {"pair": {"count": 2, "buttons": {"1": button}}}
    return list(one_press.judge(a_case(outputs, groups=groups)))


@pytest.mark.parametrize("other", ["unset", "flip", "level"])
def test_pan_29_set_over_one_input_and_unset_over_another(other: str) -> None:
    """A pulse, one that changes over, a level: each can take the setting back."""
    finding = finding_of(judged("set", other, button=("f1", "f2")), "PAN-29")

    assert (finding.verdict, finding.stake) == (Verdict.FAILS, Stake.HARM)


def test_pan_29_short_and_long_are_two_presses() -> None:
    """Nor does one that only sets at two inputs contradict itself."""
    assert not judged("set", "unset", button={"short": "f1", "long": "f2"})
    assert not judged("set", "set", button=("f1", "f2"))
