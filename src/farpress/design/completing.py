"""A draft completed in few steps: what its findings offer is made all at once, judged, and kept if less is
left.

A draft is new throughout: nothing that stands is at risk, so changes need not be tried one by one. What is
left then, and what stands that could be in the way, is for mending.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from typing import Final

from farpress.case.case import Case
from farpress.case.changed import tried_with, with_changes
from farpress.domain.finding import Assessment, Change, Finding, Stake, Verdict
from farpress.errors import FarpressError
from farpress.judging.assess import assess
from farpress.judging.check import without_remedies
from farpress.judging.remedies.effects import fault_key
from farpress.mending.candidates import Candidate, candidates_of, is_allowed
from farpress.mending.result import Cured, MendingStep

__all__ = ["Completed", "completed"]

_ROUNDS: Final = 4
"""So often what is offered is made at once; our choice."""

_WEIGHT: Final = {Stake.HARM: 20, Stake.PROMISE: 5, Stake.WEAR: 2, Stake.DUTY: 1}
"""How much a fault of each kind counts against others; our choice."""


@dataclass(frozen=True)
class Completed:
    """A draft with what came to it.

    Attributes:
        case: as it would be read.
        stages: changes of the file, each stage made in what the one before left.
        steps: what was changed, with the faults it is for.
    """

    case: Case
    stages: tuple[tuple[Change, ...], ...] = ()
    steps: tuple[MendingStep, ...] = ()


def completed(case: Case, *, keep: Collection[str] = (), forbid: Collection[str] = ()) -> Completed:
    """Make what findings offer, in rounds, as long as less is left afterwards.

    Args:
        case: the draft.
        keep, forbid: as in mending.
    """
    made = Completed(case)
    for _ in range(_ROUNDS):
        before = assess(made.case)
        offers = _offers(before, keep, forbid)
        kept = _kept(made.case, before, offers)
        if kept is None:
            break
        chosen, after = kept
        stands = {fault_key(finding): finding for finding in after.findings}
        by_key: dict[object, tuple[Candidate, list[Finding]]] = {}
        for finding, candidate in chosen:
            by_key.setdefault(candidate.key, (candidate, []))[1].append(finding)
        changes = tuple(change for candidate, _ in by_key.values() for change in candidate.changes)
        steps = tuple(
            MendingStep(candidate, tuple(Cured(cured, stands.get(fault_key(cured))) for cured in cures))
            for candidate, cures in by_key.values()
        )
        made = Completed(with_changes(made.case, changes), (*made.stages, changes), (*made.steps, *steps))
    return made


_Offer = tuple[Finding, Candidate]


def _offers(before: Assessment, keep: Collection[str], forbid: Collection[str]) -> list[_Offer]:
    """The first change that each fault offers, those that write the same place left out."""
    found: list[_Offer] = []
    for finding in before.findings:
        if finding.verdict is not Verdict.FAILS:
            continue
        for candidate in candidates_of([finding]):
            if is_allowed(candidate, forbid=forbid, keep=keep) and not any(
                candidate.clashes(other) for _, other in found
            ):
                found.append((finding, candidate))
                break
    return found


def _kept(case: Case, before: Assessment, offers: list[_Offer]) -> tuple[list[_Offer], Assessment] | None:
    """Of what is offered what cures its fault when all are made, if less is left then; None where nothing
    is.
    """
    for _ in range(2):
        if not offers:
            return None
        after = _judged(case, offers)
        if after is None:
            return None
        fails = {
            fault_key(finding)
            for finding in after.findings
            if finding.verdict in (Verdict.FAILS, Verdict.UNKNOWN)
        }
        good = [(finding, candidate) for finding, candidate in offers if fault_key(finding) not in fails]
        if len(good) == len(offers):
            return (offers, after) if _weight(after) < _weight(before) else None
        offers = good
    return None


def _judged(case: Case, offers: list[_Offer]) -> Assessment | None:
    try:
        copy = tried_with(case, [change for _, candidate in offers for change in candidate.changes])
        with without_remedies():
            return assess(copy)
    except FarpressError:
        return None


def _weight(assessment: Assessment) -> int:
    return sum(_WEIGHT[finding.stake] for finding in assessment.findings if finding.verdict is Verdict.FAILS)
