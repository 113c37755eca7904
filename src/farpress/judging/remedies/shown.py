"""Remedies as they are shown: every change was made on a copy of the job and judged, and helps.

A judge offers what he knows of his own link. Here each offer is tried on the whole: it is shown only where
its finding then holds, nothing else fails, nothing new could hurt somebody, and no promise stands worse. Its
figure is the one that was found then, to the digit; what stands closer to its limit than before is named
beside it. What cannot be a change of the job is a sentence for a person, and carries no figure of its effect.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace
from typing import Final

from farpress.case.case import Case
from farpress.case.evidence import record_stamp
from farpress.domain.finding import Assessment, Change, Finding, Remedy, Verdict
from farpress.judging.remedies.copies import judge_copies, judged_copy
from farpress.judging.remedies.effects import Effects, costs_elsewhere, effects_of, fault_key
from farpress.kept.plain import Plain
from farpress.kept.store import entry_key
from farpress.kept.units import Units
from farpress.overview.headlines import figures
from farpress.phrases import carried_on

__all__ = ["shown_remedies", "with_shown_remedies"]

_MOST_COSTS: Final = 2
"""So many things that stand worse are named; our choice, for one line."""

_NO_COST: Final = frozenset({"AIR-02"})
"""A level that was read with the aerial where it was says nothing of where it is then."""

_KEPT: Final[Units[tuple[Remedy, ...]]] = Units("shown remedies", most=4096, plain=Plain(Remedy, Change))

_QUANTITY: Final = re.compile(r"\d\s?(?:%|[mk]?(?:ohm|A|V|W|VA|Ah)\b|mm2|m\b|s\b|ms\b|min\b|years?\b|dB)")


def with_shown_remedies(
    case: Case, assessment: Assessment, *, progress: Callable[[int, int], None] | None = None
) -> Assessment:
    """The assessment with only those remedies that were tried and help; nothing else is different.

    Args:
        case: the job that was judged; one that was made by a program has no file to change, and what would be
            a change is left out.
        assessment: of it.
        progress: told how many copies of how many are judged; may raise to cancel.
    """
    offering = [finding for finding in assessment.findings if finding.remedies]
    judge_copies(case, _untried(case, assessment, offering), progress=progress)
    shown: dict[int, Finding] = {}
    for finding in offering:
        shown[id(finding)] = replace(finding, remedies=shown_remedies(case, assessment, finding))
    chains = tuple(
        replace(
            chain,
            links=tuple(
                replace(link, findings=tuple(shown.get(id(finding), finding) for finding in link.findings))
                for link in chain.links
            ),
        )
        for chain in assessment.promises
    )
    findings = tuple(shown.get(id(finding), finding) for finding in assessment.findings)
    return replace(assessment, findings=findings, promises=chains)


def shown_remedies(case: Case, assessment: Assessment, finding: Finding) -> tuple[Remedy, ...]:
    """Remedies of one finding as they may be shown: tried changes first, then sentences for a person.

    Where nothing else is left, the change that mends it and breaks something is told, with what it breaks.
    """
    tried: list[Remedy] = []
    breaking: list[Remedy] = []
    for remedy in finding.remedies:
        if remedy.changes:
            for kept in _kept(case, assessment, finding, remedy):
                (tried if kept.changes else breaking).append(kept)
    by_hand = [replace(remedy, effect="") for remedy in finding.remedies if not remedy.changes]
    if tried:  # a figure that nobody tried does not stand beside one that was tried
        by_hand = [remedy for remedy in by_hand if not _QUANTITY.search(remedy.does)]
    return (*tried, *by_hand) or tuple(breaking[:1])


def _untried(case: Case, assessment: Assessment, offering: Iterable[Finding]) -> Iterator[tuple[Change, ...]]:
    """The changes that no kept trial tells of."""
    for finding in offering:
        for remedy in finding.remedies:
            key = _key(case, assessment, finding, remedy)
            if remedy.changes and not (key and _KEPT.has(key)):
                yield remedy.changes


def _kept(case: Case, assessment: Assessment, finding: Finding, remedy: Remedy) -> tuple[Remedy, ...]:
    """The remedy as it is shown, or nothing; tried once for each state of the job's file."""
    key = _key(case, assessment, finding, remedy)
    if not key:
        return _tried(case, assessment, finding, remedy)
    return _KEPT.once(key, lambda: _tried(case, assessment, finding, remedy))


def _key(case: Case, assessment: Assessment, finding: Finding, remedy: Remedy) -> str:
    """A name for all that a trial rests on; empty for a job that has no file."""
    if case.document is None or case.folder is None:
        return ""
    stamp = repr(record_stamp(case.folder))  # a record changes while its job's file does not
    return entry_key(assessment.version, case.fingerprint, stamp, finding.key, repr(remedy))


def _tried(case: Case, assessment: Assessment, finding: Finding, remedy: Remedy) -> tuple[Remedy, ...]:
    """The remedy with what was found after it; where it harms a sentence that says so, without a change;
    nothing where it does not help.
    """
    after = judged_copy(case, remedy.changes)
    if after is None:
        return ()
    name = fault_key(finding)
    stands = [other for other in after.findings if fault_key(other) == name]
    if any(other.verdict.rank > _best_word(finding).rank for other in stands):
        return ()
    effects = effects_of(assessment, after)
    if effects.breaks:
        return (_breaking(remedy, effects, after),)
    costs = costs_elsewhere(assessment, after, besides=finding)
    return (replace(remedy, effect=_effect(stands, costs)),)


def _breaking(remedy: Remedy, effects: Effects, after: Assessment) -> Remedy:
    """A change that mends its finding and breaks something else, as a sentence for a person."""
    harms = [_cost(finding) for finding in effects.fresh]
    harms += [f"{chain.id} then {chain.verdict}" for chain in after.promises if chain.id in effects.worse]
    more = f" and {len(harms) - _MOST_COSTS} more" if len(harms) > _MOST_COSTS else ""
    named = "; ".join(harms[:_MOST_COSTS])
    return Remedy(
        f"Not this alone: “{remedy.does.rstrip('.')}” mends it, but {named}{more}; 'farpress mend' looks"
        " for what mends both"
    )


def _best_word(finding: Finding) -> Verdict:
    """The worst word with which a remedy has helped: one that only just holds must hold well."""
    return Verdict.HOLDS if finding.verdict is Verdict.THIN else Verdict.THIN


def _effect(stands: Iterable[Finding], costs: Iterable[Finding]) -> str:
    """What is found after a change, in words with the figures of that assessment."""
    found = tuple(stands)
    if not found:
        told = "then it does not arise any more"
    elif numbers := figures(found):
        told = f"then {numbers}"
    else:
        told = f"then {carried_on(found[0].says.rstrip('.'))}"
    dear = [cost for cost in costs if cost.code not in _NO_COST][:_MOST_COSTS]
    return "; ".join([told, *map(_cost, dear)])


def _cost(finding: Finding) -> str:
    """What stands worse, in a few words."""
    if finding.verdict is Verdict.UNKNOWN:
        return f"not known then: {finding.about}"
    numbers = figures([finding])
    return f"{finding.about} then {numbers}" if numbers else f"{finding.about} then {finding.verdict}"
