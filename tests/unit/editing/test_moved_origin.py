"""The origin of a plan moved: every number changes, nothing moves."""

from __future__ import annotations

from typing import Any

import pytest

import farpress
from farpress.case.case import Case
from farpress.case.door import open_job
from farpress.domain.job import Job
from farpress.editing.moved_origin import POINT_FIELDS, moved_origin
from farpress.errors import InputError
from farpress.jobfile.text_to_values import values_of
from farpress.reach.ask import promised_links
from helpers.project import EXAMPLES


def _values(case: Case) -> Any:
    assert case.document is not None
    return values_of(case.document.source.text)


def _moved(case: Case, premises: str, x_m: float, y_m: float) -> Case:
    changes = moved_origin(case.job, _values(case), premises, x_m=x_m, y_m=y_m)
    return farpress.change(case, {change.path: change.value for change in changes})


@pytest.fixture(scope="module")
def house() -> Case:
    """The family house."""
    return open_job(EXAMPLES / "larkfen-house")


def test_a_moved_origin_and_back_is_where_it_was(house: Case) -> None:
    """Walls, places, boxes, aerials; heights stay."""
    there = _moved(house, "larkfen", 4.25, -3.0)
    before, after = house.job.premises["larkfen"], there.job.premises["larkfen"]

    assert after.places["street"].at[0] == pytest.approx(before.places["street"].at[0] - 4.25)
    assert after.walls[0].along[1][1] == pytest.approx(before.walls[0].along[1][1] + 3.0)
    assert after.receivers["R1"].at[2:] == before.receivers["R1"].at[2:]
    assert _moved(there, "larkfen", -4.25, 3.0).job == house.job


def test_nothing_that_is_judged_moves_with_the_origin(house: Case) -> None:
    """Each promise is heard as before, to the last digit that a metre rounded to millimetres leaves."""
    there = _moved(house, "larkfen", 10.0, 5.0)
    for box in house.job.premises["larkfen"].receivers:
        before = promised_links(house, "larkfen", box)
        after = promised_links(there, "larkfen", box)
        assert [link.share for link in after] == pytest.approx([link.share for link in before], abs=1e-6)
        assert before


def test_premises_on_one_plan_move_together() -> None:
    """What is drawn on the plan of another has its origin too; a job without it moves one alone."""
    case = open_job(EXAMPLES / "larkfen-house")
    values = _values(case)
    twin = case.job.premises["larkfen"].model_copy(update={"on_plan_of": "larkfen"})
    job = case.job.model_copy(update={"premises": {**case.job.premises, "annexe": twin}})
    values["premises"]["annexe"] = values["premises"]["larkfen"]
    alone = moved_origin(case.job, _values(case), "larkfen", x_m=1.0, y_m=0.0)
    both = moved_origin(job, values, "annexe", x_m=1.0, y_m=0.0)

    assert {change.path[1] for change in both if change.path[0] == "premises"} == {"larkfen", "annexe"}
    assert len([change for change in both if change.path[1] == "annexe"]) == len(
        [change for change in alone if change.path[0] == "premises"]
    )


def test_without_anything_drawn_there_is_nothing_to_move(house: Case) -> None:
    """And premises that are not there are named."""
    with pytest.raises(InputError, match="Nothing is drawn"):
        moved_origin(house.job, {"premises": {"larkfen": {}}}, "larkfen", x_m=1.0, y_m=1.0)
    with pytest.raises(InputError, match="no premises 'moon'"):
        moved_origin(house.job, {}, "moon", x_m=1.0, y_m=1.0)


def test_every_point_of_the_job_file_is_known_by_its_key() -> None:
    """Points are told apart from other lists by their keys: a new one has to be added there."""
    definitions = Job.model_json_schema()["$defs"]
    found = {
        key
        for model in definitions.values()
        for key, schema in model.get("properties", {}).items()
        if "[14, -25]" in str(schema)
    }

    assert found == POINT_FIELDS
