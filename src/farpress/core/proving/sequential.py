"""Trials that stop as soon as they have shown enough: Wald's test of a share of failures.

The plan's risks are fixed beforehand; they are what may be said after it has stopped. An
interval computed from the same presses as if their number had been fixed is not valid.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum
from typing import NamedTuple

import numpy as np

from farpress.core.proving.failure_share import trials_needed
from farpress.errors import require_range
from farpress.sources import Mark, cites

__all__ = [
    "Outcome",
    "Progress",
    "SequentialPlan",
    "SequentialState",
    "sequential_outcome",
    "sequential_plan",
    "sequential_state",
]

LONGEST_FACTOR = 3
"""A sequential trial ends at three times the single plan: NIST/SEMATECH e-Handbook 6.2.6, read in a copy."""


class SequentialState(StrEnum):
    """Where a sequential trial stands."""

    ACCEPT = "accept"
    REJECT = "reject"
    GO_ON = "go on"


@dataclass(frozen=True)
class SequentialPlan:
    """Two parallel lines in the plane of trials and failures.

    Attributes:
        good_share, bad_share: shares of failures that shall be told apart.
        reject_good_risk: chance of refusing the good share.
        accept_bad_risk: chance of accepting the bad share.
        below: how far the accepting line lies below `slope` x trials, in failures.
        above: how far the refusing line lies above it.
        slope: failures for each trial.
        longest: trials after which it ends: accepted if nearer to the accepting line.
    """

    good_share: float
    bad_share: float
    reject_good_risk: float
    accept_bad_risk: float
    below: float
    above: float
    slope: float
    longest: int

    def accept_at(self, trials: int) -> int:
        """Most failures with which it accepts after so many trials; negative: not yet."""
        return math.floor(self.slope * trials - self.below + 1e-12)

    def reject_at(self, trials: int) -> int:
        """Fewest failures with which it refuses after so many trials."""
        return math.ceil(self.slope * trials + self.above - 1e-12)

    @property
    def first_accept(self) -> int:
        """Trials after which it accepts if none failed."""
        return math.ceil(self.below / self.slope - 1e-12)


class Progress(NamedTuple):
    """State after some trials, and how many more without a failure would accept."""

    state: SequentialState
    trials: int
    failures: int
    more_if_none_fail: int


class Outcome(NamedTuple):
    """What a plan does at one true share of failures: chance to accept, mean number of trials."""

    accept_share: float
    mean_trials: float


@cites(
    "Wald, sequential probability ratio test, as in NIST/SEMATECH e-Handbook", place="6.2.6", mark=Mark.COPY
)
def sequential_plan(
    *, good_share: float, bad_share: float, reject_good_risk: float, accept_bad_risk: float
) -> SequentialPlan:
    """Wald's test of a share of failures.

    Args:
        good_share: share of failures that should pass, above 0.
        bad_share: share that should not pass.
        reject_good_risk: chance of refusing the good share, as 0.05.
        accept_bad_risk: chance of accepting the bad share, as 0.10.

    Raises:
        OutOfRange: shares not between 0 and 1, bad not above good, risks of a half or more.

    Example:
        >>> plan = sequential_plan(
        ...     good_share=0.01, bad_share=0.10, reject_good_risk=0.05, accept_bad_risk=0.10
        ... )
        >>> plan.first_accept, plan.reject_at(24)
        (24, 3)
    """
    require_range(
        "good_share",
        good_share,
        "",
        low=1e-9,
        high=1 - 1e-9,
        because="a share of failures between none and all",
        hint="No failure at all can never be told from very few.",
    )
    require_range(
        "bad_share",
        bad_share,
        "",
        low=good_share * (1 + 1e-9),
        high=1 - 1e-9,
        because="above the good share, and below all",
    )
    for name, risk in (("reject_good_risk", reject_good_risk), ("accept_bad_risk", accept_bad_risk)):
        require_range(name, risk, "", low=1e-9, high=0.499, because="our choice; a risk of a half is no test")
    rest = math.log((1.0 - good_share) / (1.0 - bad_share))
    k = math.log(bad_share / good_share) + rest
    single = _single_plan(good_share, bad_share, reject_good_risk, accept_bad_risk)
    return SequentialPlan(
        good_share,
        bad_share,
        reject_good_risk,
        accept_bad_risk,
        math.log((1.0 - reject_good_risk) / accept_bad_risk) / k,
        math.log((1.0 - accept_bad_risk) / reject_good_risk) / k,
        rest / k,
        LONGEST_FACTOR * single,
    )


def _single_plan(good: float, bad: float, reject_good: float, accept_bad: float) -> int:
    """Trials of the least plan of fixed length with the same two risks."""
    from scipy.special import bdtr

    for allowed in range(10_000):
        trials = trials_needed(failure_share=bad, confidence=1.0 - accept_bad, failures_allowed=allowed)
        if float(bdtr(allowed, trials, good)) >= 1.0 - reject_good:
            return trials
    return trials  # shares so close that the plan is longer than anybody walks; it still ends


@cites("Distribution over the failure count, stepped trial by trial", mark=Mark.COMPUTED)
def sequential_outcome(*, plan: SequentialPlan, failure_share: float) -> Outcome:
    """Exact chance to accept, and exact mean number of trials, at a true share of failures.

    Wald's own formulas for the mean are 5 to 50 % too low for plans as short as ours.

    Args:
        plan: the plan, ended at its longest number of trials.
        failure_share: true share, 0 to 1.

    Raises:
        OutOfRange: a share outside 0 to 1.

    Example:
        >>> plan = sequential_plan(
        ...     good_share=0.01, bad_share=0.10, reject_good_risk=0.05, accept_bad_risk=0.10
        ... )
        >>> outcome = sequential_outcome(plan=plan, failure_share=0.01)
        >>> outcome.accept_share, outcome.mean_trials
        (0.978, 30.2)
    """
    require_range("failure_share", failure_share, "", low=0.0, high=1.0, because="a share")
    alive = np.zeros(plan.reject_at(plan.longest) + 2)
    alive[0] = 1.0
    accepted, mean = 0.0, 0.0
    for trials in range(1, plan.longest + 1):
        alive[1:] = alive[1:] * (1.0 - failure_share) + alive[:-1] * failure_share
        alive[0] *= 1.0 - failure_share
        low, high = plan.accept_at(trials), plan.reject_at(trials)
        if low >= 0:
            done = float(alive[: low + 1].sum())
            accepted, mean = accepted + done, mean + trials * done
            alive[: low + 1] = 0.0
        mean += trials * float(alive[high:].sum())
        alive[high:] = 0.0
        if alive.sum() < 1e-15:
            break
    left = float(alive.sum())
    middle = math.floor(_middle(plan, plan.longest))
    return Outcome(accepted + float(alive[: middle + 1].sum()), mean + plan.longest * left)


@cites("Wald, sequential probability ratio test", place="decision after each trial", mark=Mark.COPY)
def sequential_state(*, plan: SequentialPlan, heard: Iterable[bool]) -> Progress:
    """Walk through presses in their order and stop where the plan stops.

    Args:
        plan: the plan.
        heard: one entry for each press, True where it worked; those after the stop are not looked at.

    Returns:
        The state, the trials and failures up to there, and how many more presses without a
        failure would accept (0 once it has stopped).

    Example:
        >>> plan = sequential_plan(
        ...     good_share=0.02, bad_share=0.15, reject_good_risk=0.10, accept_bad_risk=0.10
        ... )
        >>> sequential_state(plan=plan, heard=[True] * 16)
        Progress(state=<SequentialState.ACCEPT: 'accept'>, trials=16, failures=0, more_if_none_fail=0)
    """
    trials = failures = 0
    for press_heard in heard:
        trials += 1
        failures += not press_heard
        if failures <= plan.accept_at(trials):
            return Progress(SequentialState.ACCEPT, trials, failures, 0)
        if failures >= plan.reject_at(trials):
            return Progress(SequentialState.REJECT, trials, failures, 0)
        if trials >= plan.longest:
            accepted = failures <= _middle(plan, trials)
            return Progress(
                SequentialState.ACCEPT if accepted else SequentialState.REJECT, trials, failures, 0
            )
    more = math.ceil((failures + plan.below) / plan.slope - 1e-12) - trials
    return Progress(SequentialState.GO_ON, trials, failures, min(max(more, 1), plan.longest - trials))


def _middle(plan: SequentialPlan, trials: int) -> float:
    return plan.slope * trials + (plan.above - plan.below) / 2.0
