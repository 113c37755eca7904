"""A board that tells rooms apart takes an output for each."""

from __future__ import annotations

import pytest

from farpress.domain.finding import Finding, Verdict
from farpress.judging.output import told_apart
from helpers.findings import finding_of
from helpers.logic_case import a_case


def judged(told: int | None, count: int = 14) -> list[Finding]:
    """A call with a lamp on one of four outputs, and so many who can press it."""
    return list(
        told_apart.judge(
            a_case(
                {"1": {"kind": "toggle", "works": "lamp.on"}, "2": {"kind": "toggle", "works": "siren.on"}},
                functions={"f1": {"output": "house/R1/1", "kind": "call", "told_apart": told}},
                groups={"residents": {"count": count, "buttons": {"1": "f1"}}},
            )
        )
    )


@pytest.mark.parametrize(
    ("told", "verdict"), [(0, Verdict.HOLDS), (1, Verdict.HOLDS), (2, Verdict.FAILS), (None, Verdict.UNKNOWN)]
)
def test_out_60_one_output_tells_one(told: int | None, verdict: Verdict) -> None:
    """Every press of one function closes the same relay."""
    assert finding_of(judged(told), "OUT-60").verdict is verdict


def test_out_60_says_how_many_outputs_are_missing() -> None:
    """14 lamps: one is there, two of four are free, 11 are missing, three receivers of four."""
    says = finding_of(judged(14), "OUT-60").says
    assert "2 free" in says
    assert "11 are missing, 3 more receivers of 4" in says
    assert "would be enough" in finding_of(judged(3), "OUT-60").says


def test_out_60_is_not_asked_where_one_person_alone_can_call() -> None:
    """Whoever answers knows who it was."""
    assert not judged(None, count=1)
