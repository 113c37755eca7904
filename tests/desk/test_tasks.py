"""The job by task: fields saved one by one, entries added, renamed, copied, taken out; nothing is lost."""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any
from urllib.parse import quote

import pytest

from farpress.desk.field_words import known_words
from farpress.desk.task_pages import TASKS
from farpress.jobfile.schema import job_schema
from farpress.jobfile.starter import starter_text
from farpress.jobfile.text_to_values import values_of
from helpers.desk import Served, served

BOX = ["premises", "house", "receivers", "R1"]


@pytest.fixture
def alder(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    """The job that `farpress new` begins with."""
    folder = tmp_path_factory.mktemp("tasks") / "alder"
    folder.mkdir()
    (folder / "job.yaml").write_text(starter_text("Alder"), encoding="utf-8")
    with served(folder) as desk:
        desk.ask("/j/alder/job")
        yield desk


def written(desk: Served) -> Any:
    """The job file as values."""
    return values_of((desk.folder / "job.yaml").read_text(encoding="utf-8"))


def save(desk: Served, path: list[Any], also: list[Any] | None = None, **fields: str) -> Any:
    """Send some fields of an entry; "__" stands for a stroke."""
    values = {key.replace("__", "/"): value for key, value in fields.items()}
    sent = {"values": {"@path": json.dumps(path), **values}, "also": also or []}
    return desk.ask("/j/alder/entry", sent)


def add(desk: Served, path: list[Any], name: str = "", **fields: str) -> Any:
    """Send a new entry."""
    sent = {"@path": json.dumps(path), "@new": "1", "@name": name, **fields}
    return desk.ask("/j/alder/entry", {"values": sent})


def test_keys_of_the_job_file_have_labels_of_the_trade() -> None:
    """All but a few that are newer than the words; every label stands for a key that there is."""
    schema = job_schema()
    keys = {
        *schema["properties"],
        *(key for table in schema["$defs"].values() for key in table.get("properties", ())),
    }

    labelled = {name.rpartition(".")[2] for name in known_words()}  # some in one table only
    assert len(keys - labelled) <= 0.05 * len(keys)
    assert labelled <= keys


def test_every_task_is_a_page(alder: Served) -> None:
    """With the entries of the job in it; an unknown one is refused in words."""
    for task in TASKS:
        page = alder.ask(f"/j/alder/job/{task.name}", headers={"Accept": "text/html"})
        assert page.status == 200, task.name
        assert f"<h1>{task.title}</h1>" in page.text
    assert "as its part says" in alder.ask(f"/j/alder/entry?path={quote(json.dumps(BOX))}").text
    assert "There is no page" in alder.ask("/j/alder/job/cellar").text


def test_fields_that_need_each_other_are_saved_together(alder: Served) -> None:
    """A cable without its part is told at the field that is missing; with it both are written."""
    add(alder, [*BOX, "outputs", ""], "2", kind="toggle")
    alone = save(alder, [*BOX, "outputs", "2"], cable__length="12 m")
    assert alone.status == 422
    assert [fault["field"] for fault in alone.json["faults"]] == ["cable/part"]
    both = save(alder, [*BOX, "outputs", "2"], cable__length="12 m", cable__part="alarm-8x0.22")

    assert both.status == 200
    cable = written(alder)["premises"]["house"]["receivers"]["R1"]["outputs"]["2"]["cable"]
    assert cable == {"length": "12 m", "part": "alarm-8x0.22"}


@pytest.mark.parametrize(
    "spelt", ["open gate + walk", "[open gate, walk]", "open gate; walk", "open gate\nwalk", "open gate,walk"]
)
def test_two_functions_on_a_button_are_both_kept(alder: Served, spelt: str) -> None:
    """However it is written."""
    add(alder, ["functions", ""], "walk", kind="open", output="house/R1/1")
    answer = save(alder, ["groups", "family"], buttons__1=spelt)

    assert answer.status == 200
    assert written(alder)["groups"]["family"]["buttons"]["1"] == ["open gate", "walk"]


def test_a_long_press_stands_beside_a_short_one(alder: Served) -> None:
    """As the field shows it."""
    add(alder, ["functions", ""], "walk", kind="open", output="house/R1/1")
    save(alder, ["groups", "family"], buttons__2="open gate, long: walk")

    assert written(alder)["groups"]["family"]["buttons"]["2"] == {"short": "open gate", "long": "walk"}
    assert 'value="open gate, long: walk"' in alder.ask("/j/alder/job/people").text


def test_a_name_on_two_lines_is_told_and_nothing_is_lost(alder: Served) -> None:
    """In a small table of names and values."""
    answer = save(alder, ["groups", "family"], visits="house: 1 per day\nhouse: 2 per day")

    assert answer.status == 422
    assert "two lines" in answer.json["faults"][0]["says"]


def test_equal_entries_are_made_and_changed_together(alder: Served) -> None:
    """Three places out of one form, then one field of all three."""
    answer = add(alder, ["premises", "house", "places", ""], "spot 1 to 3", at="1, 2")
    assert answer.status == 200
    paths = [["premises", "house", "places", f"spot {number}"] for number in (1, 2, 3)]
    answer = save(alder, paths[0], also=paths[1:], pressed="in car")

    assert answer.status == 200
    places = written(alder)["premises"]["house"]["places"]
    assert [places[f"spot {number}"]["pressed"] for number in (1, 2, 3)] == ["in car"] * 3
    assert save(alder, paths[0], also=[["groups", "family"]], pressed="in hand").status == 422


def test_promises_for_several_are_made_at_once(alder: Served) -> None:
    """Two groups from two places: four promises in one go; one wrong name, and none is made."""
    add(alder, ["groups", ""], "guests", fob="fob-4", count="2")
    count = len(written(alder)["promises"])
    row = {"function": "open gate", "from": "street; porch", "within": "2 presses"}
    refused = add(alder, ["promises", count], to="family; nobody", **row)
    made = add(alder, ["promises", count], to="family; guests", **row)

    assert refused.status == 422
    assert made.status == 200, made.text
    told = [(promise["to"], promise["from"]) for promise in written(alder)["promises"][count:]]
    assert told == [(to, place) for to in ("family", "guests") for place in ("street", "porch")]


def test_an_entry_is_renamed_copied_and_taken_out(alder: Served) -> None:
    """All uses follow; what hangs on it is told before it goes along; Undo brings all of it back."""
    before = written(alder)
    answer = alder.ask("/j/alder/entry/rename", {"path": ["functions", "open gate"], "name": "way in"})
    assert answer.status == 200
    assert {promise["function"] for promise in written(alder)["promises"]} == {"way in"}
    copied = alder.ask("/j/alder/entry/copy", {"path": BOX, "name": "R9"})
    assert copied.status == 200
    boxes = written(alder)["premises"]["house"]["receivers"]
    assert boxes["R9"] == boxes["R1"]
    asked = alder.ask("/j/alder/entry/remove", {"path": ["functions", "way in"]})
    assert "/entry/hanging" in asked.json["open"]
    assert "way in" in written(alder)["functions"]
    told = alder.ask(asked.json["open"])
    assert "Promise 1" in told.text
    gone = alder.ask("/j/alder/entry/remove", {"path": ["functions", "way in"], "along": True})
    assert gone.status == 200
    assert written(alder)["promises"] == []
    for _ in range(3):
        alder.ask("/j/alder/undo", {})

    assert written(alder) == before


@pytest.mark.parametrize("what", ["rename", "copy"])
@pytest.mark.parametrize("name", ["", "  ", "a/b", "R1\u0000", "x" * 200, None, 7.5, []])
def test_a_name_that_is_none_is_refused(alder: Served, what: str, name: object) -> None:
    """The file stays as it is."""
    before = written(alder)
    answer = alder.ask(f"/j/alder/entry/{what}", {"path": BOX, "name": name})

    assert answer.status in (200, 422)
    if name != 7.5:
        assert answer.status == 422
        assert written(alder) == before
