"""A mending plan as it is shown and written: steps in order, what each gives, what is left and why."""

from __future__ import annotations

from dataclasses import dataclass

from farpress.case.case import Case
from farpress.domain.finding import Assessment, Finding
from farpress.mending.candidates import Candidate
from farpress.mending.conflict import MendingConflict
from farpress.mending.trying import ChangeTrial

__all__ = ["Cured", "LeastCost", "MendingPlan", "MendingStep"]


@dataclass(frozen=True)
class Cured:
    """A fault that a step cures: as it stood, and as it stands with all steps made; None where it is gone."""

    before: Finding
    after: Finding | None


@dataclass(frozen=True)
class MendingStep:
    """One change of the plan.

    Attributes:
        candidate: what is changed.
        cures: faults that stand again if this step alone is left out.
        averts: faults that the other steps would make without it.
    """

    candidate: Candidate
    cures: tuple[Cured, ...]
    averts: tuple[Finding, ...] = ()


@dataclass(frozen=True)
class LeastCost:
    """What a plan is held against: the least that the changes could take if each did together with others
    what it does alone.

    Attributes:
        options: changes that cure something by themselves and do no harm.
        minutes: of the cheapest set of them [min].
        more_cured: faults that this set would cure and the plan leaves.
        is_proven: the solver has proven that no set is cheaper.
    """

    options: int
    minutes: int
    more_cured: int
    is_proven: bool


@dataclass(frozen=True)
class MendingPlan:
    """What to change, what that gives, what is left.

    Attributes:
        before, after: the assessments.
        steps: in the order of work.
        left: faults that still stand.
        harmful: trials of single changes that cure one of them and do harm elsewhere.
        tried: copies of the job that were judged.
        is_cut_short: it was cancelled; this is the best found until then.
        conflicts: of faults that are left, what stands in the way.
        least: the cheapest set that the solver proposes while the judge has refuted none; None where the
            search was cut short.
        changed: the job with all steps made; its document has the text of the file as it stands, so that
            more is tried on it by `tried_with`, not by `with_changes`.
    """

    before: Assessment
    after: Assessment
    steps: tuple[MendingStep, ...]
    left: tuple[Finding, ...]
    harmful: tuple[ChangeTrial, ...]
    tried: int
    is_cut_short: bool = False
    conflicts: tuple[MendingConflict, ...] = ()
    least: LeastCost | None = None
    changed: Case | None = None

    @property
    def minutes(self) -> int:
        """Work on site [min]."""
        return sum(step.candidate.minutes for step in self.steps)
