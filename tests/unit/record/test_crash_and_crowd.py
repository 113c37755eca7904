"""Killed at any moment, or written to by many: nothing acknowledged is lost."""

from __future__ import annotations

import random
import signal
import subprocess
import sys
import time

import pytest

from farpress.record.store import open_record
from helpers.project import ROOT
from helpers.waiting import NEVER_S

pytestmark = pytest.mark.long

WRITER = ROOT / "tests" / "helpers" / "record_writer.py"


def _start(address: str, name: str, count: int) -> subprocess.Popen[str]:
    return subprocess.Popen(
        [sys.executable, str(WRITER), address, name, str(count)], stdout=subprocess.PIPE, text=True
    )


def _kill_once(address: str, name: str, seed: int) -> int:
    """Start a writer, kill it at a random moment while it writes, and give how many entries it was
    acknowledged.

    The moment is counted in entries, not in seconds: after some that were acknowledged, and
    then anywhere within the next two. So it falls into the writing however slow the machine is.
    """
    rng = random.Random(seed)
    writer = _start(address, name, 1_000_000)
    assert writer.stdout is not None
    assert writer.stdout.readline() == "ready\n"
    awaited, begun = rng.randint(0, 6), time.monotonic()
    for number in range(awaited):
        assert writer.stdout.readline() == f"{number}\n"
    each = (time.monotonic() - begun) / awaited if awaited else 0.005
    time.sleep(rng.uniform(0.0, 2.0) * each)
    writer.send_signal(signal.SIGKILL)
    rest, _ = writer.communicate()
    assert writer.returncode == -signal.SIGKILL
    return awaited + len([line for line in rest.split("\n") if line.endswith(tuple("0123456789"))])


def _whole(address: str, acknowledged: dict[str, int]) -> None:
    with open_record(address) as record:
        says = [str(event.particulars["says"]) for event in record.events()]
        assert record.breaches() == ()
    assert len(says) == len(set(says))
    for name, count in acknowledged.items():
        mine = [one for one in says if one.startswith(f"{name} ")]
        assert len(mine) >= 2 * count, f"{name}: {count} acknowledged, {len(mine) / 2} found"
        assert len(mine) % 2 == 0, "half an entry"
        assert mine == [f"{name} {number} {half}" for number in range(len(mine) // 2) for half in "ab"]


def _crash(address: str, times: int) -> int:
    acknowledged = {f"w{number}": _kill_once(address, f"w{number}", number) for number in range(times)}
    _whole(address, acknowledged)
    return sum(acknowledged.values())


def test_no_acknowledged_entry_is_lost_when_killed(record_address: str) -> None:
    """A few times here; the long study below is run by hand."""
    assert _crash(record_address, 5) >= 5


@pytest.mark.slow
def test_no_acknowledged_entry_is_lost_when_killed_500_times(record_address: str) -> None:
    """`pytest -m slow`; takes about ten minutes on each database."""
    assert _crash(record_address, 500) > 1000


def test_eight_writers_at_once_lose_no_entry(record_address: str) -> None:
    """Eight programs, twenty-five entries each, one chain."""
    writers = {f"w{number}": _start(record_address, f"w{number}", 25) for number in range(8)}
    for writer in writers.values():
        writer.communicate(timeout=NEVER_S)
        assert writer.returncode == 0

    _whole(record_address, dict.fromkeys(writers, 25))
    with open_record(record_address) as record:
        assert [event.number for event in record.events()] == list(range(1, 401))
        assert len({event.origin for event in record.events()}) == 1
