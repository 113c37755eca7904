"""Changes tried on a copy of a job: judged whole, each set once."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

from farpress.case.case import Case
from farpress.case.changed import with_changes
from farpress.domain.finding import Assessment, Change, Finding, Stake, Verdict
from farpress.errors import FarpressError
from farpress.judging.assess import assess
from farpress.mending.candidates import Candidate

__all__ = ["ChangeTrial", "ChangeTrials", "fault_key"]


@dataclass(frozen=True)
class ChangeTrial:
    """What a set of changes does.

    Attributes:
        candidates: what was changed.
        after: the assessment of the copy; None where the copy cannot be read.
        refused: why it cannot be read.
        cured: keys of faults that stood before and are gone or hold; what is not known is not cured.
        fresh: faults that did not stand before, and what is not known since and could hurt somebody.
        worse: ids of promises whose word became worse.
    """

    candidates: tuple[Candidate, ...]
    after: Assessment | None
    refused: str = ""
    cured: frozenset[str] = frozenset()
    fresh: tuple[Finding, ...] = ()
    worse: tuple[str, ...] = ()

    @property
    def breaks(self) -> bool:
        """Whether it does harm: cannot be read, makes a new fault, or a promise worse."""
        return self.after is None or bool(self.fresh) or bool(self.worse)


@dataclass
class ChangeTrials:
    """All trials on one job.

    Attributes:
        case: as it stands.
        before: its assessment.
    """

    case: Case
    before: Assessment
    _made: dict[frozenset[object], ChangeTrial] = field(default_factory=dict)

    @property
    def count(self) -> int:
        """Copies that were judged."""
        return len(self._made)

    def of(self, candidates: Iterable[Candidate]) -> ChangeTrial:
        """Try a set of changes, or look up the trial of it."""
        chosen = tuple(candidates)
        name = frozenset(candidate.key for candidate in chosen)
        if name not in self._made:
            self._made[name] = self._judged(chosen)
        return self._made[name]

    def _judged(self, chosen: tuple[Candidate, ...]) -> ChangeTrial:
        changes: dict[tuple[str | int, ...], Change] = {}
        for candidate in chosen:
            for change in candidate.changes:
                changes.setdefault(change.path, change)
        try:
            after = assess(with_changes(self.case, tuple(changes.values())))
        except FarpressError as error:
            return ChangeTrial(chosen, None, str(error))
        stood, stands = _faults(self.before), _faults(after)
        asked = {fault_key(finding): finding for finding in _unknown(after)}
        asked_before = {fault_key(finding) for finding in _unknown(self.before)}
        grave = [
            finding
            for name, finding in asked.items()
            if name not in stood and name not in asked_before and finding.stake is Stake.HARM
        ]
        ranks = {chain.id: chain.verdict.rank for chain in self.before.promises}
        worse = [
            chain.id
            for chain in after.promises
            if chain.verdict.rank > ranks.get(chain.id, Verdict.FAILS.rank)
        ]
        return ChangeTrial(
            chosen,
            after,
            cured=frozenset(set(stood) - set(stands) - set(asked)),
            fresh=(*(finding for name, finding in stands.items() if name not in stood), *grave),
            worse=tuple(worse),
        )


def _faults(assessment: Assessment) -> dict[str, Finding]:
    """Findings that fail, by check and subjects."""
    return {
        fault_key(finding): finding for finding in assessment.findings if finding.verdict is Verdict.FAILS
    }


def _unknown(assessment: Assessment) -> list[Finding]:
    return [finding for finding in assessment.findings if finding.verdict is Verdict.UNKNOWN]


def fault_key(finding: Finding) -> str:
    """One fault, the same before and after a change: its check and what it is about."""
    return f"{finding.code} {' '.join(sorted(subject.tag for subject in finding.subjects))}"
