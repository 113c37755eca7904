"""A file that names outputs which a receiver does not have: mending says where they could be."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner

from farpress.case.door import open_job
from farpress.cli.mend import command
from farpress.errors import JobFileError
from farpress.mending.readable import made_readable
from helpers.small_jobs import HALL

FIFTH = HALL.replace("          2: {kind: toggle", "          5: {kind: toggle").replace(
    "hall/R1/2", "hall/R1/5"
)
"""Output 5 of a receiver with four, of which three are free."""

ONE = FIFTH.replace("part: receiver-4", "part: receiver-1").replace("          5: ", "          2: ")
ONE = ONE.replace("hall/R1/5", "hall/R1/2")
"""Output 2 of a receiver with one."""


def written(folder: Path, text: str) -> Path:
    """A folder with a job that the reader refuses."""
    folder.mkdir()
    (folder / "job.yaml").write_text(text, encoding="utf-8")
    with pytest.raises(JobFileError):
        open_job(folder)
    return folder


def test_a_free_number_of_the_same_receiver_is_taken(tmp_path: Path) -> None:
    """Functions follow it there."""
    made = made_readable(written(tmp_path / "hall", FIFTH))

    assert made is not None
    assert made.does == ("Output 5 of hall/R1 becomes output 2.",)
    assert made.case.job.functions["alarm"].output == "hall/R1/2"
    assert [output.path for output in made.case.outputs()] == ["hall/R1/1", "hall/R1/2"]


def test_where_none_is_free_a_further_receiver_stands_beside(tmp_path: Path) -> None:
    """Of the same make, fed alike."""
    made = made_readable(written(tmp_path / "hall", ONE))

    assert made is not None
    assert made.does[0].startswith("Output 2 of hall/R1 becomes output 1 of a further receiver R2")
    first, second = made.case.job.premises["hall"].receivers.values()
    assert (first.part, first.fed, first.at) == (second.part, second.fed, second.at)
    assert made.case.job.functions["alarm"].output == "hall/R2/1"


def test_another_fault_is_left_to_who_wrote_it(tmp_path: Path) -> None:
    """A name that is nowhere, alone or beside an output too many."""
    wrong = HALL.replace("part: strike-12v", "part: strike-13v")

    assert made_readable(written(tmp_path / "one", wrong)) is None
    assert made_readable(written(tmp_path / "two", FIFTH.replace("strike-12v", "strike-13v"))) is None


@pytest.mark.long
def test_the_command_says_it_first_and_writes_both(tmp_path: Path) -> None:
    """The new version can be read; the remarks begin with what made it so."""
    folder, new = written(tmp_path / "hall", FIFTH), tmp_path / "new"
    run = CliRunner().invoke(command, [str(folder), "--write", str(new)], standalone_mode=False)

    assert run.output.startswith("FIRST: as it stands the job cannot be used")
    assert "Output 5 of hall/R1 becomes output 2." in run.output
    assert (new / "job.yaml").read_text(encoding="utf-8").startswith("# First: Output 5 of hall/R1 becomes")
    assert open_job(new).output("hall/R1/2") is not None
    assert (folder / "job.yaml").read_text(encoding="utf-8") == FIFTH
