"""The cheapest set of changes found after which the least is left to mend; each was tried, and all together.

The solver proposes a set from what each change cures alone; the judge looks at the job with all of them made.
What he refutes is not proposed again; what findings offer in the changed job joins what may be chosen. At the
end each change is left out once: what nothing depends on is not shown.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable
from typing import Final

from farpress.case.case import Case
from farpress.core.mending.choice import Choice, Option, cheapest_choice
from farpress.domain.finding import Finding, Link, Stake, Verdict
from farpress.judging.assess import assess
from farpress.judging.remedies.effects import fault_key
from farpress.mending.candidates import Candidate, candidates_of, is_allowed
from farpress.mending.conflict import MendingConflict, conflict_of
from farpress.mending.on_top import sets_on_top
from farpress.mending.result import Cured, LeastCost, MendingPlan, MendingStep
from farpress.mending.structural.every import structural_candidates
from farpress.mending.trying import ChangeTrial, ChangeTrials
from farpress.mending.words import require_known_words

__all__ = ["mend"]

_ROUNDS: Final = 12
"""Proposals that the judge looks at; our choice."""

_COMPLETING: Final = 3
"""So many times what a change breaks is mended with it, before it is given up; our choice."""

_REPAIRS: Final = 4
"""So many ways to mend a new fault are tried in a round; our choice."""

_MOST_CONFLICTS: Final = 12
"""Of so many faults that are left it is looked for what stands in the way; our choice."""

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
        InputError: the job was made by a program and has no file; something kept or forbidden is unknown.
    """
    require_known_words(case, keep=keep, forbid=forbid)
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
        self.blamed: set[object] = set()
        self.best = trials.of(())
        self.is_cut_short = False

    def run(self) -> None:
        self.try_alone(self.allowed(candidates_of(self.trials.before.findings)))
        self.progress("what could be built", 0, 1)
        cured = {fault for _, trial in self.useful.values() for fault in trial.cured}
        uncured = [finding for name, finding in self.faults.items() if name not in cured]
        self.try_alone(self.allowed(structural_candidates(self.trials.case, uncured)))
        refuted: set[frozenset[object]] = set()
        for number in range(_ROUNDS):
            self.progress("sets of changes", number, _ROUNDS)
            chosen = self.proposal(refuted)
            if chosen is None:
                break
            trial = self.eased(self.repaired(self.trials.of(chosen)))
            if self.score(trial) < self.score(self.best):
                self.best = trial
            promised = {fault for candidate in chosen for fault in self.useful[candidate.key][1].cured}
            if not trial.breaks and promised <= trial.cured:
                break
            refuted.add(frozenset(candidate.key for candidate in chosen))
            if trial.after is not None:
                self.try_alone(self.allowed(candidates_of(self.trials.with_offers(trial).findings)))
        for chosen in sets_on_top(self.trials, self.best):
            self.progress("sets of changes", _ROUNDS, _ROUNDS)
            if len(self.allowed(chosen)) == len(chosen):
                self.best = min(self.best, self.eased(self.repaired(self.trials.of(chosen))), key=self.score)
        self.prune()

    def allowed(self, offered: Iterable[Candidate]) -> tuple[Candidate, ...]:
        """What may be touched and used."""
        return tuple(made for made in offered if is_allowed(made, forbid=self.forbid, keep=self.keep))

    def offered_for_new(self, trial: ChangeTrial) -> tuple[Candidate, ...]:
        """What could mend the faults that changes make, in the changed job."""
        assert trial.copy is not None
        names = {fault_key(finding) for finding in trial.fresh}
        new = [found for found in self.trials.with_offers(trial).findings if fault_key(found) in names]
        return self.allowed((*candidates_of(new), *structural_candidates(trial.copy, new)))

    def repaired(self, trial: ChangeTrial) -> ChangeTrial:
        """A set that makes a new fault, with what mends that; the set itself where nothing does."""
        for _ in range(_COMPLETING):
            if trial.after is None or not trial.breaks:
                break
            trials = [
                self.trials.of((*trial.candidates, more))
                for more in self.offered_for_new(trial)[:_REPAIRS]
                if not any(more.clashes(other) for other in trial.candidates)
            ]
            better = min(trials, key=self.score, default=trial)
            if self.score(better) >= self.score(trial):
                break
            trial = better
        return trial

    def eased(self, trial: ChangeTrial) -> ChangeTrial:
        """A set that does harm, without those of its changes that do: one that keeps the rest. Where it is
        enough to leave out what did harm in a set before, nothing else is tried.
        """
        while trial.breaks and trial.candidates:
            blamed = [candidate for candidate in trial.candidates if candidate.key in self.blamed]
            without = {candidate.key: self.trials.without(candidate, trial) for candidate in blamed}
            if all(shorter.breaks for shorter in without.values()):
                without = {made.key: self.trials.without(made, trial) for made in trial.candidates}
            least = min(without, key=lambda key: self.score(without[key]))
            self.blamed.add(least)
            trial = without[least]
        return trial

    def try_alone(self, candidates: Collection[Candidate]) -> None:
        """Keep the candidates that cure something and break nothing when they are made alone."""
        new = [candidate for candidate in candidates if candidate.key not in self.useful]
        for number, candidate in enumerate(new):
            self.progress("single changes", number, len(new))
            candidate, trial = self.completed(candidate)
            if trial.cured and not trial.breaks:
                self.useful[candidate.key] = (candidate, trial)
            elif trial.cured and trial.after is not None:
                self.harmful[candidate.key] = trial

    def completed(self, candidate: Candidate) -> tuple[Candidate, ChangeTrial]:
        """A change that cures something and makes a new fault, together with what is offered for that."""
        trial = self.trials.of((candidate,))
        for _ in range(_COMPLETING):
            if not (trial.cured and trial.fresh and trial.copy is not None):
                break
            more: dict[str, Candidate] = {}
            names = {fault_key(finding) for finding in trial.fresh}
            for finding in self.trials.with_offers(trial).findings:
                if fault_key(finding) in names:
                    offered = self.allowed(
                        candidates_of([finding]) or structural_candidates(trial.copy, [finding])
                    )
                    apart = [made for made in offered if not made.places & candidate.places]
                    more |= {fault_key(finding): made for made in apart[:1]}
            if not more:
                break
            candidate = candidate.with_more(more.values())
            trial = self.trials.of((candidate,))
        return candidate, trial

    def proposal(self, refuted: Collection[frozenset[object]]) -> tuple[Candidate, ...] | None:
        choice = self.choice(refuted)
        known = [candidate for candidate, _ in self.useful.values()]
        return None if choice is None else tuple(known[number] for number in choice.options)

    def choice(self, refuted: Collection[frozenset[object]]) -> Choice | None:
        """What the solver takes of what is known, by its number."""
        known = list(self.useful.values())
        numbers: dict[object, int] = {candidate.key: number for number, (candidate, _) in enumerate(known)}
        return cheapest_choice(
            options=[
                Option(candidate.minutes, trial.cured, _clashes(candidate, known))
                for candidate, trial in known
            ],
            worth=self.worth(),
            refuted=[frozenset(numbers[key] for key in names) for names in refuted],
            budget=self.budget_min,
        )

    def worth(self) -> dict[str, int]:
        return {name: _WORTH[finding.stake] for name, finding in self.faults.items()}

    def least(self) -> LeastCost | None:
        choice = self.choice(())
        if choice is None:
            return None
        worth = self.worth()
        return LeastCost(
            len(self.useful),
            choice.cost,
            len(self.faults.keys() - choice.left - self.best.cured),
            choice.bound >= choice.cost + sum(worth[fault] for fault in choice.left),
        )

    def score(self, trial: ChangeTrial) -> tuple[int, int, int]:
        """Less is better: harm done, worth of what is left, minutes."""
        left = sum(_WORTH[finding.stake] for name, finding in self.faults.items() if name not in trial.cured)
        harm = 1 if trial.after is None else len(trial.fresh) + len(trial.worse)
        return harm, left, sum(candidate.minutes for candidate in trial.candidates)

    def prune(self) -> None:
        """Leave out what nothing depends on."""
        for candidate in sorted(self.best.candidates, key=lambda candidate: -candidate.minutes):
            without = self.without(candidate)
            if self.score(without) < self.score(self.best):
                self.best = without

    def plan(self) -> MendingPlan:
        best = self.best
        after = self.trials.with_offers(
            best
        )  # the empty set can be read, and only better ones take its place
        stands = {fault_key(finding): finding for finding in after.findings}
        steps = []
        for candidate in best.candidates:
            alone = self.trials.of((candidate,)) if self.is_cut_short else self.without(candidate)
            cured = best.cured & alone.cured if self.is_cut_short else best.cured - alone.cured
            fresh = {fault_key(finding) for finding in best.fresh}
            averts = () if self.is_cut_short else alone.fresh
            steps.append(
                MendingStep(
                    candidate,
                    tuple(Cured(self.faults[name], stands.get(name)) for name in sorted(cured)),
                    tuple(finding for finding in averts if fault_key(finding) not in fresh),
                )
            )
        steps.sort(key=lambda step: (_WORK.index(step.candidate.link), sorted(step.candidate.places)))
        left = [finding for finding in after.findings if finding.verdict is Verdict.FAILS]
        return MendingPlan(
            self.trials.before,
            after,
            tuple(steps),
            tuple(left),
            tuple(self.harmful.values()),
            self.trials.count,
            self.is_cut_short,
            () if self.is_cut_short else tuple(map(self.conflict, left[:_MOST_CONFLICTS])),
            None if self.is_cut_short else self.least(),
            best.copy,
        )

    def conflict(self, finding: Finding) -> MendingConflict:
        self.progress("what stands in the way", 0, 1)
        return conflict_of(
            finding,
            self.trials,
            self.best.candidates,
            forbid=self.forbid,
            keep=self.keep,
            budget_min=self.budget_min,
        )

    def without(self, candidate: Candidate) -> ChangeTrial:
        return self.trials.without(candidate, self.best)


def _clashes(candidate: Candidate, known: Collection[tuple[Candidate, ChangeTrial]]) -> tuple[str, ...]:
    """A name for each pair of changes that cannot both be made, as one lies within what the other writes."""
    number = next(n for n, (other, _) in enumerate(known) if other is candidate)
    return tuple(
        f"{min(number, n)} or {max(number, n)}"
        for n, (other, _) in enumerate(known)
        if n != number and candidate.clashes(other)
    )
