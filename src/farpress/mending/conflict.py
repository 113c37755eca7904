"""What stands in the way of a fault that is left: the smallest set of wishes that bars every cure of it.

Every change that could cure the fault is made on top of the plan, whether it was allowed or not. What it
goes against is noted: something kept, forbidden or not paid for, a promise that is then worse, a fault that
is then new, the rule that is broken. The deletion filter leaves of all these the fewest that still bar every
way; for each that remains it is said what giving it up alone would give.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from itertools import islice

from farpress.case.case import Case, promise_id
from farpress.domain.finding import Change, Finding, Link
from farpress.domain.refs import FunctionRef, RuleRef, refs_of
from farpress.judging.remedies.effects import fault_key
from farpress.mending.candidates import Candidate, candidates_of, is_forbidden, touches
from farpress.mending.structural.every import structural_candidates
from farpress.mending.trying import ChangeTrials
from farpress.sources import Mark, cites

__all__ = ["BarredCure", "MendingConflict", "conflict_of", "rules_of", "smallest_conflict"]

_MOST_WAYS = 6
"""So many ways to cure one fault are tried; our choice."""


_BY_RULE = frozenset({"AIR-03"})
"""Checks of a rule whose findings name what the rule is about, and not the rule."""


@dataclass(frozen=True)
class BarredCure:
    """A change that would cure a fault.

    Attributes:
        does: in words.
        minutes: on site.
        stands: what it goes against, each as people name it; never empty.
    """

    does: str
    minutes: int
    stands: frozenset[str]


@dataclass(frozen=True)
class MendingConflict:
    """Why a fault is left.

    Attributes:
        finding: the fault.
        between: the smallest set of wishes that bars every way that was found; empty where there is no way.
        gives: one of these given up → what that alone allows.
        also: what else is to be known, as a sentence each.
    """

    finding: Finding
    between: tuple[str, ...]
    gives: tuple[tuple[str, str], ...]
    also: tuple[str, ...] = ()


@cites(
    "deletion filter for an irreducible infeasible subsystem, Chinneck and Dravnieks, ORSA J. Computing 3(2)",
    edition="1991",
    mark=Mark.MEMORY,
)
def smallest_conflict(stands: Sequence[frozenset[str]]) -> tuple[str, ...]:
    """Wishes of which none can be left out if every way is to stay barred.

    Args:
        stands: for each way what it goes against.

    Returns:
        Sorted; empty where there is no way, or one that goes against nothing.

    Example:
        >>> smallest_conflict([frozenset({"keep R1"}), frozenset({"budget", "keep R1"}), frozenset({"gold"})])
        ('gold', 'keep R1')
    """
    if not stands or not all(stands):
        return ()
    held = sorted(frozenset().union(*stands))
    for wish in list(held):
        others = frozenset(held) - {wish}
        if all(against & others for against in stands):
            held.remove(wish)
    return tuple(held)


def conflict_of(
    finding: Finding,
    trials: ChangeTrials,
    chosen: Sequence[Candidate],
    *,
    forbid: Collection[str] = (),
    keep: Collection[str] = (),
    budget_min: int | None = None,
) -> MendingConflict:
    """Why a fault is left when a plan is made.

    Args:
        finding: it fails after the plan.
        trials: of the job as it stands.
        chosen: the changes of the plan.
        forbid, keep, budget_min: what the user wished, see `farpress.mending.plan.mend`.
    """
    case = trials.case
    base, name = trials.of(chosen), fault_key(finding)
    known = {fault_key(fault) for fault in base.fresh}
    spent = sum(candidate.minutes for candidate in chosen)
    ways = []
    for candidate in _ideas(trials, chosen, finding):
        rest = [other for other in chosen if not candidate.clashes(other)]
        trial = trials.of((*rest, candidate))
        if trial.after is None or name not in trial.cured:
            continue
        stands = {f"--keep {thing}" for thing in keep if touches(candidate, thing)}
        stands |= {f"--forbid {word}" for word in forbid if is_forbidden(candidate, word)}
        if budget_min is not None and spent + candidate.minutes > budget_min:
            stands.add(f"--budget {budget_min}")
        stands |= {f"promise '{promise}'" for promise in trial.worse if promise not in base.worse}
        fresh = (fault for fault in trial.fresh if fault_key(fault) not in known)
        stands |= {words for fault in fresh for words in _in_words(case, fault)}
        ways.append(BarredCure(candidate.does, candidate.minutes, frozenset(stands)))
    ways += _rule_given_up(trials, chosen, finding)
    ways = [way for way in ways if way.stands]
    between = smallest_conflict([way.stands for way in ways])
    gives = [
        (wish, min(alone, key=lambda way: way.minutes).does)
        for wish in between
        if (alone := [way for way in ways if way.stands == {wish}])
    ]
    return MendingConflict(finding, between, tuple(gives), tuple(_contradictions(case, finding)))


def _in_words(case: Case, fault: Finding) -> Iterator[str]:
    """What a new fault goes against: the rules that it breaks, else that something holds."""
    numbers = rules_of(case, fault)
    yield from (_rule_words(case, number) for number in numbers)
    if not numbers:
        yield f"that {fault.about} holds ({fault.code})"


def _ideas(trials: ChangeTrials, chosen: Sequence[Candidate], finding: Finding) -> tuple[Candidate, ...]:
    """What cures a fault when it is made alone, allowed or not; changes of the plan aside."""
    made, name = {candidate.key for candidate in chosen}, fault_key(finding)
    found = (*candidates_of(trials.before.findings), *structural_candidates(trials.case, [finding]))
    cures = (
        candidate
        for candidate in found
        if candidate.key not in made and name in trials.of((candidate,)).cured
    )
    return tuple(islice(cures, _MOST_WAYS))


def _rule_given_up(
    trials: ChangeTrials, chosen: Sequence[Candidate], finding: Finding
) -> Iterator[BarredCure]:
    """A rule that the customer gives up; not where nobody may accept it."""
    if finding.bars:
        return
    for number in rules_of(trials.case, finding):
        given_up = Candidate(
            "the customer signs that it is not kept", (Change(("rules", number - 1), None),), Link.RULE, 0
        )
        trial = trials.of((*chosen, given_up))
        if trial.after is not None and fault_key(finding) in trial.cured:
            yield BarredCure(given_up.does, 0, frozenset({_rule_words(trials.case, number)}))


def rules_of(case: Case, finding: Finding) -> tuple[int, ...]:
    """Numbers of the rules that a finding is about: those it names, or those about what it names."""
    named = [int(rule.path) for rule in refs_of(RuleRef, finding.subjects)]
    functions = {ref.path for ref in refs_of(FunctionRef, finding.subjects)}
    if named or finding.code not in _BY_RULE:
        return tuple(named)
    return tuple(
        number for number, rule in enumerate(case.job.rules, start=1) if not functions.isdisjoint(rule.of)
    )


def _rule_words(case: Case, number: int) -> str:
    rule = case.job.rules[number - 1]
    return f"rule {number} ({rule.says or rule.never})"


def _contradictions(case: Case, finding: Finding) -> Iterator[str]:
    """Promises that ask from a place what a rule about distance forbids there."""
    for number in rules_of(case, finding):
        rule = case.job.rules[number - 1]
        if rule.never != "works beyond" or rule.distance_m is None:
            continue
        for promise in case.job.promises:
            if promise.function not in rule.of:
                continue
            far = _least_distance_m(case, promise.from_, rule.from_)
            if far is not None and far > rule.distance_m:
                yield (
                    f"{_rule_words(case, number)} forbids what '{promise_id(promise)}' asks:"
                    f" {promise.from_} lies {far:.1f} m away, and {rule.distance_m:g} m are allowed"
                )


def _least_distance_m(case: Case, start: str, ends: Sequence[str]) -> float | None:
    """From a place to the nearest of others at the same premises [m]; None where one is not known."""
    found = []
    for premises, house in case.job.premises.items():
        here = case.place(start, premises)
        for end in ends:
            there = case.place(end, premises)
            if here is not None and there is not None and here[0] == there[0] == premises:
                found.append(math.dist(house.places[here[1]].at[:2], house.places[there[1]].at[:2]))
    return min(found, default=None)
