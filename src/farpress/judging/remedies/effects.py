"""What a change of a job does: which faults it cures, which it makes, what it costs elsewhere.

One rule for whoever tries changes: the remedies that are printed, and the plan that mends a whole job.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from farpress.domain.finding import Assessment, Finding, Stake, Verdict

__all__ = ["Effects", "costs_elsewhere", "effects_of", "fault_key"]

_WORTH_SAYING: Final = 0.05
"""A margin that shrinks by less than this share of its limit is not told; our choice."""


@dataclass(frozen=True)
class Effects:
    """What is otherwise after a change.

    Attributes:
        cured: keys of faults that stood before and are gone or hold; what is not known is not cured.
        fresh: faults that did not stand before, and what is not known since and could hurt somebody.
        worse: ids of promises whose word became worse.
    """

    cured: frozenset[str]
    fresh: tuple[Finding, ...]
    worse: tuple[str, ...]

    @property
    def breaks(self) -> bool:
        """Whether something fails, could hurt somebody, or is promised worse than before."""
        return bool(self.fresh) or bool(self.worse)


def fault_key(finding: Finding) -> str:
    """One fault, the same before and after a change: its check and what it is about."""
    return finding.fault_key


def effects_of(before: Assessment, after: Assessment) -> Effects:
    """Hold two assessments of a job side by side."""
    stood, stands = _faults(before), _faults(after)
    asked = {fault_key(finding): finding for finding in _unknown(after)}
    asked_before = {fault_key(finding) for finding in _unknown(before)}
    grave = [
        finding
        for name, finding in asked.items()
        if name not in stood and name not in asked_before and finding.stake is Stake.HARM
    ]
    ranks = {chain.id: chain.verdict.rank for chain in before.promises}
    return Effects(
        cured=frozenset(set(stood) - set(stands) - set(asked)),
        fresh=(*(finding for name, finding in stands.items() if name not in stood), *grave),
        worse=tuple(
            chain.id
            for chain in after.promises
            if chain.verdict.rank > ranks.get(chain.id, Verdict.FAILS.rank)
        ),
    )


def costs_elsewhere(before: Assessment, after: Assessment, *, besides: Finding) -> tuple[Finding, ...]:
    """Findings that stand worse after a change and still hold, those nearest their limit first.

    Args:
        before, after: the assessments.
        besides: the finding that the change is for; it is no cost.
    """
    stood = {fault_key(finding): finding for finding in before.findings}
    found = []
    for finding in after.findings:
        name = fault_key(finding)
        was = stood.get(name)
        if was is None or name == fault_key(besides) or was.verdict is Verdict.FAILS:
            continue
        if finding.verdict.rank > was.verdict.rank or _shrinks(was, finding):
            found.append(finding)
    return tuple(sorted(found, key=lambda finding: (-finding.verdict.rank, _relative(finding), finding.key)))


def _shrinks(was: Finding, finding: Finding) -> bool:
    """Whether a margin is smaller by so much that it is told."""
    if was.margin is None or finding.margin is None or not finding.limit:
        return False
    return was.margin - finding.margin > _WORTH_SAYING * abs(finding.limit)


def _relative(finding: Finding) -> float:
    if finding.margin is None or not finding.limit:
        return 1.0
    return finding.margin / abs(finding.limit)


def _faults(assessment: Assessment) -> dict[str, Finding]:
    """Findings that fail, by check and subjects."""
    return {
        fault_key(finding): finding for finding in assessment.findings if finding.verdict is Verdict.FAILS
    }


def _unknown(assessment: Assessment) -> list[Finding]:
    return [finding for finding in assessment.findings if finding.verdict is Verdict.UNKNOWN]
