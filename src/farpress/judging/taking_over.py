"""The last judged jobs are kept with what was made of each: findings, and what they were made from.

A room, or one promise or rule in it, is judged again only where something that it read has changed since.
What it read is noted while it judges (`case.reads`), nobody has to say it; so an assessment after an edit
equals one from nothing.
"""

from __future__ import annotations

import threading
from collections.abc import Hashable, Iterator, Sequence
from contextlib import contextmanager
from typing import Final, NamedTuple

from farpress.case.after import CaseAfter, Made, plain_after
from farpress.case.case import Case
from farpress.case.differences import differences
from farpress.case.moved_lines import MovedLines, moved_lines
from farpress.case.reads import ReadKey
from farpress.case.watched import watched_case
from farpress.judging.check import remedies_are_wanted
from farpress.kept.units import forget_with_all

__all__ = ["KEPT", "forget_judged", "taking_over"]

KEPT: Final = 3
"""Jobs kept, the latest; our choice: one that is worked on, and states before."""


_FEW: Final = 12
"""Of a case with so few other fields nobody asks whether one before it is nearer still; our choice: one
change of a value is six to ten, the places it stands in counted."""


class _Judged(NamedTuple):
    """A case, and what was made of it while it was judged."""

    case: Case
    made: dict[Hashable, Made]


_kept: list[_Judged] = []
_lock: Final = threading.Lock()


@contextmanager
def taking_over(case: Case) -> Iterator[CaseAfter]:
    """A copy of a case to judge, which takes over what is the same still of those judged before it.

    What is made of it is kept in its turn, unless it is judged without remedies: then it is a copy that
    something is tried on, and nobody comes back to it.
    """
    with _lock:
        kept = [judged for judged in _kept if judged.case.job.job == case.job.job]
    before, changed, lines = _nearest(case, kept)
    is_whole = remedies_are_wanted()
    reader = watched_case(case) if is_whole else plain_after(case)
    taken = reader.after(before, changed, lines=lines, is_noting=is_whole, offers=is_whole)
    yield reader
    if is_whole:
        with _lock:
            _kept.append(_Judged(case, taken.all_the_same()))
            del _kept[:-KEPT]


@forget_with_all
def forget_judged() -> None:
    """Drop what is kept, as a process that begins."""
    with _lock:
        _kept.clear()


def _nearest(
    case: Case, kept: Sequence[_Judged]
) -> tuple[dict[Hashable, Made], frozenset[ReadKey], MovedLines]:
    """What was made of that kept case which differs in the fewest fields, or in few and is the latest; these
    fields, and the lines that moved.
    """
    differing = []
    for judged in reversed(kept):
        lines = moved_lines(judged.case.equipment, case.equipment)
        differing.append((differences(judged.case, case, lines), lines, judged))
        if len(differing[-1][0]) <= _FEW:
            break
    if not differing:
        return {}, frozenset(), {}
    changed, lines, judged = min(differing, key=lambda found: len(found[0]))
    return judged.made, changed, lines
