"""Jobs that say something odd but can be read: each is judged or refused, in bounded work, no traceback.

Values are swapped, left out, doubled, made a thousand times larger or smaller, zero, negative, or a word in
another script. `tools/fuzz_meaning.py` runs as many as you like by hand, over the examples too.
"""

from __future__ import annotations

import json
import math
import random
from contextlib import nullcontext
from functools import cache

import pytest

import farpress
from farpress.case.case import Case
from farpress.case.changed import tried_with
from farpress.domain.finding import Change
from farpress.errors import FarpressError
from farpress.judging.as_json import assessment_json
from farpress.judging.check import without_remedies
from farpress.overview.page import first_page
from helpers.project import ROOT
from helpers.work import Work, counted_work
from odd_jobs import odd_changes, places_of

pytestmark = pytest.mark.long

CASES = 32
"""Jobs that are judged; three times as many are refused on the way."""

COUNTED_EACH = 8
"""Of so many judged jobs the work of one is counted, which takes several times as long as judging it."""

MOST_CALLS = 40_000_000
"""Calls of functions that judging one job may take; judging the house from scratch takes a hundredth."""

JOBS = (
    "tests/data/jobs/quarry-cottage.yaml",
    "tests/data/jobs/drawn.yaml",
    "tests/data/jobs/pool.yaml",
    "tests/data/jobs/sound_house.yaml",
)


@cache
def the_case(job: str) -> Case:
    """A job as it stands."""
    return farpress.open_job(ROOT / job)


def tried(case: Case, changes: tuple[Change, ...]) -> tuple[Case | None, str]:
    """The job after the changes, or why it is refused."""
    try:
        return tried_with(case, changes), ""
    except FarpressError as refused:
        return None, str(refused)


def odd_numbers(text: str) -> list[str]:
    """Numbers in JSON that are none."""
    found: list[str] = []
    json.loads(text, parse_constant=found.append)
    return found


@pytest.mark.parametrize("job", JOBS)
def test_an_odd_job_is_judged_or_refused(job: str) -> None:
    """No traceback, no number that is none, no work without end; the same job gives the same words."""
    chance, case, judged = random.Random(f"{job} odd"), the_case(job), 0
    assert case.document is not None
    places = places_of(case.document.tree)
    for _ in range(20 * CASES // len(JOBS)):
        changes = odd_changes(case, chance, places)
        odd, refused = tried(case, changes)
        if odd is None:
            assert refused.strip(), changes
            continue
        counting = counted_work() if judged % COUNTED_EACH == 0 else nullcontext(Work())
        with counting as work, without_remedies():
            assessment = farpress.assess(odd)
            page = first_page(assessment)
        assert work.calls < MOST_CALLS, (changes, work.calls)
        assert page
        assert odd_numbers(assessment_json(assessment)) == [], changes
        assert all(
            math.isfinite(number)
            for finding in assessment.findings
            for number in (finding.value, finding.limit, finding.margin, finding.doubt)
            if number is not None
        ), changes
        judged += 1
        if judged == CASES // len(JOBS):
            break
    assert judged == CASES // len(JOBS)
