"""SQLite and PostgreSQL keep the record alike: order, guards, snapshots, names, upgrade."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest
import sqlalchemy as sa
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from farpress.domain.acts import FobHeard, FobIssued, FobLearned, FobLost, FobReceived, Note, ReceiverReplaced
from farpress.domain.event import Event, canonical, digest_of
from farpress.domain.register import FobState
from farpress.errors import InputError, RecordError
from farpress.record import snapshot
from farpress.record.engine import writing
from farpress.record.migrations import newest, shape_of, upgrade
from farpress.record.persons import add_person, change_person, delete_person, delete_persons_due, persons
from farpress.record.register import draw_register
from farpress.record.shelf_tables import JOB
from farpress.record.snapshot import drawn_in
from farpress.record.store import Record, open_record
from farpress.record.tables import EVENT, METADATA, SNAPSHOT

BY = {"job": "house", "by": "installer"}


def test_the_log_is_read_back_in_order_and_by_fob(record_address: str) -> None:
    """Events of one fob, of one kind, of one job."""
    with open_record(record_address) as record:
        record.append_all(
            [FobReceived(fob="A1"), FobReceived(fob="A2"), FobLost(fob="A1", between='Ødegård’s "yard" ☂')],
            **BY,
        )
        record.append(Note(says="other job"), job="barn", by="installer")

        assert [event.number for event in record.events()] == [1, 2, 3, 1], "each job has a chain of its own"
        assert [event.kind for event in record.events(job="house", fob="A1")] == ["fob received", "fob lost"]
        assert record.events(fob="A1")[1].particulars["between"] == 'Ødegård’s "yard" ☂'
        assert [event.job for event in record.events(kinds=["note"])] == ["barn"]
        assert record.breaches() == ()


@pytest.mark.parametrize(
    "change", ["UPDATE event SET body = '{}' WHERE number = 1", "DELETE FROM event", "REPLACE"]
)
def test_the_guard_refuses_change_and_removal(record_address: str, change: str) -> None:
    """Whoever slips gets a sentence, and the log stays as it was."""
    with open_record(record_address) as record:
        record.append(Note(says="kept"), **BY)
        if change == "REPLACE":
            change = (
                "TRUNCATE event"
                if "://" in record_address
                else (
                    "INSERT OR REPLACE INTO event SELECT origin, number, job, at, 'me', kind, body, previous,"
                    " digest FROM event"
                )
            )
        with pytest.raises(RecordError, match="only ever added to"), writing(record._engine) as connection:
            connection.exec_driver_sql(change)

        assert [event.particulars["says"] for event in record.events()] == ["kept"]
        assert record.breaches() == ()


def test_a_record_from_before_revisions_is_taken_over(record_address: str) -> None:
    """Tables as they were first made, with an entry in them: opened, guarded, nothing lost."""
    from farpress.record.chain import row_of

    unsealed = Event(
        "0123456789abcdef",
        1,
        BY["job"],
        "2026-11-01T08:00:00.000000Z",
        BY["by"],
        "fob received",
        canonical({"fob": "A1"}),
    )
    event = replace(unsealed, digest=digest_of(unsealed))
    engine = sa.create_engine(
        record_address.replace("postgresql://", "postgresql+psycopg://")
        if "://" in record_address
        else f"sqlite:///{record_address}"
    )
    with engine.begin() as connection:
        upgrade(connection, to="0001")
        connection.exec_driver_sql("DROP TABLE alembic_version")
        connection.exec_driver_sql(f"INSERT INTO origin (name, is_own) VALUES ('{event.origin}', 1)")
        connection.execute(sa.insert(EVENT).values(**row_of(event)))
    engine.dispose()

    with open_record(record_address) as record:
        assert record.events() == (event,)
        with record._reading() as connection:
            assert shape_of(connection) == newest()
        assert record.append(Note(says="next"), **BY).previous == event.digest
        with pytest.raises(RecordError, match="only ever added to"), writing(record._engine) as connection:
            connection.exec_driver_sql("DELETE FROM event")


def test_a_record_of_a_later_version_is_left_alone(record_address: str) -> None:
    """The sentence says which shapes are known and what to do."""
    with open_record(record_address) as record, record._writing() as connection:
        connection.exec_driver_sql("UPDATE alembic_version SET version_num = '9999'")
    with pytest.raises(RecordError, match="has shape 9999"):
        open_record(record_address)


def test_what_the_program_expects_is_what_revisions_make(record_address: str) -> None:
    """Tables and columns of `tables.py` equal those in the database."""
    with open_record(record_address) as record, record._writing() as connection:
        found = sa.inspect(connection)
        assert JOB.name in METADATA.tables, "the shelf's tables are among them"
        for name, table in METADATA.tables.items():
            assert [column["name"] for column in found.get_columns(name)] == [
                column.name for column in table.columns
            ]


def _story(record: Record, count: int) -> None:
    entries: list[tuple[str, dict[str, object]]] = []
    for number in range(count):
        fob = f"F{number % 40:03}"
        entries += [
            FobLearned(fob=fob, receiver=f"house/R{number % 3}", output="1", button="1", slot=str(number)),
            FobHeard(fob=fob, receiver="house/R1"),
        ]
    record.append_all(entries, **BY)


def test_the_register_is_the_same_with_and_without_a_snapshot(record_address: str) -> None:
    """Drawn, kept, continued, thrown away: always what the log says."""
    with open_record(record_address) as record:
        _story(record, 150)
        first = record.register(job="house")
        with record._reading() as connection:
            assert connection.execute(sa.select(sa.func.count()).select_from(SNAPSHOT)).scalar() == 1
        record.append(FobLost(fob="F001"), **BY)
        record.append(
            FobIssued(fob="F002", pool="visitors", buttons={"1": ["gate", "light"], "4 long": "alarm"}), **BY
        )
        record.append(ReceiverReplaced(receiver="house/R1"), **BY)

        assert first == draw_register(record.events(job="house")[:300])
        assert record.snapshot_agrees(job="house")
        assert record.register(job="house").fobs["F001"].state is FobState.LOST
        assert record.register(job="house").known_at("house/R1") == ()
        record.drop_snapshots()
        assert record.snapshot_agrees(job="house")


def test_a_snapshot_of_another_log_is_not_used(record_address: str) -> None:
    """A covered event that is not the one drawn from makes the register be drawn anew."""
    with open_record(record_address) as record:
        _story(record, 120)
        record.register(job="house")
        with record._writing() as connection:
            connection.execute(
                sa.update(SNAPSHOT).values(
                    register=SNAPSHOT.c.register,
                    covers=sa.func.replace(SNAPSHOT.c.covers, record.events()[-1].digest, "0" * 64),
                )
            )
        with record._reading() as connection:
            assert snapshot._kept(connection, "house") is None
            assert drawn_in(connection, "house").register == draw_register(record.events(job="house"))


def test_an_earlier_event_of_another_origin_makes_it_be_drawn_anew(record_address: str) -> None:
    """Two records joined: what happened before on the other laptop counts before."""
    from dataclasses import replace

    from farpress.domain.event import Event, digest_of
    from farpress.record.chain import row_of

    with open_record(record_address) as record:
        _story(record, 120)
        record.register(job="house")
        other = Event(
            "feed",
            1,
            "house",
            "2020-01-01T00:00:00.000000Z",
            "colleague",
            "fob received",
            canonical({"fob": "OLD", "serial": "77"}),
        )
        with record._writing() as connection:
            connection.execute(sa.insert(EVENT).values(**row_of(replace(other, digest=digest_of(other)))))

        assert record.register(job="house").fobs["OLD"].serial == "77"
        assert record.snapshot_agrees(job="house")
        assert record.breaches() == ()


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    steps=st.lists(
        st.tuples(
            st.sampled_from(
                [
                    "fob received",
                    "fob issued",
                    "fob lost",
                    "fob found",
                    "fob handed in",
                    "fob blocked",
                    "fob released",
                    "fob learned",
                    "fob deleted",
                    "receiver replaced",
                ]
            ),
            st.sampled_from(["A", "B"]),
            st.sampled_from(["h/R1", "h/R2"]),
        ),
        max_size=25,
    ),
    cut=st.integers(0, 25),
)
def test_drawing_in_two_parts_is_drawing_at_once(steps: list[tuple[str, str, str]], cut: int) -> None:
    """A fold can be stopped anywhere."""
    from farpress.domain.event import Event

    def body(kind: str, fob: str, receiver: str) -> dict[str, object]:
        learned = {"output": "1", "button": "1", "evidence": "tried", "receiver": receiver}
        return (
            {"receiver": receiver} if kind == "receiver replaced" else {"fob": fob, "person": "p1", **learned}
        )

    events = [
        Event("o", n, "h", f"2026-01-01T00:00:00.{n:06}Z", "x", kind, canonical(body(kind, fob, receiver)))
        for n, (kind, fob, receiver) in enumerate(steps, 1)
    ]

    assert draw_register(events[cut:], start=draw_register(events[:cut])) == draw_register(events)


def test_a_transaction_sees_and_writes_as_a_whole(record_address: str) -> None:
    """An error inside leaves neither event nor name."""
    from farpress.record.persons import put_person

    with open_record(record_address) as record:

        def half() -> None:
            with record.transaction(**BY) as work:
                put_person(work, "Ilva Brandt")
                work.append(FobLost())

        with pytest.raises(InputError):
            half()

        assert record.events() == ()
        assert persons(record) == {}


def test_a_deleted_name_is_gone_and_the_log_is_whole(record_address: str) -> None:
    """The proof is an event; the mark stays, the name does not."""
    with open_record(record_address) as record:
        person = add_person(record, "  Quillon   Harbottle ", **BY, contact="01632 960 999")
        record.append(FobIssued(fob="A1", person=person.mark), **BY)
        changed = change_person(
            record,
            person.mark,
            **BY,
            changes={"name": "Quillon Harbottle-Wexcombe", "keep_until": "2026-12-01"},
        )
        assert persons(record, job="house")[person.mark] == changed
        assert delete_persons_due(record, **BY, today=date(2026, 12, 1)) == ()
        (proof,) = delete_persons_due(record, **BY, today=date(2026, 12, 2))

        assert proof.particulars == {"person": person.mark, "why": "retention ended"}
        assert persons(record) == {}
        assert record.register(job="house").fobs["A1"].person == person.mark
        assert record.breaches() == ()
        with pytest.raises(InputError, match="no person with the mark"):
            delete_person(record, person.mark, **BY)
    if "://" not in record_address:
        folder = Path(record_address).parent
        assert [path.name for path in folder.iterdir() if b"Harbottle" in path.read_bytes()] == []


def test_a_date_that_is_none_and_an_empty_name_are_refused(record_address: str) -> None:
    """Each with what to write instead."""
    with open_record(record_address) as record:
        with pytest.raises(InputError, match="write it as year, month and day: 2026-11-25"):
            add_person(record, "A", **BY, keep_until="next year")
        with pytest.raises(InputError, match="needs a name"):
            add_person(record, " ", **BY)
        assert record.events() == ()
