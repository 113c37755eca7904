"""The service: health, ways out and back over HTTP, a log without names, and no loss when it or its database
is killed.
"""

from __future__ import annotations

import base64
import itertools
import json
import os
import random
import re
import signal
import subprocess
import sys
import threading
import time
import urllib.error
import urllib.request
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

import pytest

from farpress.domain.acts import Note
from farpress.domain.event import happened
from farpress.domain.role import Role
from farpress.errors import FarpressError, InputError, RecordError
from farpress.firm.parcel import parcel_from_json, parcel_json, parcel_of_folder
from farpress.firm.remote import Remote
from farpress.firm.shelf import Firm, start_firm
from farpress.jobfile.merging import MergeRefused
from farpress.record.members import add_member
from farpress.record.store import Record, open_record
from helpers.waiting import NEVER_S, until
from make_jobs import made_job
from survey import ROOT

pytestmark = pytest.mark.long

JOB = made_job(3)


class Running:
    """A service in a process of its own."""

    def __init__(self, database: str, log: Path) -> None:
        """Start it and wait until it takes requests."""
        self._log = log.open("ab")
        words = [sys.executable, "-m", "farpress", "firm", "--database", database, "serve", "--port", "0"]
        self.process = subprocess.Popen(
            words,
            stdout=subprocess.PIPE,
            stderr=self._log,
            text=True,
            env=os.environ | {"PYTHONPATH": str(ROOT / "src")},
        )
        assert self.process.stdout is not None
        line = self.process.stdout.readline()
        found = re.search(r":(\d+)\.", line)
        assert found, f"the service did not start: {line}{log.read_text()}"
        self.address = f"http://127.0.0.1:{found[1]}"

    def end(self, sign: signal.Signals = signal.SIGTERM) -> int:
        """End it, and give its exit code."""
        self.process.send_signal(sign)
        code = self.process.wait(NEVER_S)
        self._log.close()
        return code

    def get(self, path: str, **headers: str) -> tuple[int, bytes]:
        """Status and content."""
        try:
            with urllib.request.urlopen(
                urllib.request.Request(self.address + path, headers=headers), timeout=NEVER_S
            ) as answer:
                return answer.status, answer.read()
        except urllib.error.HTTPError as error:
            return error.code, error.read()


@pytest.fixture
def shelf(record_address: str, tmp_path: Path) -> tuple[Firm, str, str]:
    """A shelf with a job, its address, and the key of its manager."""
    firm, key = start_firm(record_address, name="Hesper Marrow", key=True)
    (tmp_path / "first").mkdir()
    (tmp_path / "first" / "job.yaml").write_text(JOB.text)
    firm.add(tmp_path / "first")
    return firm, record_address, key


@pytest.fixture
def run(tmp_path: Path) -> Iterator[Callable[[str], Running]]:
    """Starts services; those still running are ended."""
    started: list[Running] = []

    def start(database: str) -> Running:
        started.append(Running(database, tmp_path / "service.log"))
        return started[-1]

    yield start
    for one in started:
        if one.process.poll() is None:
            one.end(signal.SIGKILL)


def test_out_and_back_over_http(
    shelf: tuple[Firm, str, str], run: Callable[[str], Running], tmp_path: Path
) -> None:
    """A laptop without the database: copy out, change, back; a second laptop's clash is told with both
    values; the log holds no name.
    """
    firm, database, key = shelf
    service = run(database)
    remote = Remote(service.address, "Hesper Marrow", key)
    one, two = tmp_path / "one", tmp_path / "two"
    assert [entry["job"] for entry in remote.find(JOB.people[0])] == [JOB.name]
    for folder in (one, two):
        remote.check_out(JOB.name, folder)
    (one / "job.yaml").write_text(
        (one / "job.yaml").read_text().replace("region: europe", "region: north america")
    )
    (two / "job.yaml").write_text((two / "job.yaml").read_text().replace("region: europe\n", ""))
    with open_record(one) as record:
        record.append(Note(says="leaf greased"), job=JOB.name, by="installer")

    back = remote.check_in(one, says="moved")

    assert (back.version, back.events_taken) == (2, 1)
    with pytest.raises(MergeRefused) as refused:
        remote.check_in(two)
    assert refused.value.clashes[0].theirs == "north america"
    with pytest.raises(InputError, match="Say who you are"):
        Remote(service.address, "Hesper Marrow", "wrong").find("")
    assert service.end() == 0
    assert "region: north america" in firm.shelf.version(JOB.name).text
    log = (tmp_path / "service.log").read_text()
    lines = [json.loads(line) for line in log.splitlines()]
    assert {line["event"] for line in lines} == {"started", "request", "ended"}
    assert {line.get("route") for line in lines if line["event"] == "request"} >= {
        "/jobs",
        "/jobs/*/out",
        "/jobs/*/in",
    }
    for secret in (JOB.name, JOB.people[0], "Hesper", key, "Vardel", JOB.name.split()[0]):
        assert secret not in log


def test_health_is_told_without_a_key_and_without_names(
    shelf: tuple[Firm, str, str], run: Callable[[str], Running]
) -> None:
    """For a monitor as JSON, for a person as a page."""
    service = run(shelf[1])

    status, content = service.get("/health")
    page_status, page = service.get("/")

    assert (status, page_status) == (200, 200)
    found = json.loads(content)
    assert (found["is_well"], found["jobs"], found["last_backup"]) == (True, 1, "")
    assert b"Everything is well" in page
    assert JOB.name.encode() not in content + page
    assert service.get("/jobs")[0] == 401
    assert service.get("/nothing/here")[0] in (401, 404)
    assert service.get("/jobs/..%2f..%2fetc/out")[0] in (401, 404)


def test_wrong_keys_make_one_wait(shelf: tuple[Firm, str, str], run: Callable[[str], Running]) -> None:
    """After ten wrong ones that name is not listened to from that address for a while, right key or not; no
    other name waits for it, and whoever sends no key locks nobody out.
    """
    service = run(shelf[1])
    assert [service.get("/jobs", Authorization="")[0] for _ in range(12)] == [401] * 12
    wrong = {"Authorization": "Basic " + base64.b64encode(b"Hesper Marrow:abc").decode()}

    seen = [service.get("/jobs", **wrong)[0] for _ in range(11)]

    assert seen == [401] * 10 + [429]
    other = {"Authorization": "Basic " + base64.b64encode(b"Somebody Else:abc").decode()}
    assert service.get("/jobs", **other)[0] == 401


def test_only_loopback_without_a_certificate(shelf: tuple[Firm, str, str]) -> None:
    """The key would be read on the way."""
    from farpress.firm.service import Service, serve

    with pytest.raises(InputError, match="certificate"):
        serve(Service(shelf[0].shelf), host="0.0.0.0", port=0)
    with pytest.raises(InputError, match="https"):
        Remote("http://shelf.example", "a", "b").find("")


def _notes(record: Record) -> list[str]:
    return [note.says for _, note in happened(record.events(job=JOB.name, kinds=("note",)), Note)]


def _changed(text: str, number: int) -> str:
    return text.replace("farpress: 1\n", f"farpress: 1   # change {number}\n", 1)


def _acknowledged(service: Running, key: str, folder: Path, round_: int, chance: random.Random) -> list[str]:
    """Changes the folder again and again and brings it back, until the service is killed; the notes that were
    acknowledged.

    The moment is counted in notes, not in seconds: after one or two that were acknowledged, and then anywhere
    within the next two. So it falls into the work however slow the machine is.
    """
    remote = Remote(service.address, "Hesper Marrow", key)
    told: list[str] = []
    awaited, begun = chance.randint(1, 2), time.monotonic()
    for number in itertools.count(1):
        if len(told) == awaited:
            each = (time.monotonic() - begun) / awaited
            threading.Timer(chance.uniform(0.0, 2.0) * each, service.process.kill).start()
        says = f"{folder.name} {round_}.{number}"
        with open_record(folder) as record:
            record.append(Note(says=says), job=JOB.name, by="installer")
        try:
            remote.check_in(folder)
        except (FarpressError, OSError):
            break
        told.append(says)
    return told


def test_killed_in_the_middle_of_writing_nothing_acknowledged_is_lost(
    shelf: tuple[Firm, str, str], run: Callable[[str], Running], tmp_path: Path
) -> None:
    """Kill -9 of the service at random moments while a laptop brings back: what was acknowledged is there,
    every chain holds, and the rest comes the next time.
    """
    firm, database, key = shelf
    chance = random.Random(7)
    folder = tmp_path / "lap"
    told: list[str] = []
    service = run(database)
    Remote(service.address, "Hesper Marrow", key).check_out(JOB.name, folder)
    for round_ in range(3):
        told += _acknowledged(service, key, folder, round_, chance)
        service.process.wait(NEVER_S)
        service = run(database)
        kept = _notes(firm.shelf.record)
        assert set(told) <= set(kept), f"round {round_}"
        assert firm.shelf.record.breaches() == ()

    Remote(service.address, "Hesper Marrow", key).check_in(folder)

    with open_record(folder) as record:
        written = _notes(record)
    kept = _notes(firm.shelf.record)
    assert sorted(kept) == sorted(written), "each once"
    assert len(told) >= 3, "something was acknowledged at all"


@pytest.mark.database
def test_the_database_is_killed_in_mid_write(tmp_path: Path) -> None:
    """Kill -9 of PostgreSQL's own process while entries are written: each acknowledged one is there after it
    comes back, and so is the same open shelf.
    """
    from helpers.postgres import Server, new_database

    with Server(is_safe=True) as server:
        address = new_database(server.address, "gone")
        firm, _ = start_firm(address)
        record = firm.shelf.record
        record.append(Note(says="before"), job="house", by="me")
        told: list[int] = []
        stopped: list[Any] = []

        def write() -> None:
            try:
                for number in range(100_000):
                    record.append(Note(says=str(number)), job="house", by="me")
                    told.append(number)
            except RecordError as error:
                stopped.append(error)

        writer = threading.Thread(target=write)
        writer.start()
        until(lambda: len(told) >= 25 or stopped, "a crowd of entries is acknowledged")
        server.kill()
        writer.join(NEVER_S)
        assert len(stopped) == 1
        assert "nothing was written" in str(stopped[0])
        with pytest.raises(RecordError):
            record.events()
        from farpress.firm.health import health

        assert not health(firm.shelf).is_well
        server.start()

        kept = {str(event.particulars["says"]) for event in record.events(job="house")}
        assert {str(number) for number in told} <= kept
        assert len(kept) <= len(told) + 2, "at most the one in hand besides"
        assert record.breaches() == ()
        assert health(firm.shelf).is_well
        firm.close()


def test_a_parcel_reads_back_as_it_was(shelf: tuple[Firm, str, str], tmp_path: Path) -> None:
    """Text and back: nothing changes, and nonsense is refused in a sentence."""
    from farpress.firm.moves import check_out

    check_out(shelf[0], JOB.name, tmp_path / "x")
    (tmp_path / "x" / "plan.bin").write_bytes(bytes(range(256)))
    parcel = parcel_of_folder(tmp_path / "x")

    assert parcel_from_json(parcel_json(parcel)) == parcel
    for nonsense in (
        "",
        "[]",
        "{}",
        '{"job": 1}',
        parcel_json(parcel).replace('"files": {', '"files": {"a": "not base64!",'),
        "null",
        "\ud800",
    ):
        with pytest.raises(InputError, match="no parcel"):
            parcel_from_json(nonsense)


@pytest.mark.parametrize("path", ["../out", "/etc/x", "a/../../x", ".ssh/key", "a\\..\\x", "C:x"])
def test_a_path_does_not_lead_out_of_the_folder(
    shelf: tuple[Firm, str, str], tmp_path: Path, path: str
) -> None:
    """What comes off a wire is not trusted."""
    from dataclasses import replace

    from farpress.firm.moves import check_out
    from farpress.firm.parcel import put_into

    check_out(shelf[0], JOB.name, tmp_path / "x")
    parcel = parcel_of_folder(tmp_path / "x")

    with pytest.raises(FarpressError, match="leads out"):
        put_into(tmp_path / "y", replace(parcel, files={path: b"x"}), replaces=None, by="me")


def test_ordinary_members_without_a_key_are_not_let_in(
    shelf: tuple[Firm, str, str], run: Callable[[str], Running]
) -> None:
    """Over the network a name alone is nobody."""
    add_member(shelf[0].shelf.record, "Keyless", Role.READER, by=shelf[0].who)
    service = run(shelf[1])

    with pytest.raises(InputError, match="needs a key"):
        Remote(service.address, "Keyless", "").find("")


def test_a_wrong_key_is_told_though_a_large_parcel_is_on_its_way(
    shelf: tuple[Firm, str, str], run: Callable[[str], Running], tmp_path: Path
) -> None:
    """The refusal arrives in words; it does not look as if the service were gone."""
    from farpress.firm.moves import check_out

    check_out(shelf[0], JOB.name, tmp_path / "x")
    (tmp_path / "x" / "plan.bin").write_bytes(random.Random(1).randbytes(12_000_000))
    service = run(shelf[1])

    with pytest.raises(InputError, match="Say who you are"):
        Remote(service.address, "Hesper Marrow", "wrong").check_in(tmp_path / "x")


def test_a_fault_of_ours_is_logged_by_its_kind_alone(shelf: tuple[Firm, str, str]) -> None:
    """Its text could hold a name; who asked is told that nothing was written."""
    import asyncio

    from farpress.firm.service import Service, make_service_app

    lines: list[str] = []
    service = Service(shelf[0].shelf, log=lines.append)
    service.shelf.give_out = None  # type: ignore[method-assign, assignment]
    key = base64.b64encode(f"Hesper Marrow:{shelf[2]}".encode())
    scope = {
        "type": "http",
        "method": "POST",
        "path": f"/jobs/{JOB.name}/out",
        "query_string": b"",
        "headers": [(b"authorization", b"Basic " + key)],
        "client": ("127.0.0.1", 1),
    }
    sent: list[Any] = []

    async def nothing() -> Any:
        return {"type": "http.request", "body": b"", "more_body": False}

    async def taken(message: Any) -> None:
        sent.append(message)

    with ThreadPoolExecutor(1) as apart:  # a browser may hold this thread's loop
        apart.submit(asyncio.run, make_service_app(service)(scope, nothing, taken)).result()

    assert sent[0]["status"] == 500
    assert b"nothing was written" in sent[1]["body"]
    logged = json.loads(lines[-1])
    assert (logged["fault"], logged["route"], logged["status"]) == ("TypeError", "/jobs/*/out", 500)
    assert JOB.name not in "".join(lines)
