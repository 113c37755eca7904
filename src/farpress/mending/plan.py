"""The cheapest set of changes found after which the least is left to mend; each was tried, and all together.

The solver proposes a set from what each change cures alone; the judge looks at the job with all of them made.
What he refutes is not proposed again; what findings offer in the changed job joins what may be chosen. At the
end each change is left out once: what nothing depends on is not shown.
"""

from __future__ import annotations

from collections.abc import Callable, Collection
from dataclasses import dataclass
from typing import Final

from farpress.case.case import Case
from farpress.core.mending.choice import Option, cheapest_choice
from farpress.domain.finding import Assessment, Finding, Link, Stake, Verdict
from farpress.judging.assess import assess
from farpress.judging.remedies.effects import fault_key
from farpress.mending.candidates import Candidate, candidates_of
from farpress.mending.trying import ChangeTrial, ChangeTrials

__all__ = ["Cured", "MendingPlan", "MendingStep", "mend"]

_ROUNDS: Final = 12
"""Proposals that the judge looks at; our choice."""

_WORTH: Final = {Stake.HARM: 100_000, Stake.PROMISE: 20_000, Stake.WEAR: 5_000, Stake.DUTY: 1_000}
"""What it is worth to cure a fault, in minutes of work: more than any change takes, so that a fault that can
be cured is cured, and where a budget forbids that, the graver one. Our choice."""

_WORK: Final = (
    Link.SUPPLY,
    Link.CONTACT,
    Link.DEVICE,
    Link.PANEL,
    Link.AIR,
    Link.RECEIVER,
    Link.OUTPUT,
    Link.FOB,
    Link.REGISTER,
    Link.RULE,
    Link.SAFETY,
)
"""Order of work: power first, then what is wired, then what is set, then fobs; common practice, no source."""


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
    """

    candidate: Candidate
    cures: tuple[Cured, ...]


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
    """

    before: Assessment
    after: Assessment
    steps: tuple[MendingStep, ...]
    left: tuple[Finding, ...]
    harmful: tuple[ChangeTrial, ...]
    tried: int
    is_cut_short: bool = False

    @property
    def minutes(self) -> int:
        """Work on site [min]."""
        return sum(step.candidate.minutes for step in self.steps)


def mend(
    case: Case,
    *,
    forbid: Collection[str] = (),
    keep: Collection[str] = (),
    budget_min: int | None = None,
    progress: Callable[[str, int, int], None] | None = None,
) -> MendingPlan:
    """Look for the cheapest changes after which everything that can be mended holds.

    Args:
        case: a job that was read from a file.
        forbid: words of what must not be used, as "relay" or the name of a part.
        keep: things that must stay as they are, as "R1".
        budget_min: most minutes that all changes may take.
        progress: told what is done, how many of how many; may raise KeyboardInterrupt to stop with the best.

    Raises:
        InputError: the job was made by a program and has no file.
    """
    search = _Search(ChangeTrials(case, assess(case)), forbid, keep, budget_min, progress)
    try:
        search.run()
    except KeyboardInterrupt:
        search.is_cut_short = True
    return search.plan()


class _Search:
    def __init__(
        self,
        trials: ChangeTrials,
        forbid: Collection[str],
        keep: Collection[str],
        budget_min: int | None,
        progress: Callable[[str, int, int], None] | None,
    ) -> None:
        self.trials, self.forbid, self.keep, self.budget_min = trials, forbid, keep, budget_min
        self.progress = progress or (lambda what, done, of: None)
        self.faults = {
            fault_key(finding): finding
            for finding in trials.before.findings
            if finding.verdict is Verdict.FAILS
        }
        self.useful: dict[object, tuple[Candidate, ChangeTrial]] = {}
        self.harmful: dict[object, ChangeTrial] = {}
        self.best = trials.of(())
        self.is_cut_short = False

    def run(self) -> None:
        self.try_alone(candidates_of(self.trials.before.findings, forbid=self.forbid, keep=self.keep))
        refuted: set[frozenset[object]] = set()
        for number in range(_ROUNDS):
            self.progress("sets of changes", number, _ROUNDS)
            chosen = self.proposal(refuted)
            if chosen is None:
                break
            trial = self.trials.of(chosen)
            if self.score(trial) < self.score(self.best):
                self.best = trial
            promised = {fault for candidate in chosen for fault in self.useful[candidate.key][1].cured}
            if not trial.breaks and promised <= trial.cured:
                break
            refuted.add(frozenset(candidate.key for candidate in chosen))
            if trial.after is not None:
                self.try_alone(candidates_of(trial.after.findings, forbid=self.forbid, keep=self.keep))
        self.prune()

    def try_alone(self, candidates: Collection[Candidate]) -> None:
        """Keep the candidates that cure something and break nothing when they are made alone."""
        new = [candidate for candidate in candidates if candidate.key not in self.useful]
        for number, candidate in enumerate(new):
            self.progress("single changes", number, len(new))
            trial = self.trials.of((candidate,))
            if trial.cured and not trial.breaks:
                self.useful[candidate.key] = (candidate, trial)
            elif trial.cured and trial.after is not None:
                self.harmful[candidate.key] = trial

    def proposal(self, refuted: Collection[frozenset[object]]) -> tuple[Candidate, ...] | None:
        known = list(self.useful.values())
        numbers: dict[object, int] = {candidate.key: number for number, (candidate, _) in enumerate(known)}
        choice = cheapest_choice(
            options=[
                Option(candidate.minutes, trial.cured, tuple(candidate.places)) for candidate, trial in known
            ],
            worth={name: _WORTH[finding.stake] for name, finding in self.faults.items()},
            refuted=[frozenset(numbers[key] for key in names) for names in refuted],
            budget=self.budget_min,
        )
        return None if choice is None else tuple(known[number][0] for number in choice.options)

    def score(self, trial: ChangeTrial) -> tuple[int, int, int]:
        """Less is better: harm done, worth of what is left, minutes."""
        left = sum(_WORTH[finding.stake] for name, finding in self.faults.items() if name not in trial.cured)
        harm = 1 if trial.after is None else len(trial.fresh) + len(trial.worse)
        return harm, left, sum(candidate.minutes for candidate in trial.candidates)

    def prune(self) -> None:
        """Leave out what nothing depends on."""
        for candidate in sorted(self.best.candidates, key=lambda candidate: -candidate.minutes):
            without = self.trials.of(other for other in self.best.candidates if other.key != candidate.key)
            if self.score(without) < self.score(self.best):
                self.best = without

    def plan(self) -> MendingPlan:
        best = self.best
        assert best.after is not None  # the empty set can be read, and only better ones take its place
        stands = {fault_key(finding): finding for finding in best.after.findings}
        steps = []
        for candidate in best.candidates:
            alone = self.trials.of((candidate,)) if self.is_cut_short else self.without(candidate)
            cured = best.cured & alone.cured if self.is_cut_short else best.cured - alone.cured
            steps.append(
                MendingStep(
                    candidate, tuple(Cured(self.faults[name], stands.get(name)) for name in sorted(cured))
                )
            )
        steps.sort(key=lambda step: (_WORK.index(step.candidate.link), sorted(step.candidate.places)))
        left = [finding for finding in best.after.findings if finding.verdict is Verdict.FAILS]
        return MendingPlan(
            self.trials.before,
            best.after,
            tuple(steps),
            tuple(left),
            tuple(self.harmful.values()),
            self.trials.count,
            self.is_cut_short,
        )

    def without(self, candidate: Candidate) -> ChangeTrial:
        return self.trials.of(other for other in self.best.candidates if other.key != candidate.key)
