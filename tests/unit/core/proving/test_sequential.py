"""Trials that stop early: exact chances, and no verdict before its time."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from farpress.core.proving.sequential import (
    SequentialPlan,
    SequentialState,
    sequential_outcome,
    sequential_plan,
    sequential_state,
)
from farpress.errors import OutOfRange

HANDBOOK = sequential_plan(good_share=0.01, bad_share=0.10, reject_good_risk=0.05, accept_bad_risk=0.10)
PRESSES = sequential_plan(good_share=0.02, bad_share=0.15, reject_good_risk=0.10, accept_bad_risk=0.10)
STRICT = sequential_plan(good_share=0.01, bad_share=0.05, reject_good_risk=0.05, accept_bad_risk=0.05)


@pytest.mark.parametrize(
    ("plan", "below", "above", "slope", "first"),
    [
        (HANDBOOK, 0.9389, 1.2054, 0.03975, 24),
        (PRESSES, 1.0185, 1.0185, 0.06597, 16),
        (STRICT, 1.7838, 1.7838, 0.02499, 72),
    ],
)
def test_lines_of_three_plans_stay_as_they_are(
    plan: SequentialPlan, below: float, above: float, slope: float, first: int
) -> None:
    """Frozen: computed from Wald's formulas."""
    assert (plan.below, plan.above, plan.slope) == pytest.approx((below, above, slope), abs=6e-5)
    assert plan.first_accept == first


@pytest.mark.parametrize(
    ("plan", "share", "accept", "mean"),
    [
        (HANDBOOK, 0.01, 0.97795, 30.213),
        (HANDBOOK, 0.05, 0.46886, 37.123),
        (HANDBOOK, 0.10, 0.09958, 22.369),
        (PRESSES, 0.005, 0.99759, 17.203),
        (PRESSES, 0.02, 0.95657, 20.623),
        (PRESSES, 0.06, 0.62765, 24.276),
        (PRESSES, 0.15, 0.09881, 14.459),
        (STRICT, 0.01, 0.97114, 112.554),
        (STRICT, 0.05, 0.04990, 78.661),
    ],
)
def test_an_endless_plan_is_stepped_exactly(
    plan: SequentialPlan, share: float, accept: float, mean: float
) -> None:
    """Frozen, computed twice in different programs; the end of the plan is put so far away that it does not
    matter.
    """
    found = sequential_outcome(plan=replace(plan, longest=3000), failure_share=share)

    assert found.accept_share == pytest.approx(accept, abs=1e-5)
    assert found.mean_trials == pytest.approx(mean, abs=1e-3)


def test_stepping_equals_walking_every_path() -> None:
    """A short plan, all 2^12 courses of presses, in fractions."""
    plan = replace(
        sequential_plan(good_share=0.05, bad_share=0.4, reject_good_risk=0.1, accept_bad_risk=0.1), longest=12
    )
    share, accept, mean = Fraction(1, 5), Fraction(0), Fraction(0)
    for course in range(2**12):
        heard = [bool(course >> i & 1) for i in range(12)]
        state = sequential_state(plan=plan, heard=heard)
        assert state.state is not SequentialState.GO_ON
        weight = share ** heard.count(False) * (1 - share) ** heard.count(True)
        mean += weight * state.trials
        accept += weight if state.state is SequentialState.ACCEPT else 0
    found = sequential_outcome(plan=plan, failure_share=0.2)

    assert found.accept_share == pytest.approx(float(accept), abs=1e-12)
    assert found.mean_trials == pytest.approx(float(mean), abs=1e-12)


@pytest.mark.parametrize("plan", [HANDBOOK, PRESSES, STRICT])
def test_the_promised_risks_are_kept(plan: SequentialPlan) -> None:
    """With its end included, the plan refuses good places and accepts bad ones about as rarely as it says."""
    assert (
        1.0 - sequential_outcome(plan=plan, failure_share=plan.good_share).accept_share
        <= plan.reject_good_risk * 1.05
    )
    assert (
        sequential_outcome(plan=plan, failure_share=plan.bad_share).accept_share
        <= plan.accept_bad_risk * 1.05
    )


@given(heard=st.lists(st.booleans(), max_size=80))
def test_the_number_still_missing_is_right(heard: list[bool]) -> None:
    """So many good presses more accept, one fewer does not."""
    now = sequential_state(plan=PRESSES, heard=heard)
    if now.state is not SequentialState.GO_ON:
        return
    assert (
        sequential_state(plan=PRESSES, heard=[*heard, *[True] * now.more_if_none_fail]).state
        is not SequentialState.GO_ON
    )
    assert (
        sequential_state(plan=PRESSES, heard=[*heard, *[True] * (now.more_if_none_fail - 1)]).state
        is SequentialState.GO_ON
    )


@given(share=st.floats(0.0, 1.0))
def test_more_failures_are_accepted_less(share: float) -> None:
    """The chance to accept falls as the place gets worse."""
    worse = min(share + 0.02, 1.0)
    assert (
        sequential_outcome(plan=PRESSES, failure_share=worse).accept_share
        <= sequential_outcome(plan=PRESSES, failure_share=share).accept_share + 1e-12
    )


@pytest.mark.parametrize(
    "bad",
    [
        {"good_share": 0.0},
        {"bad_share": 0.005},
        {"bad_share": 1.0},
        {"reject_good_risk": 0.5},
        {"accept_bad_risk": 0.0},
        {"good_share": float("nan")},
    ],
)
def test_plans_that_are_none_are_refused(bad: dict[str, float]) -> None:
    """No failure at all cannot be shown; the bad share lies above the good one."""
    with pytest.raises(OutOfRange):
        sequential_plan(
            **{"good_share": 0.01, "bad_share": 0.1, "reject_good_risk": 0.1, "accept_bad_risk": 0.1, **bad}
        )


def test_simulated_presses_agree_with_the_mean() -> None:
    """Twenty thousand walks with 6 % of failures."""
    rng = np.random.default_rng(5)
    walks = [
        sequential_state(plan=PRESSES, heard=iter((rng.random(PRESSES.longest) > 0.06).tolist()))
        for _ in range(4000)
    ]
    found = sequential_outcome(plan=PRESSES, failure_share=0.06)

    assert np.mean([one.trials for one in walks]) == pytest.approx(found.mean_trials, rel=0.03)
    assert np.mean([one.state is SequentialState.ACCEPT for one in walks]) == pytest.approx(
        found.accept_share, abs=0.03
    )
