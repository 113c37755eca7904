"""The command reach on an example: tables, JSON, maps, refusals."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest
from click.testing import CliRunner

from farpress.cli.reach import command
from farpress.errors import InputError
from farpress.papers.drawings.map_exchange import written_cells
from helpers.project import EXAMPLES

HOUSE = EXAMPLES / "larkfen-house"


def ran(*words: str) -> tuple[str, int]:
    """Standard output and what the command returns."""
    result = CliRunner().invoke(command, [str(HOUSE), *words], standalone_mode=False)
    if result.exception is not None:
        raise result.exception
    return result.stdout, int(result.return_value or 0)


def test_the_budget_adds_up_line_by_line_within_eighty_columns() -> None:
    """The printed lines of the street sum to the printed level."""
    text, code = ran("--receiver", "R1", "--place", "street")
    assert max(len(line) for line in text.splitlines()) <= 80
    assert code == 1
    assert "NOT KEPT" in text
    assert "of 10 people" in text
    found = [
        re.search(r"([+-][\d.]+) dBm?(?: ±.*)?$", line)
        for line in text.splitlines()
        if line.startswith("    ")
    ]
    numbers = [float(one[1]) for one in found if one]
    level = next(
        float(line.split(" dBm")[0].split()[-1]) for line in text.splitlines() if "level, mean" in line
    )
    assert sum(numbers[: numbers.index(level)]) == pytest.approx(level, abs=0.6)


def test_json_holds_every_promise_and_only_numbers() -> None:
    """Chance, budget, sources for each."""
    text, _ = ran("--receiver", "R1", "--format", "json")
    rows = json.loads(text)

    assert {row["receiver"] for row in rows} == {"larkfen/R1"}
    assert all(0.0 <= row["chance"] <= 1.0 and row["sources"] for row in rows)
    assert all(
        sum(line["db"] for line in row["budget"]) == pytest.approx(row["level_dbm"], abs=0.05) for row in rows
    )


def test_a_map_is_written_and_told(tmp_path: Path) -> None:
    """SVG at a coarse grid."""
    text, code = ran(
        "--receiver", "R1", "--level", "ground", "--map", str(tmp_path / "reach.svg"), "--cells", "12"
    )

    assert code == 0
    assert "9 of 10 presses over" in text
    assert (tmp_path / "reach.svg").read_text(encoding="utf-8").startswith("<svg")


@pytest.mark.long
def test_the_next_reading_and_the_ranking_are_printed() -> None:
    """Words, and the same as JSON."""
    words, _ = ran("--receiver", "R2", "--next-reading")
    ranked, _ = ran("--receiver", "R2", "--try-aerial", "--format", "json")

    assert "bit" in words
    assert any(one["does"] == "As today" for one in json.loads(ranked)["larkfen/R2"])


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("--receiver", "R9"), "no receiver 'R9'"),
        (("--receiver", "R1", "--place", "moon"), "no place 'moon'"),
        (("--receiver", "R1", "--aerial-at", "1,2"), "three numbers"),
        (("--map", "x.png", "--aerial-at", "1,2,3"), "moves one aerial"),
        (("--receiver", "R1", "--map", "x.gif"), ".png, .svg or .geojson"),
        (("--receiver", "R1", "--map", "x.svg", "--level", "moon"), "no level 'moon'"),
    ],
)
def test_what_cannot_be_done_is_said(words: tuple[str, ...], says: str) -> None:
    """Names that are there are listed; nothing is written."""
    with pytest.raises(InputError) as refused:
        ran(*words)
    assert says in str(refused.value)


def test_a_picture_says_where_it_lies_and_other_programs_get_the_cells(tmp_path: Path) -> None:
    """PNG with its world file; GeoJSON; without a receiver named, all there are."""
    text, code = ran("--map", str(tmp_path / "reach.png"), "--cells", "12")

    assert code == 0
    assert "larkfen/R1 and R2 and R3" in text
    assert "each spot by the one heard worst" in text
    assert "Faint echoes left out" in text
    assert len((tmp_path / "reach.pgw").read_text(encoding="utf-8").splitlines()) == 6

    ran("--map", str(tmp_path / "reach.geojson"), "--cells", "12")
    cells = written_cells((tmp_path / "reach.geojson").read_text(encoding="utf-8"))
    assert set(cells) == {"larkfen/R1", "larkfen/R2", "larkfen/R3"}
