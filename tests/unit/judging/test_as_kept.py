"""An assessment as it is kept comes back as it was."""

from __future__ import annotations

import json

import numpy as np
import pytest

from farpress.case.door import open_job
from farpress.domain.finding import Assessment, Change, Link, Remedy, Verdict
from farpress.judging.as_kept import as_kept, from_kept
from farpress.judging.assess import assess
from helpers.assessments import finding, small_assessment
from helpers.project import EXAMPLES


def _back(assessment: Assessment) -> Assessment:
    return from_kept(json.loads(json.dumps(as_kept(assessment))))


def test_a_small_assessment_comes_back() -> None:
    """Equal in every field, and promises hold the very findings of the list."""
    back = _back(small_assessment())

    assert back == small_assessment()
    assert all(
        any(found is listed for listed in back.findings)
        for chain in back.promises
        for link in chain.links
        for found in link.findings
    )


@pytest.mark.long
@pytest.mark.parametrize("job", ["larkfen-house", "tallowmere-court", "brindlemark"])
def test_every_example_comes_back(job: str) -> None:
    """Nothing of a real assessment is of a kind that is not kept."""
    assessment = assess(open_job(EXAMPLES / job))

    assert _back(assessment) == assessment


@pytest.mark.parametrize("value", [1, 1.0, 0.1 + 0.2, float("inf"), np.float64(2.5), None])
def test_numbers_keep_every_digit(value: float | None) -> None:
    """And stay whole where they were whole."""
    one = finding("FOB-01", Link.FOB, Verdict.HOLDS, value=value)
    back = _back(Assessment("a", "b", "c", (one,), ())).findings[0].value

    assert back == value
    assert isinstance(back, int) == isinstance(value, int)


@pytest.mark.parametrize(
    "value", [(1, [2, (3,)]), {"a": {"b": [1.5, None]}}, ["dict", []], "text", True, [], ()]
)
def test_values_of_changes_keep_their_kind(value: object) -> None:
    """A tuple stays a tuple, a list a list, a table a table."""
    remedy = Remedy("do", changes=(Change(("premises", 3, "x"), value),))
    one = finding("FOB-01", Link.FOB, Verdict.FAILS, remedies=(remedy,))
    back = _back(Assessment("a", "b", "c", (one,), ())).findings[0].remedies[0]

    assert back == remedy
    assert type(back.changes[0].value) is type(value)


def test_what_json_cannot_give_back_is_not_kept() -> None:
    """An object in a change, a number of another library."""
    odd = finding(
        "FOB-01", Link.FOB, Verdict.FAILS, remedies=(Remedy("do", changes=(Change((), object()),)),)
    )
    number = finding("FOB-01", Link.FOB, Verdict.FAILS, value=np.int64(3))
    for one in (odd, number):
        with pytest.raises(TypeError):
            as_kept(Assessment("a", "b", "c", (one,), ()))
