"""NIST/SEMATECH e-Handbook of Statistical Methods, 6.2.6, sequential sampling plan.

Read on 2026-11-25 in a copy (sbtionline.com/nist/pmc/section2/pmc26.htm): the plan for a
good share of 0.01 (risk 0.05) and a bad share of 0.10 (risk 0.10) accepts after 24 trials
without a failure and refuses at 3 failures; it ends at three times the single plan.
"""

from __future__ import annotations

import pytest

from farpress.core.proving.sequential import sequential_plan, sequential_state
from helpers.printed import Printed

PLAN = {"good_share": 0.01, "bad_share": 0.10, "reject_good_risk": 0.05, "accept_bad_risk": 0.10}


def test_the_plan_accepts_and_refuses_as_printed() -> None:
    """For 24 trials the acceptance number is 0 and the refusal number 3; 23 are not enough."""
    plan = sequential_plan(**PLAN)

    assert Printed("24").agrees_with(plan.first_accept)
    assert Printed("0").agrees_with(plan.accept_at(24))
    assert Printed("3").agrees_with(plan.reject_at(24))
    assert plan.accept_at(23) < 0


@pytest.mark.parametrize(
    ("presses", "state"),
    [([True] * 23, "go on"), ([True] * 24, "accept"), ([True] * 20 + [False] * 3, "reject")],
)
def test_walking_through_the_trials_agrees_with_the_two_lines(presses: list[bool], state: str) -> None:
    """The 24th good trial accepts; three failures among the first 23 refuse."""
    assert str(sequential_state(plan=sequential_plan(**PLAN), heard=presses).state) == state
