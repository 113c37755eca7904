"""The record keeps what was acknowledged, in order, and shows what was changed."""

from __future__ import annotations

import hashlib
import json
import sqlite3
from pathlib import Path

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from farpress.domain.acts import FobDeleted, FobHeard, Note, act_named
from farpress.domain.event import digest_of_fields
from farpress.errors import InputError, RecordError
from farpress.record.look import read_events
from farpress.record.store import FILE_NAME, open_record


def test_what_was_appended_is_read_back_in_order(tmp_path: Path) -> None:
    """Events come back in the order they were written, numbered from one."""
    with open_record(tmp_path) as record:
        for text in ("first", "second", "third"):
            record.append(Note(says=text), job="house", by="installer")

        assert [(event.number, event.particulars["says"]) for event in record.events()] == [
            (1, "first"),
            (2, "second"),
            (3, "third"),
        ]
        assert record.breaches() == ()


def test_a_changed_event_shows(tmp_path: Path) -> None:
    """Somebody edits the file behind our back: the chain names the event."""
    with open_record(tmp_path) as record:
        record.append_all([Note(says="a"), Note(says="b"), Note(says="c")], job="house", by="installer")
    with sqlite3.connect(tmp_path / FILE_NAME) as raw:
        raw.execute("DROP TRIGGER event_no_update")
        raw.execute('UPDATE event SET body = \'{"says":"x"}\' WHERE number = 2')
    with open_record(tmp_path) as record:
        assert [breach.number for breach in record.breaches()] == [2]


def test_a_missing_event_shows(tmp_path: Path) -> None:
    """An event taken out of the middle leaves a gap that is named."""
    with open_record(tmp_path) as record:
        record.append_all([Note(says="a"), Note(says="b"), Note(says="c")], job="house", by="installer")
    with sqlite3.connect(tmp_path / FILE_NAME) as raw:
        raw.execute("DROP TRIGGER event_no_delete")
        raw.execute("DELETE FROM event WHERE number = 2")
    with open_record(tmp_path) as record:
        assert record.breaches()[0].says == "event 2 is missing"


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ("DELETE FROM event WHERE number > 1", "events 2 to 3, the last that were written, are missing"),
        ("DELETE FROM event WHERE number = 3", "event 3, the last that was written, is missing"),
        ("DELETE FROM event", "events 1 to 3, the last that were written, are missing"),
        (
            (
                "UPDATE event SET number = CASE number WHEN 2 THEN -3 ELSE -2 END WHERE number > 1; UPDATE"
                " event SET number = -number WHERE number < 0"
            ),
            "does not follow the one before it",
        ),
    ],
)
def test_a_cut_at_the_end_and_an_exchange_show(tmp_path: Path, change: str, says: str) -> None:
    """The end of each chain is noted; two events that change places break the chain between them."""
    with open_record(tmp_path) as record:
        record.append_all([Note(says="a"), Note(says="b"), Note(says="c")], job="house", by="installer")
    with sqlite3.connect(tmp_path / FILE_NAME) as raw:
        raw.execute("DROP TRIGGER event_no_delete")
        raw.execute("DROP TRIGGER event_no_update")
        raw.executescript(change)
    with open_record(tmp_path) as record:
        assert says in " ".join(breach.says for breach in record.breaches())


def test_an_unknown_kind_is_refused_and_nothing_is_written(tmp_path: Path) -> None:
    """All or nothing: a wrong entry in a batch leaves the log as it was."""
    with open_record(tmp_path) as record:
        with pytest.raises(InputError, match="fob lost"):
            record.append_all([Note(says="a"), act_named("fob lots", {})], job="house", by="installer")

        assert record.events() == ()


def test_a_file_that_is_no_database_is_refused_clearly(tmp_path: Path) -> None:
    """A picture renamed to a record gives a sentence, and stays as it was."""
    file = tmp_path / "record.sqlite"
    file.write_bytes(b"GIF89a" * 1000)

    with pytest.raises(RecordError, match=r"could not be opened|nothing was written"):
        open_record(file)
    assert file.read_bytes() == b"GIF89a" * 1000


def test_all_missing_and_unknown_fields_are_named_at_once(tmp_path: Path) -> None:
    """One message lists every fault of an entry and the fields it may have."""
    with (
        open_record(tmp_path) as record,
        pytest.raises(InputError, match=r"'evidence' is missing .*'where' is not a field"),
    ):
        record.append(FobDeleted(fob="A1", receiver="house/R1", where="here"), job="house", by="installer")


@settings(max_examples=60, deadline=None)
@given(words=st.lists(st.text(), min_size=7, max_size=7), number=st.integers(0, 10**9))
def test_the_hash_is_over_the_json_list_of_the_fields(words: list[str], number: int) -> None:
    """SHA-256 of the list as Python's json writes it (RFC 8259), whatever characters stand in it: records of
    every version hash alike.
    """
    origin, job, at, by, kind, text, previous = words
    assume(not any(0xD800 <= ord(one) < 0xE000 for word in words for one in word))
    plain = json.dumps(
        [origin, number, job, at, by, kind, text, previous], ensure_ascii=False, separators=(",", ":")
    )

    assert (
        digest_of_fields(origin, number, job, at, by, kind, text, previous)
        == hashlib.sha256(plain.encode()).hexdigest()
    )


def test_a_body_written_otherwise_shows(tmp_path: Path) -> None:
    """The hash is over the text as it is kept: a space put into it is a change too."""
    with open_record(tmp_path) as record:
        record.append(Note(says="a"), job="house", by="installer")
    with sqlite3.connect(tmp_path / FILE_NAME) as raw:
        raw.execute("DROP TRIGGER event_no_update")
        raw.execute('UPDATE event SET body = \'{"says": "a"}\'')
    with open_record(tmp_path) as record:
        assert [breach.says for breach in record.breaches()] == ["event 1 was changed after it was written"]


def test_the_events_of_one_fob_are_found_by_their_index(tmp_path: Path) -> None:
    """The question as it is asked, explained by SQLite itself: it does not read the whole job."""
    with open_record(tmp_path) as record:
        record.append_all(
            [FobHeard(fob=f"F{at % 7}", receiver=f"house/R{at}") for at in range(70)],
            job="house",
            by="installer",
        )
        asked: list[str] = []
        with record.looking() as connection:
            assert isinstance(connection, sqlite3.Connection)
            connection.set_trace_callback(asked.append)
            found = read_events(connection, job="house", fob="F3")
            plan = " ".join(str(row[3]) for row in connection.execute(f"EXPLAIN QUERY PLAN {asked[0]}"))

    assert [event.number for event in found] == list(range(4, 71, 7))
    assert "event_by_fob" in plan
