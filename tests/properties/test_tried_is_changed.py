"""A copy on which a change is tried is the job that would be read had the change been written."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import islice

import pytest

from farpress.case.case import Case
from farpress.case.changed import tried_with, with_changes
from farpress.case.door import open_job
from farpress.domain.finding import Change
from farpress.errors import FarpressError
from farpress.jobfile.grafting import grafted
from farpress.jobfile.node import plain
from farpress.judging.assess import assess
from helpers.project import EXAMPLES
from helpers.random_edits import random_changes


def _made(make: object, case: Case, changes: Sequence[Change]) -> Case | str:
    try:
        return make(case, changes)  # type: ignore[no-any-return, operator]
    except FarpressError as error:
        return str(error)


def _sheets(case: Case) -> dict[str, dict[str, object]]:
    return {
        kind: {name: part.sheet for name, part in getattr(case.equipment, kind).items()}
        for kind in ("fobs", "receivers", "devices", "panels", "supplies", "batteries", "relays", "cables")
    }


def _judged(case: Case) -> list[object]:
    assessment = assess(case)
    words = [
        (chain.id, chain.says, chain.verdict, [link.link for link in chain.links])
        for chain in assessment.promises
    ]
    return [*(replace(finding, sources=()) for finding in assessment.findings), words, assessment.words]


@pytest.mark.long
@pytest.mark.parametrize("job", ["larkfen-house", "brindlemark"])
def test_a_tried_copy_is_the_job_that_would_be_read(job: str) -> None:
    """Changes of every kind: the same model and equipment, or the same faults in the same words."""
    case = open_job(EXAMPLES / job)
    assert case.document is not None
    before, tried = plain(case.document.tree), 0
    for changes in islice(random_changes(case, seed=5), 18):
        quick, slow = _made(tried_with, case, changes), _made(with_changes, case, changes)
        if isinstance(quick, str) or isinstance(slow, str):
            assert quick == slow, changes
            continue
        tried += grafted(case.document.tree, changes) is not None
        assert quick.job == slow.job, changes
        assert _sheets(quick) == _sheets(slow), changes
        assert repr(quick.job) == repr(slow.job), changes
    assert plain(case.document.tree) == before  # it is not changed itself
    assert tried >= 3


@pytest.mark.long
@pytest.mark.parametrize("job", ["larkfen-house", "tallowmere-court"])
def test_a_tried_copy_is_judged_as_the_written_one(job: str) -> None:
    """Every word and figure of every finding and promise is the same; lines named by sources are those of the
    file as it is.
    """
    case = open_job(EXAMPLES / job)
    judged = 0
    for changes in random_changes(case, seed=11):
        quick, slow = _made(tried_with, case, changes), _made(with_changes, case, changes)
        if isinstance(quick, str) or isinstance(slow, str):
            continue
        assert _judged(quick) == _judged(slow), changes
        judged += 1
        if judged == 3:
            break
