"""Long presses at a receiver that may not tell them from short ones, at a fuel store."""

from __future__ import annotations

from typing import Any

import pytest

from farpress.domain.finding import Finding, Verdict
from farpress.judging.fob.long_presses import judge
from helpers.logic_case import a_case

OUTPUTS: dict[str, Any] = {
    "1": {"kind": "pulse", "for_s": 0.5, "works": "gate.open"},
    "2": {"kind": "pulse", "for_s": 0.5, "works": "panel.unset"},
}


def judged(tells_long: bool | None, buttons: dict[str, Any]) -> list[Finding]:
    """Findings about one receiver; f1 opens, f2 unsets."""
    groups = {"drivers": {"people": ("Ana",), "buttons": buttons}}
    receiver = {} if tells_long is None else {"tells_long": tells_long}
    return list(judge(a_case(OUTPUTS, groups=groups, receiver=receiver)))


@pytest.mark.parametrize(
    ("tells_long", "verdict"), [(True, Verdict.HOLDS), (None, Verdict.UNKNOWN), (False, Verdict.FAILS)]
)
def test_fob_09_what_nobody_says_of_a_receiver_is_asked(tells_long: bool | None, verdict: Verdict) -> None:
    """Left out it is not known; a receiver that does not tell them does the same at either press."""
    [finding] = judged(tells_long, {"1": {"short": "f1", "long": "f2"}})

    assert (finding.code, finding.verdict) == ("FOB-09", verdict)
    assert bool(finding.asks) is (verdict is Verdict.UNKNOWN)


def test_fob_09_asks_nothing_where_every_press_is_short() -> None:
    """Who learns one function a button needs no receiver that tells lengths."""
    assert judged(None, {"1": "f1", "2": "f2"}) == []
