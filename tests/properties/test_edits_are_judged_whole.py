"""After any edit, what is kept of the job before it changes the time of judging, never a word."""

from __future__ import annotations

import json

import pytest

from farpress.case.case import Case
from farpress.case.door import case_of, open_job
from farpress.catalogue.store import load_catalogue
from farpress.judging.as_json import assessment_json
from farpress.judging.assess import assess
from farpress.reach.ways_kept import HEIGHTS, WAYS
from farpress.rehearsal.search import SEARCHES
from helpers.project import EXAMPLES
from helpers.random_edits import random_edits

pytestmark = pytest.mark.long

KINDS = (WAYS, SEARCHES, HEIGHTS)


def _anew(case: Case) -> Case:
    assert case.document is not None
    return case_of(case.document, load_catalogue(), events=(), folder=case.folder)


@pytest.mark.parametrize("job", ["larkfen-house", "tallowmere-court", "brindlemark"])
def test_an_edit_is_judged_as_a_whole_job(job: str) -> None:
    """Units of the job before the edit in memory, the same through JSON, and none at all."""
    case = open_job(EXAMPLES / job)
    edits = random_edits(case, seed=8)
    made = []
    for _ in range(3):
        says, edited = next(edits)
        for units in KINDS:
            units.forget()
        assess(_anew(case))
        for units in KINDS:
            units.made = 0
        after = assess(edited)
        made.append(sum(units.made for units in KINDS))

        for units in KINDS:
            written = json.loads(json.dumps(units._carry()))
            units.forget()
            units._begin(written)
        carried = assess(_anew(edited))
        assert sum(units.made for units in KINDS) == 0, says

        for units in KINDS:
            units.forget()
        whole = assess(_anew(edited))
        assert after == whole, says
        assert carried == whole, says
        assert assessment_json(after) == assessment_json(whole), says
    assert min(made) == 0  # an edit that touches neither plan nor behaviour makes none anew
