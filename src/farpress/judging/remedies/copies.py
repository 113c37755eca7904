"""Copies of a job with changes, each judged once; many of them on all processors at once.

Where the system can split a process in two (Linux, and only one thread running), the copies are judged by
children that have everything the parent has read; elsewhere one after another. Both give the same.
"""

from __future__ import annotations

import os
import sys
import threading
from collections.abc import Callable, Iterable, Sequence
from typing import TYPE_CHECKING, Final

from farpress.case.case import Case
from farpress.case.changed import tried_with
from farpress.domain.finding import Assessment, Change
from farpress.errors import FarpressError
from farpress.judging.check import without_remedies

if TYPE_CHECKING:
    from concurrent.futures import Executor

__all__ = ["judge_copies", "judged_copy"]

FEWEST: Final = 24
"""Copies from which on children help; our choice: fewer are judged here before children have found out again
what this process knows of nets and texts, and cost a third less work."""

Changes = tuple[Change, ...]

_given: list[tuple[Case, Sequence[Changes]]] = []
"""What the children are to judge; they have it from the parent, nothing is sent to them."""


def judged_copy(case: Case, changes: Changes) -> Assessment | None:
    """The changed copy judged; None where it cannot be read, or the job has no file to change."""
    made, name = case.once(_copies), repr(changes)
    if name not in made:
        made[name] = _judged(case, changes)
    return made[name]


def judge_copies(
    case: Case, wanted: Iterable[Changes], *, progress: Callable[[int, int], None] | None = None
) -> None:
    """Judge these copies now, so that `judged_copy` has them.

    Args:
        case: the job that is changed.
        wanted: the changes of each copy; those that are judged already are left alone.
        progress: told how many copies of how many are done; may raise to cancel.
    """
    made = case.once(_copies)
    missing = list({repr(changes): changes for changes in wanted if repr(changes) not in made}.values())
    pool = _children(len(missing))
    if pool is None:
        for done, changes in enumerate(missing):
            if progress is not None:
                progress(done, len(missing))
            judged_copy(case, changes)
        return
    _given.append((case, missing))
    try:
        with pool:
            try:
                for done, after in enumerate(pool.map(_judged_here, range(len(missing)))):
                    if progress is not None:
                        progress(done, len(missing))
                    made[repr(missing[done])] = after
            except BaseException:
                pool.shutdown(wait=True, cancel_futures=True)
                raise
    finally:
        _given.pop()


def _children(copies: int) -> Executor | None:
    """Processes that begin as copies of this one; None where there is no gain in them, or no safety."""
    processors = len(os.sched_getaffinity(0)) if sys.platform == "linux" else 1
    if copies < FEWEST or processors < 2 or threading.active_count() > 1:
        return None
    from concurrent.futures import ProcessPoolExecutor  # takes longer to load than a copy to judge
    from multiprocessing import get_context

    return ProcessPoolExecutor(min(processors, copies), mp_context=get_context("fork"))


def _judged_here(number: int) -> Assessment | None:
    case, wanted = _given[-1]
    return _judged(case, wanted[number])


def _judged(case: Case, changes: Changes) -> Assessment | None:
    from farpress.judging.assess import assess  # the judges offer remedies, and this tries them

    try:
        with without_remedies():
            return assess(tried_with(case, changes))
    except FarpressError:
        return None


def _copies(case: Case) -> dict[str, Assessment | None]:
    """Changes as text → the copy with them judged; several findings offer the same ones."""
    del case
    return {}
