"""An installation without papers is taken over in one step, all of it or nothing, and told what to do."""

from __future__ import annotations

import csv
import shutil
import sqlite3
from contextlib import closing
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from farpress.domain.acts import ReadingTaken, TrialDone
from farpress.domain.event import happened
from farpress.errors import InputError
from farpress.keys.book import open_register
from farpress.upkeep.takeover import TablesFound, Takeover, look_at_takeover, take_over
from survey import ROOT

TODAY = date(2026, 11, 30)
FOBS = (
    ("label", "name", "group", "receiver", "slot", "state"),
    ("LK-1", "Mirela Ostrovane", "parents", "larkfen/R1", "1", "issued"),
    ("LK-3", "Pim Vardel", "cleaner", "larkfen/R1", "3", "issued"),
    ("LK-5", "", "parents", "larkfen/R1", "5", "issued"),
)
MEMORY = (("receiver", "label", "slot"), ("R1", "LK-1", "1"), ("R1", "", "7"), ("R1", "LK-3", "3"))
LEAVERS = (("name", "on"), ("Pim Vardel", "2026-10-31"), ("Nobody Known", "2026-09-01"))
READINGS = (
    ("what", "where", "receiver", "value", "held"),
    ("level", "front path", "R1", "-70 dBm", "in hand"),
    ("volts", "R1.+ to R1.0", "", "7,1 V", ""),
)


def _presses() -> tuple[tuple[str, ...], ...]:
    """Thirty days: the street fails at every hour by turns, all places at six in the evening."""
    rows = [("time", "what", "place", "fob")]
    for day in range(1, 29):
        for hour in (7, 12, 18):
            for place in ("front path", "street"):
                fails = hour == 18 or (place == "street" and day % 2 == 0)
                what = "failed" if fails else "worked"
                rows.append((f"2026-11-{day:02d} {hour:02d}:05:00", what, place, "LK-1"))
    return tuple(rows)


ALL = TablesFound(FOBS, MEMORY, LEAVERS, READINGS, _presses())


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A job of what is known."""
    shutil.copy(ROOT / "examples" / "larkfen-house" / "job.yaml", tmp_path / "job.yaml")
    return tmp_path


@pytest.fixture(scope="module")
def taken(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Takeover]:
    """Everything taken over, once."""
    folder = tmp_path_factory.mktemp("taken")
    shutil.copy(ROOT / "examples" / "larkfen-house" / "job.yaml", folder / "job.yaml")
    return folder, take_over(folder, ALL, by="installer", today=TODAY)


def test_everything_stands_in_the_record(taken: tuple[Path, Takeover]) -> None:
    """Fobs, leaver, memory, readings, presses with the moment on paper; the chain and the file are whole."""
    folder, _ = taken
    with open_register(folder) as book:
        register, events = book.register, book.record.events(job=book.job)
        assert book.record.breaches() == ()
        assert set(register.fobs) == {"LK-1", "LK-3"}
        assert [book.people[mark].name for mark in register.left] == ["Pim Vardel"]
        assert len(register.memory["larkfen/R1"]["records"]) == 3
    presses = [act for _, act in happened(events, TrialDone)]
    assert len(presses) == len(_presses()) - 1
    assert presses[0].noted == "2026-11-01T07:05:00"
    assert [act.value for _, act in happened(events, ReadingTaken)] == [-70.0, 7.1]
    with closing(sqlite3.connect(folder / "record.sqlite")) as connection:
        assert connection.execute("PRAGMA integrity_check").fetchone() == ("ok",)


def test_it_is_told_what_to_do(taken: tuple[Path, Takeover]) -> None:
    """Stop: the unknown slot and the leaver's fob; mend: the volts, the hour and the street; and why."""
    _, done = taken
    stop, mend = "\n".join(done.told.stop), "\n".join(done.told.mend)

    assert "slot 7" in stop
    assert "LK-3" in stop
    assert "7.1 V were read" in mend
    assert "18:00 to 19:00" in mend
    assert "Place street" in mend
    assert list(done.aside) == [4]
    wheres = {cause.where: cause for cause in done.told.causes}
    assert set(wheres) == {"from street", "at 18:00"}
    assert "transmitter" in wheres["at 18:00"].why[0][1]
    assert "Nobody Known stands in no list" in " ".join(done.taken)


def test_presses_count_as_a_second_reader_counts_them(taken: tuple[Path, Takeover], tmp_path: Path) -> None:
    """Failures by the csv module of a table written from the same rows, against the sentence."""
    table = tmp_path / "presses.csv"
    with table.open("w", newline="") as file:
        csv.writer(file).writerows(_presses())
    with table.open(newline="") as file:
        failed = sum(row["what"] == "failed" for row in csv.DictReader(file))

    assert f"{failed} of them failed" in " ".join(taken[1].taken)


def test_the_same_tables_again_add_nothing(taken: tuple[Path, Takeover]) -> None:
    """Readings and presses are known by their rows; the list of fobs is refused, and everything with it."""
    folder, _ = taken
    with open_register(folder) as book:
        before = book.record.size()
    again = take_over(folder, replace(ALL, fobs=(), memory=(), leavers=()), by="installer", today=TODAY)

    assert "Readings: 0 new of 2." in again.taken
    with open_register(folder) as book:
        assert book.record.size() == before


def test_looking_writes_nothing(folder: Path) -> None:
    """Not even a record; the same is told."""
    done = look_at_takeover(folder, ALL, by="installer", today=TODAY)

    assert not done.is_written
    assert "slot 7" in "\n".join(done.told.stop)
    assert [path.name for path in folder.iterdir()] == ["job.yaml"]


def test_one_fault_and_nothing_is_written(folder: Path) -> None:
    """Faults of two tables are told together, each with its row; the good tables are not written either."""
    bad = replace(
        ALL,
        memory=(*MEMORY, ("R77", "LK-9", "9")),
        readings=(*READINGS, ("level", "moon", "R1", "-70", ""), ("ohms", "street", "R1", "7", "")),
    )
    with pytest.raises(InputError) as refused:
        take_over(folder, bad, by="installer", today=TODAY)

    says = str(refused.value)
    assert "memory: row 5: 'R77' is no receiver" in says
    assert "row 4: 'moon' is no place" in says
    assert "row 5: 'ohms' is not read here" in says
    with open_register(folder) as book:
        assert book.record.size() == 0


@pytest.mark.parametrize(
    ("row", "says"),
    [
        (("level", "front path", "R1", "+70", ""), "is no reading"),
        (("level", "front path", "R1", "nan", ""), "is no reading"),
        (("level", "front path", "R1", "-70", "on head"), "no way to hold"),
        (("volts", "R1.+", "", "9", ""), "no two terminals"),
        (("volts", "R1.+ to R1.nowhere", "", "9", ""), "nowhere"),
    ],
)
def test_a_reading_that_is_none_is_refused_with_what_is_allowed(
    folder: Path, row: tuple[str, ...], says: str
) -> None:
    """Each fault in a sentence."""
    with pytest.raises(InputError, match="row 2") as refused:
        look_at_takeover(folder, TablesFound(readings=(READINGS[0], row)), by="installer", today=TODAY)

    assert says in str(refused.value)


def test_nothing_found_is_said(folder: Path) -> None:
    """With the names of the tables."""
    with pytest.raises(InputError, match="fobs, memory, leavers, readings and presses"):
        take_over(folder, TablesFound(), by="installer", today=TODAY)
