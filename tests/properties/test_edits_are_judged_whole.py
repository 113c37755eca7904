"""After any edit, what is kept of the job before it changes the time of judging, never a word."""

from __future__ import annotations

import json
from itertools import islice

import pytest

from farpress.case import watched
from farpress.case.case import Case
from farpress.case.changed import with_changes
from farpress.case.door import case_of, open_job
from farpress.catalogue.store import load_catalogue
from farpress.domain.finding import Assessment, Change
from farpress.errors import FarpressError
from farpress.judging.as_json import assessment_json
from farpress.judging.assess import assess
from farpress.judging.check import without_remedies
from farpress.judging.taking_over import forget_judged
from farpress.kept.units import forget_all
from farpress.reach.ways_kept import HEIGHTS, WAYS
from farpress.rehearsal.search import SEARCHES
from helpers.project import EXAMPLES, ROOT
from helpers.random_edits import random_changes, random_edits

pytestmark = pytest.mark.long

KINDS = (WAYS, SEARCHES, HEIGHTS)


def _anew(case: Case) -> Case:
    assert case.document is not None
    return case_of(case.document, load_catalogue(), events=(), folder=case.folder)


@pytest.mark.parametrize(("job", "count"), [("larkfen-house", 3), ("tallowmere-court", 1)])
def test_an_edit_is_judged_as_a_whole_job(job: str, count: int) -> None:
    """Units of the job before the edit in memory, the same through JSON, and none at all."""
    case = open_job(EXAMPLES / job)
    edits = random_edits(case, seed=8)
    made = []
    for _ in range(count):
        says, edited = next(edits)
        forget_judged()
        for units in KINDS:
            units.forget()
        assess(_anew(case))
        for units in KINDS:
            units.made = 0
        after = assess(edited)
        made.append(sum(units.made for units in KINDS))

        forget_judged()
        for units in KINDS:
            written = json.loads(json.dumps(units._carry()))
            units.forget()
            units._begin(written)
        carried = assess(_anew(edited))
        assert sum(units.made for units in KINDS) == 0, says

        forget_judged()
        for units in KINDS:
            units.forget()
        whole = assess(_anew(edited))
        assert after == whole, says
        assert carried == whole, says
        assert assessment_json(after) == assessment_json(whole), says
    assert min(made) == 0 or count == 1  # an edit that touches neither plan nor behaviour makes none anew


def _whole(case: Case) -> Assessment:
    forget_all()
    return assess(_anew(case))


def _is_of_the_plan(says: str) -> bool:
    return any(f".{table}." in says for table in ("walls", "levels", "steel", "places", "slope"))


@pytest.mark.parametrize(
    ("job", "count"), [("larkfen-house", 3), ("tallowmere-court", 2), ("brindlemark", 1)]
)
def test_edits_of_the_plan_are_judged_whole(job: str, count: int) -> None:
    """A wall, an opening, a floor, a place: what rests on ways that stay as they were stands."""
    case = open_job(EXAMPLES / job)
    edits = (edit for edit in random_edits(case, seed=21) if _is_of_the_plan(edit[0]))
    for says, edited in islice(edits, count):
        forget_all()
        before = assess(case)
        after = assess(edited)
        assert assess(case) == before, says
        whole = _whole(edited)
        assert after == whole, says
        assert repr(after) == repr(whole), says


@pytest.mark.parametrize("job", ["sound_house", "quarry-cottage", "drawn"])
def test_changes_of_any_kind_are_judged_whole(job: str) -> None:
    """Entries taken out and given twice move all lines below them, which findings name."""
    case, judged = open_job(ROOT / "tests" / "data" / "jobs" / f"{job}.yaml"), 0
    before = _whole(case)
    for changes in random_changes(case, seed=5):
        try:
            edited = with_changes(case, changes)
        except FarpressError:
            continue
        after = assess(edited)
        whole = _whole(edited)
        assert repr(after) == repr(whole), changes
        assert assess(case) == before, changes
        judged += 1
        if judged == 3:
            break


@pytest.mark.parametrize(
    ("job", "edits"), [("larkfen-house", 5), ("tallowmere-court", 2), ("brindlemark", 2)]
)
def test_edits_one_after_another_are_judged_as_whole_jobs(job: str, edits: int) -> None:
    """Each takes over what is the same still of the job before it, and as a tried copy too."""
    case = open_job(EXAMPLES / job)
    for number in range(edits):
        says, edited = next(random_edits(case, seed=100 + number))
        forget_judged()
        before = assess(case)
        with without_remedies():
            tried = assess(_anew(edited))
        after = assess(edited)
        assert assess(case) == before, says
        whole = _whole(edited)
        assert after == whole, says
        assert assessment_json(after) == assessment_json(whole), says
        words = [
            (found.code, found.about, found.says, found.because, found.verdict) for found in tried.findings
        ]
        assert words == [
            (found.code, found.about, found.says, found.because, found.verdict) for found in whole.findings
        ], says
        case = edited


@pytest.mark.parametrize("field", ["length_m", "via", "for_s"])
def test_a_field_that_is_not_noted_is_found_out(field: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """What these tests hold together: were a field looked at and not noted, the words before would stand."""
    output = ("premises", "larkfen", "receivers", "R1", "outputs", "4")
    change = {
        "length_m": Change((*output, "cable", "length"), "180 m"),
        "via": Change((*output, "via"), "relay-gold-12v"),
        "for_s": Change((*output, "for"), "90 s"),
    }[field]
    case = open_job(EXAMPLES / "larkfen-house")
    edited = with_changes(case, (change,))
    whole = _whole(edited)
    forget_judged()
    assess(case)
    assert assess(_anew(edited)).findings == whole.findings
    forget_judged()
    looking = watched._look_at
    monkeypatch.setattr(
        watched,
        "_look_at",
        lambda name: (lambda model: model._values[name]) if name == field else looking(name),
    )
    watched._watched_kind.cache_clear()
    try:
        assess(case)
        assert assess(_anew(edited)).findings != whole.findings
    finally:
        watched._watched_kind.cache_clear()
