"""A record written by version 0.1 is read, verified and understood as it was then, for ever."""

from __future__ import annotations

import json
import shutil
from dataclasses import asdict
from datetime import UTC, datetime
from pathlib import Path

import pytest

from farpress.domain.acts import (
    ACT_KINDS,
    CheckDone,
    ClockBehind,
    FobIssued,
    FobLost,
    FobReceived,
    ListTaken,
    ListUndone,
    LossClosed,
    Note,
    PersonSealed,
    ReadingTaken,
    ReceiverReplaced,
    TrialDone,
    UnknownAct,
)
from farpress.domain.event import Event, canonical, digest_of, happened
from farpress.domain.finding import Verdict
from farpress.judging.register.record import _deletions
from farpress.keys.due import check_register
from farpress.keys.telling import told
from farpress.record.chain import event_from_plain, plain_of
from farpress.record.persons import persons
from farpress.record.register import draw_register
from farpress.record.store import Record, open_record
from farpress.record.union import take_in
from survey import ROOT

DATA = ROOT / "tests" / "data" / "records"
JOB = "larkfen"


@pytest.fixture
def record(tmp_path: Path) -> Record:
    """The record of version 0.1, a copy of it."""
    return open_record(shutil.copy(DATA / "version_0_1.sqlite", tmp_path / "record.sqlite"))


@pytest.fixture
def then() -> list[dict[str, object]]:
    """Its events as version 0.1 read them."""
    return [json.loads(line) for line in (DATA / "version_0_1_events.jsonl").read_text("utf-8").splitlines()]


def test_every_entry_is_read_and_its_chain_holds(record: Record, then: list[dict[str, object]]) -> None:
    """Every kind there is, field by field as it was written; hashes, ends of chains and names too."""
    events = record.events(job=JOB)

    assert [plain_of(event) for event in events] == then
    later = {ClockBehind.kind, ListTaken.kind, ListUndone.kind, PersonSealed.kind}
    assert {event.kind for event in events} >= set(ACT_KINDS) - later
    assert [event for event in events if isinstance(event.act, UnknownAct)] == []
    assert record.breaches() == ()
    assert len(record.ends()) == 2
    assert sorted(person.name for person in persons(record, job=JOB).values()) == [
        "Jasper Quillfeather",
        "Ottilie Marrow",
    ]


def test_the_register_is_the_one_of_then(record: Record) -> None:
    """Drawn from the first entry on, and by way of a snapshot."""
    then = json.loads((DATA / "version_0_1_register.json").read_text("utf-8")) | {"unread": 0}
    for fob in then["fobs"].values():
        fob["remark"] = ""  # version 0.1 took none

    assert json.loads(json.dumps(asdict(draw_register(record.events(job=JOB))))) == then
    assert json.loads(json.dumps(asdict(record.register(job=JOB)))) == then


def test_untidy_bodies_count_as_they_counted_then(record: Record) -> None:
    """Version 0.1 took anything that is JSON; its readers counted "yes" as passed, a number as words, and
    only true as carried over or begun anew.
    """
    events = record.events(job=JOB)

    assert [check.passed for _, check in happened(events, CheckDone)] == [True, True, False]
    assert [check.found for _, check in happened(events, CheckDone)] == ["opens", "", "0"]
    assert [replaced.copied for _, replaced in happened(events, ReceiverReplaced)] == [False, True, False]
    assert [trial.anew for _, trial in happened(events, TrialDone)] == [False, True, False]
    assert [taken.pad_db for _, taken in happened(events, ReadingTaken)] == [0.0, None, None, None]
    assert [closed.evidence for _, closed in happened(events, LossClosed)] == [
        {"larkfen/R1": "pressed, no answer"}
    ]


def test_what_is_made_anew_has_the_same_bytes(record: Record) -> None:
    """An act that is read and written again is the same text, so the same hash: save where version 0.1 kept a
    number for words, words for yes, or one function without a list.
    """
    untidy = {"fob learned", "check done", "fault answered", "receiver replaced", "fob issued"}
    untidy |= {"rights changed", "reading taken", "cell changed", "fault closed"}
    events = record.events(job=JOB)
    same = [event for event in events if canonical(event.act.body()) == event.text]  # type: ignore[union-attr]

    assert {event.kind for event in events} - {event.kind for event in same} <= untidy
    assert len(same) > 85
    given_out = FobIssued(fob="A1", person="", pool="gardeners", buttons=None, valid_to="")
    assert canonical(given_out.body()) == '{"fob":"A1","pool":"gardeners"}', "nothing is written for nothing"
    for event in events:
        assert event_from_plain(plain_of(event)) == event
        assert digest_of(event_from_plain(plain_of(event))) == event.digest


def test_it_goes_on_and_goes_elsewhere_whole(record: Record, tmp_path: Path) -> None:
    """Its own chain is continued; another record takes all of it in."""
    last = record.ends()
    event = record.append(Note(says="today"), job=JOB, by="keeper")
    assert (event.number - 1, event.previous) == last[event.origin]

    with open_record(tmp_path / "other.sqlite") as other:
        with other.transaction(job=JOB, by="keeper") as work:
            assert len(take_in(work.connection, record.events(job=JOB), job=JOB)) == 101
        assert other.breaches() == ()
        assert other.register(job=JOB) == record.register(job=JOB)


def test_what_a_later_version_wrote_is_kept_and_named(tmp_path: Path) -> None:
    """An unknown kind and an unknown field are passed on byte by byte, told in words, and used for
    nothing.
    """
    made: list[tuple[str, dict[str, object]]] = [
        ("fob received", {"fob": "A1", "colour": "red"}),
        ("fob cloned", {"fob": "A1", "from": "A0"}),
        ("fob lost", {"fob": "A1"}),
        ("fob lost", {"where": "street"}),
    ]
    events: list[Event] = []
    for number, (kind, body) in enumerate(made, 1):
        moment = f"2030-01-01T00:00:0{number}.000000Z"
        previous = events[-1].digest if events else ""
        text = canonical(body)
        event = Event("feed", number, JOB, moment, "keeper", kind, text, previous)
        events.append(Event(*list(asdict(event).values())[:-1], digest_of(event)))
    with open_record(tmp_path) as record:
        with record.transaction(job=JOB, by="keeper") as work:
            take_in(work.connection, events, job=JOB)
        read = record.events(job=JOB)

        assert record.breaches() == ()
        assert [event.text for event in read] == [canonical(body) for _, body in made]
        assert read[0].act.model_extra == {"colour": "red"}  # type: ignore[union-attr]
        assert [fob.label for fob in record.register(job=JOB).fobs.values()] == ["A1"]
        assert "does not know the kind 'fob cloned'" in told(read[1], {})
        assert "from A0" in told(read[1], {})
        assert "'fob' is missing" in told(read[3], {})
        assert [lost.fob for _, lost in happened(read, FobLost)] == ["A1"]


def test_a_register_that_leaves_entries_out_says_so(tmp_path: Path) -> None:
    """What cannot be read may have changed any fob: the register counts it, and nothing about it holds."""
    now = datetime(2030, 1, 2, tzinfo=UTC)
    with open_record(tmp_path) as record:
        record.append(FobReceived(fob="A1"), job=JOB, by="keeper")
        assert record.register(job=JOB).unread == 0
        assert check_register(record.register(job=JOB), {}, None, now=now) == ()
        with record.transaction(job=JOB, by="keeper") as work:
            work.add("fob cloned", canonical({"fob": "A1"}))
            work.add("fob lost", canonical({"where": "street"}))
            work.add("note", canonical({"says": "no matter for the register"}))
        register = record.register(job=JOB)
        assert register.unread == 2
        assert record.snapshot_agrees(job=JOB)

    (matter,) = check_register(register, {}, None, now=now)
    assert (matter.urgent, matter.kind) == (0, "not understood")
    assert "2 entries" in matter.says
    assert _deletions(register, [], "today").verdict is Verdict.UNKNOWN
    assert _deletions(draw_register(()), [], "today").verdict is Verdict.HOLDS
