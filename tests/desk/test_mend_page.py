"""Mend at the desk: a plan found, tried and applied in part, taken back; what cannot be is said in words."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from farpress.jobfile.starter import starter_text
from helpers.desk import Served, served

ASK = {"keep": "", "forbid": "", "budget": ""}


@pytest.fixture(scope="module")
def alder(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    """A gate whose pulse is too short for its drive, found with the mending of the command line."""
    folder = tmp_path_factory.mktemp("mend") / "alder"
    folder.mkdir()
    (folder / "job.yaml").write_text(
        starter_text("Alder").replace("for: 0.5 s", "for: 50 ms"), encoding="utf-8"
    )
    with served(folder) as desk:
        desk.ask("/j/alder/mend")
        yield desk


def test_a_plan_is_found_tried_applied_and_taken_back(alder: Served) -> None:
    """The job file says what the plan said; Undo brings the old text back to the letter."""
    file = alder.folder / "job.yaml"
    before = file.read_text(encoding="utf-8")

    assert alder.ask("/j/alder/mend/try", {"steps": [1]}).status == 422  # there is no plan yet
    found = alder.ask("/j/alder/mend/find", ASK)
    assert found.status == 200
    assert "failed, then" in found.json["says"]
    shown = alder.ask("/j/alder/mend").text
    assert 'name="step" value="1" checked' in shown
    tried = alder.ask("/j/alder/mend/try", {"steps": [1]})
    assert "made on a copy" in tried.json["says"]
    assert file.read_text(encoding="utf-8") == before
    applied = alder.ask("/j/alder/mend/apply", {"steps": [1]})
    assert applied.json["says"].startswith("Saved: mended: 1 of")
    assert file.read_text(encoding="utf-8") != before
    shown = alder.ask("/j/alder/mend").text
    assert 'name="step" value="1" disabled' in shown
    assert "The job has changed since this plan was made" in shown
    again = alder.ask("/j/alder/mend/apply", {"steps": [1]})
    assert again.json["says"].startswith("Nothing was to change")
    alder.ask("/j/alder/undo", {})

    assert file.read_text(encoding="utf-8") == before


@pytest.mark.parametrize(
    ("wish", "says"),
    [
        ({"budget": "an hour"}, "no whole number of minutes"),
        ({"budget": "-5"}, "no whole number of minutes"),
        ({"keep": "R77"}, "Leave as it is: R77"),
        ({"forbid": "unobtainium"}, "Do not use: unobtainium"),
    ],
)
def test_a_wish_that_means_nothing_is_refused(alder: Served, wish: dict[str, str], says: str) -> None:
    """In the words of the page."""
    answer = alder.ask("/j/alder/mend/find", {**ASK, **wish})

    assert answer.status == 422
    assert says in answer.json["says"]


@pytest.mark.parametrize("steps", [[], None, [0], ["1"], [True], [99]])
def test_only_changes_of_the_plan_are_applied(alder: Served, steps: object) -> None:
    """Nothing ticked, or a number that is none."""
    alder.ask("/j/alder/mend/find", ASK)

    assert alder.ask("/j/alder/mend/apply", {"steps": steps}).status == 422
