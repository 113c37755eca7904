"""What helps only on top of a plan: two outputs exchanged where the plan's aerial makes both heard."""

from __future__ import annotations

from collections.abc import Iterator

from farpress.case.changed import with_changes
from farpress.domain.finding import Change, Verdict
from farpress.errors import FarpressError
from farpress.mending.candidates import Candidate
from farpress.mending.structural.swaps import swaps
from farpress.mending.trying import ChangeTrial, ChangeTrials

__all__ = ["sets_on_top"]


def sets_on_top(trials: ChangeTrials, plan: ChangeTrial) -> Iterator[tuple[Candidate, ...]]:
    """The plan with one exchange more, for each that could mend what it leaves.

    An output that is exchanged takes along what the plan gave it, a relay or another cable: changes that
    write only there are in the exchange, and fall out of the set.

    Args:
        trials: of the job as it stands.
        plan: the best set until now.
    """
    changes = [change for candidate in plan.candidates for change in candidate.changes]
    if not changes or plan.after is None:
        return
    left = [finding for finding in plan.after.findings if finding.verdict is Verdict.FAILS]
    if all(finding.code != "AIR-01" for finding in left):
        return
    try:
        copy = with_changes(trials.case, tuple({change.path: change for change in changes}.values()))
    except FarpressError:
        return
    for made in swaps(copy, left):
        covered = [candidate for candidate in plan.candidates if candidate.clashes(made)]
        if all(_lies_in(change, made) for candidate in covered for change in candidate.changes):
            yield (*(candidate for candidate in plan.candidates if candidate not in covered), made)


def _lies_in(change: Change, made: Candidate) -> bool:
    """Whether a change writes below what another one writes as a whole."""
    return any(change.path[: len(other.path)] == other.path for other in made.changes)
