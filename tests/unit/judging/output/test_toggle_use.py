"""A toggle used by several people as often as the job says: counted by every way a day can go."""

from __future__ import annotations

import math
from itertools import product
from typing import Any

import pytest

from farpress.domain.finding import Finding, Stake, Verdict
from farpress.judging.output import suits
from helpers.findings import finding_of
from helpers.logic_case import a_case

HOLDS, THIN, FAILS = Verdict.HOLDS, Verdict.THIN, Verdict.FAILS


def judged(kind: str, *uses: object, **sheet: Any) -> Finding:
    """OUT-02 of one toggle, with one group for each number of the day."""
    groups = {
        f"group {n}": {
            "count": len(said) if isinstance(said, tuple) else 1,
            "buttons": {"1": "f1"},
            "uses_share": {"f1": said},
        }
        for n, said in enumerate(uses)
    }
    case = a_case(
        {"1": {"kind": "toggle", "works": "it.on"}},
        devices={"it": {"device": kind, "inputs": {"on": {"logic": "on"}}, **sheet}},
        groups=groups,
    )
    return finding_of(suits.judge(case), "OUT-02")


def odd(*shares: float) -> float:
    """Every way a day can go, one by one: those with an odd number of presses."""
    return sum(
        math.prod(share if pressed else 1 - share for share, pressed in zip(shares, day, strict=True))
        for day in product((0, 1), repeat=len(shares))
        if sum(day) % 2
    )


@pytest.mark.parametrize(
    ("uses", "shares"),
    [
        ((0.6, 0.6, 0.3), (0.6, 0.6, 0.3)),
        (((0.4, 0.4, 0.3, 0.2),), (0.4, 0.4, 0.3, 0.2)),
        ((0.1, (0.2, 0.3)), (0.1, 0.2, 0.3)),
    ],
)
def test_out_02_a_refused_toggle_says_how_often_it_stands_otherwise(
    uses: tuple[object, ...], shares: tuple[float, ...]
) -> None:
    """A fence that nobody may toggle: refused whatever the number, and the number is told."""
    finding = judged("energiser", *uses)

    assert (finding.verdict, finding.stake) == (FAILS, Stake.HARM)
    assert finding.value == pytest.approx(odd(*shares), abs=1e-12)
    assert f"{odd(*shares):.1%}" in finding.because
    assert any("isolator" in remedy.does for remedy in finding.remedies)


@pytest.mark.parametrize(
    ("share", "verdict"), [(0.0256, THIN), (0.0254, THIN), (0.0231, THIN), (0.0229, HOLDS)]
)
def test_out_02_what_may_be_toggled_is_held_against_one_day_in_twenty(share: float, verdict: Verdict) -> None:
    """Two who use it: 2 p (1 - p) = 5 % at p = 2.57 %, thin from 4.5 % at 2.30 % on; advice at worst."""
    finding = judged("lamp", share, share)

    assert finding.verdict is verdict
    assert finding.value == pytest.approx(odd(share, share), abs=1e-12)


def test_out_02_a_group_that_says_nothing_leaves_the_number_open() -> None:
    """The usual numbers of people who may press stand instead."""
    groups = {
        "a": {"count": 2, "buttons": {"1": "f1"}, "uses_share": {"f1": 0.1}},
        "b": {"count": 2, "buttons": {"1": "f1"}},
    }
    case = a_case({"1": {"kind": "toggle", "works": "lamp.on"}}, groups=groups)

    assert finding_of(suits.judge(case), "OUT-02").value == pytest.approx(odd(0.3, 0.3, 0.3, 0.3))
