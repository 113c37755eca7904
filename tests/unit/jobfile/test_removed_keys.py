"""A job file with a key that is no more is read without it, with a remark."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

import pytest
from click.testing import CliRunner

from farpress.cli.main import cli
from farpress.jobfile.faults import remarks_text
from farpress.jobfile.reader import read_job_text
from farpress.jobfile.starter import write_starter

Known = Mapping[str, frozenset[str]]


@pytest.mark.parametrize(
    ("old", "new", "path", "says"),
    [
        ("length: 31 m}", "length: 31 m, ambient: hot loft}", "1.cable.ambient", "'warmest: 40 degC'"),
        ("travel: 24 s", "travel: 24 s, ambient: -10 degC", "devices.gate.ambient", "'travel_worst'"),
        ("travel: 24 s", "travel: 24 s, seen_by_driver: true", "gate.seen_by_driver", "sees: [gate]"),
    ],
)
def test_a_key_that_is_no_more_is_left_out_and_told(
    old: str, new: str, path: str, says: str, sample: str, known: Known
) -> None:
    """The job is the same as without the key; the remark has its line and what to write now."""
    assert sample.count(old) >= 1

    document = read_job_text(sample.replace(old, new, 1), known=known)

    assert document.job == read_job_text(sample, known=known).job
    assert len(document.remarks) == 1
    remark = document.remarks[0]
    assert remark.path.endswith(path)
    assert remark.line == sample[: sample.index(old)].count("\n") + 1
    assert says in remark.says
    assert "no longer a key" in remarks_text(document.remarks)


def test_who_assesses_such_a_file_is_told(tmp_path: Path) -> None:
    """The table comes as always; the remark stands beside it."""
    write_starter(tmp_path)
    file = tmp_path / "job.yaml"
    text = file.read_text(encoding="utf-8")
    file.write_text(
        text.replace("travel: 20 s", "travel: 20 s\n        seen_by_driver: true"), encoding="utf-8"
    )

    result = CliRunner().invoke(cli, ["assess", str(tmp_path)])

    assert result.exit_code in (0, 1)
    assert "'seen_by_driver' is no longer a key of a job file; it was left out." in " ".join(
        result.stderr.split()
    )
    assert "seen_by_driver" not in result.stdout


def test_a_file_of_today_has_no_remarks(sample: str, known: Known) -> None:
    """A name that only sounds like one of those keys is left alone."""
    named = sample.replace("open gate", "ambient gate")

    assert read_job_text(sample, known=known).remarks == ()
    assert read_job_text(named, known=known).remarks == ()
