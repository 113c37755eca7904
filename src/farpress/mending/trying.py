"""Changes tried on a copy of a job: judged whole, each set once."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field, replace

from farpress.case.case import Case
from farpress.case.changed import tried_with
from farpress.domain.finding import Assessment, Change, Finding
from farpress.errors import FarpressError
from farpress.judging.assess import assess
from farpress.judging.check import without_remedies
from farpress.judging.remedies.effects import effects_of
from farpress.mending.candidates import Candidate

__all__ = ["ChangeTrial", "ChangeTrials"]


@dataclass(frozen=True)
class ChangeTrial:
    """What a set of changes does.

    Attributes:
        candidates: what was changed.
        after: the assessment of the copy, without remedies; None where the copy cannot be read.
        copy: the changed job; None likewise.
        refused: why it cannot be read.
        cured, fresh, worse: see `farpress.judging.remedies.effects.Effects`.
    """

    candidates: tuple[Candidate, ...]
    after: Assessment | None
    copy: Case | None = None
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
    _offers: dict[int, Assessment] = field(default_factory=dict)
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

    def without(self, candidate: Candidate, trial: ChangeTrial) -> ChangeTrial:
        """The set of a trial without one of its changes."""
        return self.of(other for other in trial.candidates if other.key != candidate.key)

    def with_offers(self, trial: ChangeTrial) -> Assessment:
        """The assessment of a copy that can be read, with what its findings offer."""
        if not trial.candidates:
            return self.before
        assert trial.copy is not None
        if id(trial) not in self._offers:
            self._offers[id(trial)] = assess(replace(trial.copy))
        return self._offers[id(trial)]

    def _judged(self, chosen: tuple[Candidate, ...]) -> ChangeTrial:
        if not chosen:
            return ChangeTrial(chosen, self.before, self.case)
        changes: dict[tuple[str | int, ...], Change] = {}
        for candidate in chosen:
            for change in candidate.changes:
                changes.setdefault(change.path, change)
        try:
            copy = tried_with(self.case, tuple(changes.values()))
            with without_remedies():
                after = assess(copy)
        except FarpressError as error:
            return ChangeTrial(chosen, None, refused=str(error))
        effects = effects_of(self.before, after)
        return ChangeTrial(chosen, after, copy, cured=effects.cured, fresh=effects.fresh, worse=effects.worse)
