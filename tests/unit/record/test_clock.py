"""A clock that jumped ahead and came back is noted: the order of the entries holds, their dates do not."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from click.testing import CliRunner

from farpress.cli.main import cli
from farpress.domain.acts import ClockBehind, Note
from farpress.record.store import open_record

JOB = "larkfen"


@pytest.mark.parametrize(
    ("ahead", "noted"),
    [
        (timedelta(minutes=-5), 0),
        (timedelta(seconds=90), 0),
        (timedelta(minutes=3), 2),
        (timedelta(days=400), 2),
    ],
)
def test_what_is_written_while_the_clock_is_behind_says_what_it_said(
    tmp_path: Path, ahead: timedelta, noted: int
) -> None:
    """Two minutes are what a clock set by the network may step back."""
    begun = datetime.now(UTC)
    with open_record(tmp_path) as record:
        with record.transaction(job=JOB, by="installer", moment=begun + ahead) as work:
            work.append(Note(says="written ahead"))
        for _ in range(2):
            record.append(Note(says="the clock is right again"), job=JOB, by="installer")
        acts = [event.act for event in record.events(job=JOB)]
        assert record.breaches() == ()

    behind = [act for act in acts if isinstance(act, ClockBehind)]
    assert len(behind) == noted
    for act in behind:
        assert abs(datetime.fromisoformat(act.clock) - begun) < timedelta(minutes=10)
        assert isinstance(acts[acts.index(act) + 1], Note)


def test_verify_says_it_and_the_record_is_whole(tmp_path: Path) -> None:
    """What stands in the record is not called changed: only its dates are too late."""
    runner = CliRunner()
    assert runner.invoke(cli, ["new", str(tmp_path / "job")]).exit_code == 0
    assert runner.invoke(cli, ["keys", "receive", str(tmp_path / "job"), "A1"]).exit_code == 0
    with open_record(tmp_path / "job") as record:
        [job] = {event.job for event in record.events()}
        with record.transaction(job=job, by="x", moment=datetime.now(UTC) + timedelta(days=400)) as work:
            work.append(Note(says="written ahead"))
        record.append(Note(says="right again"), job=job, by="x")
    told = runner.invoke(cli, ["keys", "verify", str(tmp_path / "job")])

    assert told.exit_code == 0, told.output
    assert "1 time the clock stood before the last entry" in " ".join(told.output.split())
    assert "the record is whole" in told.output
