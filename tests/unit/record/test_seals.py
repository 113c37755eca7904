"""Who held a fob is proven, and still forgotten: names changed or taken out by another program show."""

from __future__ import annotations

import sqlite3
from pathlib import Path

import pytest

from farpress.record.name_proof import name_faults
from farpress.record.persons import add_person, change_person, delete_person, persons
from farpress.record.store import open_record

JOB = "larkfen"


@pytest.mark.parametrize(
    ("tampering", "says"),
    [
        (
            "UPDATE person SET name = 'Mallory Innocent' WHERE name = 'Ilva Brandt'",
            "it reads 'Mallory Innocent' now",
        ),
        ("UPDATE person SET organisation = 'Another' WHERE name = 'Ilva Brandt'", "is not the one"),
        ("UPDATE person SET salt = '' WHERE name = 'Ilva Brandt'", "is not the one"),
        ("DELETE FROM person WHERE name = 'Ilva Brandt'", "is missing, and no entry deleted it"),
        ("UPDATE person SET keep_until = '2031-01-01'", ""),
    ],
)
def test_what_another_program_does_to_names_shows(tmp_path: Path, tampering: str, says: str) -> None:
    """By raw SQL, past every door; the date of deletion is no part of the proof."""
    with open_record(tmp_path) as record:
        add_person(record, "Ilva Brandt", job=JOB, by="installer", organisation="Firm")
        add_person(record, "Zoë Łuck", job=JOB, by="installer")
        assert name_faults(record, job=JOB) == ((), 0)
        with sqlite3.connect(tmp_path / "record.sqlite") as raw:
            assert raw.execute(tampering).rowcount > 0
        faults, _ = name_faults(record, job=JOB)

    assert len(faults) == bool(says)
    assert says in "".join(faults)


def test_a_correction_and_a_deletion_stand_and_the_digest_says_nothing_then(tmp_path: Path) -> None:
    """Corrected, it is proven anew; deleted, nothing is left that a list of names could be tried against."""
    with open_record(tmp_path) as record:
        mark = add_person(record, "Ilva Brandt", job=JOB, by="installer").mark
        first = persons(record)[mark].salt
        change_person(record, mark, job=JOB, by="installer", changes={"name": "Ilva Brand"})
        salt = persons(record)[mark].salt
        assert salt != first
        assert name_faults(record, job=JOB) == ((), 0)
        delete_person(record, mark, job=JOB, by="installer")
        assert name_faults(record, job=JOB) == ((), 0)
        assert record.breaches() == ()
    held = (tmp_path / "record.sqlite").read_bytes()
    assert salt.encode() not in held
    assert first.encode() not in held
    assert b"Ilva" not in held


def test_names_of_before_are_counted_and_not_accused(tmp_path: Path) -> None:
    """A name without a seal was entered by an older version: it cannot be proven, and nothing is claimed."""
    with open_record(tmp_path) as record:
        add_person(record, "Ilva Brandt", job=JOB, by="installer")
        with sqlite3.connect(tmp_path / "record.sqlite") as raw:
            raw.execute("INSERT INTO person (mark, job, name) VALUES ('p0', ?, 'Old Name')", (JOB,))

        assert name_faults(record, job=JOB) == ((), 1)
