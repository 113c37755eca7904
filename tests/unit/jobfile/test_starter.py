"""`farpress new`: a first job that reads, and nothing overwritten."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

import pytest
from click.testing import CliRunner

from farpress.catalogue.store import load_catalogue
from farpress.cli.new import command
from farpress.errors import JobFileError
from farpress.jobfile.reader import read_job, read_job_text
from farpress.jobfile.starter import STARTER_PARTS, example_names, starter_text, write_starter
from helpers.project import EXAMPLES
from helpers.work import counted_work

Known = Mapping[str, frozenset[str]]


def test_the_starter_reads_without_faults_and_uses_only_named_parts(tmp_path: Path) -> None:
    """Its list of catalogue parts is complete: with exactly these it reads."""
    write_starter(tmp_path / "thornwick-rise")
    job = read_job(
        tmp_path / "thornwick-rise", known={kind: frozenset({name}) for kind, name in STARTER_PARTS.items()}
    ).job
    assert job.job == "thornwick rise"
    assert len(job.promises) == 2
    assert len(job.premises["house"].receivers) == 1


def test_the_starter_and_the_examples_read_with_the_catalogue_that_is_shipped(tmp_path: Path) -> None:
    """The generic parts they name are there."""
    known = load_catalogue().known_names()
    assert read_job(write_starter(tmp_path), known=known).job.region == "europe"
    examples = sorted(EXAMPLES.glob("*/job.yaml"))
    assert examples
    for path in examples:
        assert read_job(path, known=known).job.promises


@pytest.mark.parametrize("name", ["Höfe & Co: 3", "no", "0123", "# x", "'quoted'", "{a}"])
def test_any_name_survives(name: str, known: Known) -> None:
    """The name is quoted where it must be."""
    assert read_job_text(starter_text(name), known=known).job.job == name


def test_a_job_that_is_there_is_left_alone(tmp_path: Path) -> None:
    """Neither the file nor its content changes."""
    (tmp_path / "job.yaml").write_text("mine", encoding="utf-8")
    with pytest.raises(JobFileError, match="it was left as it is"):
        write_starter(tmp_path)
    assert (tmp_path / "job.yaml").read_text(encoding="utf-8") == "mine"


def test_where_no_folder_can_be_made_it_is_said(tmp_path: Path) -> None:
    """A file in the way, a name that cannot be printed, a NUL."""
    (tmp_path / "file").write_text("x", encoding="utf-8")
    for folder, name in (
        (tmp_path / "file", None),
        (tmp_path / "file" / "below", None),
        (tmp_path / "new", "a\nb"),
        (Path("a\0b"), None),
    ):
        with pytest.raises(JobFileError):
            write_starter(folder, name=name)


def test_the_command_says_what_to_do_next(tmp_path: Path) -> None:
    """It names the file and the next command."""
    result = CliRunner().invoke(command, [str(tmp_path / "rise"), "--name", "Thornwick Rise"])
    assert result.exit_code == 0
    assert "farpress assess" in result.output
    assert "job: Thornwick Rise" in (tmp_path / "rise" / "job.yaml").read_text(encoding="utf-8")


def test_a_job_of_six_hundred_holders_reads_whole(known: Known) -> None:
    """About two thousand lines: all there, and nothing costs the square of its length: twice as many take
    at most twice the calls.
    """
    text = _with_holders(600)
    assert text.count("\n") > 2000
    with counted_work() as half:
        read_job_text(_with_holders(300), known=known)
    with counted_work() as whole:
        job = read_job_text(text, known=known).job

    assert whole.calls <= 2.0 * half.calls
    assert len(job.groups["family"].people) == 600


def _with_holders(count: int) -> str:
    text = starter_text("Large").replace(
        "groups: ",
        "people:\n"
        + "".join(f"  holder {n}:\n    age: 40\n    role: tenant\n" for n in range(count))
        + "\ngroups: ",
    )
    return text.replace(
        "    count: 4\n", "    people:\n" + "".join(f"      - holder {n}\n" for n in range(count))
    )


def test_every_example_can_be_had_without_a_clone(tmp_path: Path) -> None:
    """The copy is the example to the letter; a job that is there and a name that is none are refused."""
    assert set(example_names()) == {path.parent.name for path in EXAMPLES.glob("*/job.yaml")}
    for example in example_names():
        done = CliRunner().invoke(command, [str(tmp_path / example), "--example", example])
        assert done.exit_code == 0
        assert f"farpress desk {tmp_path / example}" in done.output
        copied = (tmp_path / example / "job.yaml").read_bytes()
        assert copied == (EXAMPLES / example / "job.yaml").read_bytes()
        with pytest.raises(JobFileError, match="left as it is"):
            CliRunner().invoke(
                command, [str(tmp_path / example), "--example", example], catch_exceptions=False
            )
    with pytest.raises(JobFileError, match=r"there is no example 'castle'; there are .*larkfen-house"):
        CliRunner().invoke(command, [str(tmp_path / "x"), "--example", "castle"], catch_exceptions=False)


def test_an_example_asked_for_without_a_name_is_the_house(tmp_path: Path) -> None:
    """And it cannot be given another name."""
    CliRunner().invoke(command, [str(tmp_path / "x"), "--example"], catch_exceptions=False)
    assert "job: Larkfen House" in (tmp_path / "x" / "job.yaml").read_text(encoding="utf-8")
    assert CliRunner().invoke(command, [str(tmp_path / "y"), "--name", "Z", "--example"]).exit_code == 2
    assert not (tmp_path / "y").exists()
