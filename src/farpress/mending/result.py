"""A mending plan as it is shown and written: steps in order, what each gives, what is left and why."""

from __future__ import annotations

from dataclasses import dataclass

from farpress.domain.finding import Assessment, Finding
from farpress.mending.candidates import Candidate
from farpress.mending.conflict import MendingConflict
from farpress.mending.trying import ChangeTrial

__all__ = ["Cured", "MendingPlan", "MendingStep"]


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
    """

    before: Assessment
    after: Assessment
    steps: tuple[MendingStep, ...]
    left: tuple[Finding, ...]
    harmful: tuple[ChangeTrial, ...]
    tried: int
    is_cut_short: bool = False
    conflicts: tuple[MendingConflict, ...] = ()

    @property
    def minutes(self) -> int:
        """Work on site [min]."""
        return sum(step.candidate.minutes for step in self.steps)
