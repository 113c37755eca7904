"""Several entries at once out of a table: by the labels of the fields, all rows or none, faults by row."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from farpress.jobfile.starter import starter_text
from farpress.jobfile.text_to_values import values_of
from helpers.desk import Served, served

HOUSE = ["premises", "house"]


@pytest.fixture(scope="module")
def alder(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    """A first job, served once."""
    folder: Path = tmp_path_factory.mktemp("sheets") / "alder"
    folder.mkdir()
    (folder / "job.yaml").write_text(starter_text("Alder"), encoding="utf-8")
    with served(folder) as desk:
        desk.ask("/j/alder/job")
        yield desk


def _values(desk: Served) -> Any:
    return values_of((desk.folder / "job.yaml").read_text(encoding="utf-8"))


def _enter(desk: Served, path: list[Any], table: str) -> Any:
    return desk.ask("/j/alder/entry/table", {"values": {"@path": json.dumps(path), "table": table}})


def test_places_come_out_of_a_spreadsheet(alder: Served) -> None:
    """By the labels that the form shows, tabs between; an empty cell is left out; Undo takes it back."""
    before = _values(alder)
    table = "Name\tWhere\tHow it is pressed\nback gate\t3, 4\tin hand\nlane\t-8, 2\t\n"
    told = _enter(alder, [*HOUSE, "places", ""], table)
    assert told.status == 200, told.text
    places = _values(alder)["premises"]["house"]["places"]
    assert {"back gate", "lane"} <= set(places)
    assert set(places["lane"]) == {"at"}
    alder.ask("/j/alder/undo", {})

    assert _values(alder) == before


def test_parts_of_several_kinds_and_promises_without_names(alder: Served) -> None:
    """Each row is read by its own kind; a list is added to at its end; keys of the file are heads too."""
    told = _enter(
        alder,
        ["parts", ""],
        "name | kind of part | voltage | area | cores\n"
        "my lock | device | 12 V DC | |\nmy cable | cable | | 0.5 mm2 | 4",
    )
    assert told.status == 200, told.text
    assert set(_values(alder)["parts"]) >= {"my lock", "my cable"}
    count = len(_values(alder)["promises"])
    told = _enter(
        alder,
        ["promises", count],
        "to | function | from | within | at_least\n"
        "family | open gate | street | 3 presses | 90 %\nfamily | open gate | porch | 4 presses | 90 %",
    )
    assert told.status == 200, told.text

    assert [row["within"] for row in _values(alder)["promises"][count:]] == ["3 presses", "4 presses"]


@pytest.mark.parametrize(
    ("table", "says"),
    [
        ("", "a first line that says what its columns are"),
        ("name | at", "a first line that says what its columns are"),
        ("where\n3, 4", "One column has to be called 'name'"),
        ("name | wear\nx | 3, 4", "Row 1, column 2: there is no field 'wear'"),
        ("name | at\nstreet | 3, 4", "Row 1: there is a 'street' already"),
        ("name | at\nx | 3, 4\nx | 5, 6", "Row 2: there is a 'x' already"),
        ("name | at\nx | three", "premises.house.places.x.at"),
        ("name | at\na/b | 3, 4\n | 1, 2", "Row 2: give it a name"),
        ("name | at\nx | 3, 4 | extra", "Row 1, column 3: it has no head"),
        ("name\n" + "\n".join(f"p{n}" for n in range(201)), "at most 200"),
    ],
)
def test_what_cannot_be_meant_so_is_told_by_row(alder: Served, table: str, says: str) -> None:
    """And nothing is added."""
    before = _values(alder)
    told = _enter(alder, [*HOUSE, "places", ""], table)

    assert told.status == 422
    assert says in told.json["says"] + "".join(fault["path"] for fault in told.json["faults"])
    assert _values(alder) == before
