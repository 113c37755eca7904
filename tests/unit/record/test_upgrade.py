"""A database of every shape there ever was is brought to today's, on both databases, with nothing lost; and
other programs can read it.
"""

from __future__ import annotations

import re
import subprocess
from dataclasses import replace
from pathlib import Path

import pytest
import sqlalchemy as sa

from farpress.domain.acts import Note
from farpress.domain.event import Event, canonical, digest_of
from farpress.record.chain import row_of
from farpress.record.migrations import newest, shape_of, upgrade
from farpress.record.shelf import Shelf
from farpress.record.shelf_rows import Facts
from farpress.record.store import open_record
from farpress.record.tables import EVENT
from survey import ROOT

SHAPES = sorted(
    path.name.partition("_")[0]
    for path in (ROOT / "src" / "farpress" / "record" / "migrations" / "versions").glob("[0-9]*_*.py")
)


def _chain(count: int) -> list[Event]:
    events: list[Event] = []
    for number in range(1, count + 1):
        unsealed = Event(
            "0123456789abcdef",
            number,
            "house",
            f"2026-11-01T08:00:{number:02d}.000000Z",
            "installer",
            "note",
            canonical({"says": f"Ødegård {number}"}),
            events[-1].digest if events else "",
        )
        events.append(replace(unsealed, digest=digest_of(unsealed)))
    return events


@pytest.mark.parametrize("shape", ["before revisions", *SHAPES])
def test_every_shape_is_brought_to_todays(record_address: str, shape: str) -> None:
    """Entries written under the older shape are read, found sound, and followed; the shelf works at once."""
    engine = sa.create_engine(
        record_address.replace("postgresql://", "postgresql+psycopg://")
        if "://" in record_address
        else f"sqlite:///{record_address}"
    )
    events = _chain(5)
    with engine.begin() as connection:
        upgrade(connection, to=SHAPES[0] if shape == "before revisions" else shape)
        if shape == "before revisions":
            connection.exec_driver_sql("DROP TABLE alembic_version")
        connection.exec_driver_sql(f"INSERT INTO origin (name, is_own) VALUES ('{events[0].origin}', 1)")
        connection.exec_driver_sql(
            "INSERT INTO person (mark, job, name) VALUES ('p1', 'house', 'Pim Vardel')"
        )
        connection.execute(sa.insert(EVENT), [row_of(event) for event in events])
    engine.dispose()

    with open_record(record_address) as record:
        assert record.events() == tuple(events)
        assert record.breaches() == ()
        assert record.append(Note(says="next"), job="house", by="me").previous == events[-1].digest, (
            "the chain goes on"
        )
        with record._reading() as connection:
            assert shape_of(connection) == newest()
            assert connection.exec_driver_sql("SELECT name FROM person").scalars().all() == ["Pim Vardel"]
        shelf = Shelf(record)
        assert record.ends()[events[0].origin][0] == 6, "the end is noted, also of chains from before"
        assert shelf.add("house", "farpress: 1\n", "f", Facts(words="x"), files={}, by="me").number == 1


def test_a_job_s_chain_leaves_a_record_of_many_jobs_whole(record_address: str) -> None:
    """Events of two jobs in turn: each job's own events are a chain without gaps, so that one of them can go
    elsewhere.
    """
    from farpress.record.union import take_in

    with open_record(record_address) as record:
        for number in range(6):
            record.append(Note(says=str(number)), job=("house", "barn")[number % 2], by="me")

        for job in ("house", "barn"):
            assert [event.number for event in record.events(job=job)] == [1, 2, 3]
        with (
            open_record(
                Path(record_address).with_name("other.sqlite") if "://" not in record_address else "sqlite://"
            ) as other,
            other.transaction(job="barn", by="me") as work,
        ):
            assert len(take_in(work.connection, record.events(job="barn"), job="barn")) == 3
            assert take_in(work.connection, record.events(job="barn"), job="barn") == (), (
                "a second time nothing is new"
            )


def test_what_pg_dump_writes_is_the_record(postgres: str) -> None:
    """PostgreSQL's own program writes the log out; the entries read out of that text are ours, every
    field.
    """
    from helpers.postgres import new_database

    address = new_database(postgres, "dumped")
    with open_record(address) as record:
        for number in range(20):
            record.append(
                Note(says=f'tab\t"quotes" \\ back, umlaut ü, line {number}'), job="house", by="installer"
            )
        events = record.events()

    done = subprocess.run(
        ["pg_dump", "--data-only", "--table=event", address],
        capture_output=True,
        text=True,
        check=True,
        encoding="utf-8",
    )

    found = re.search(
        r"^COPY public\.event \(([^)]*)\) FROM stdin;\n(.*?)^\\\.$", done.stdout, re.MULTILINE | re.DOTALL
    )
    assert found
    columns = [name.strip().strip('"') for name in found[1].split(",")]
    rows = [
        dict(zip(columns, map(_unescaped, line.split("\t")), strict=True)) for line in found[2].splitlines()
    ]
    assert sorted(rows, key=lambda row: int(row["number"])) == [
        {key: str(value) for key, value in row_of(event).items()} for event in events
    ]


def _unescaped(field: str) -> str:
    """COPY's text format: PostgreSQL documentation, SQL commands, COPY, "Text Format"."""
    signs = {"t": "\t", "n": "\n", "r": "\r", "\\": "\\", "b": "\b", "f": "\f", "v": "\v"}
    return re.sub(r"\\(.)", lambda match: signs.get(match[1], match[1]), field)
