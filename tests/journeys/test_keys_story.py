"""The register through the command line: a list comes in, a fob is lost, the loss is closed."""

from __future__ import annotations

import json
import re
import shutil
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from farpress.cli.main import cli
from survey import ROOT

pytestmark = pytest.mark.long

LIST = "Fob;Serial;Name;Company;Group;Receiver;Slot\n" + "".join(
    f"{label};{serial};{name};Brindlemark;fitters;{receiver};{slot}\n"
    for label, serial, name in (("BM-047-P", "3C01A7", "Ondric Vale"), ("BM-048-N", "3C01A8", "Ilva Brandt"))
    for receiver, slot in (
        ("oakmire/O1", serial[-1:]),
        ("vessing/V1", serial[-1:]),
        ("vessing/V2", serial[-1:]),
        ("lowdrift/L1", serial[-1:]),
        ("sarnbeck/S1", serial[-1:]),
    )
)


@pytest.fixture
def job(tmp_path: Path) -> Path:
    """A copy of the example with four branches."""
    folder = tmp_path / "branches"
    shutil.copytree(ROOT / "examples" / "brindlemark", folder)
    return folder


def keys(*words: object, code: int = 0) -> str:
    """Run `farpress keys` and give what it printed; at most 80 columns."""
    result: Result = CliRunner().invoke(cli, ["keys", *map(str, words)], standalone_mode=False)
    if result.exception is not None:
        raise result.exception
    assert result.return_value == code, result.output
    assert (
        max((len(line) for line in result.output.splitlines()), default=0) <= 80
        or "--format" in words
        or "export" in words
    )  # a path may be long
    return result.output


def test_a_loss_from_the_list_to_the_last_proof(job: Path, tmp_path: Path) -> None:
    """Import, lose, drive, delete with evidence, closed; the record is whole after it."""
    table = tmp_path / "list.csv"
    table.write_text(LIST, encoding="utf-8")
    assert "In order: 2 fobs from 10 rows, 2 new people" in keys("import", job, table)
    assert "There is no record yet" in keys("search", job)
    assert "2 fobs from 10 rows" in keys("import", job, table, "--write")
    assert "Nothing fits 'nobody'" in keys("search", job, "nobody")
    assert "14 records nobody can name" in keys("check", job, code=1)
    for receiver, slots in (("oakmire/O1", "7\n8\n"), ("vessing/V2", "7\n8\n")):
        (tmp_path / "memory.csv").write_text(f"Slot\n{slots}", encoding="utf-8")
        assert "all of them stand in the register" in " ".join(
            keys("memory", job, receiver, tmp_path / "memory.csv").split()
        )
    assert "was heard at sarnbeck/S1" in keys("heard", job, "sarnbeck/S1", "BM-047")
    assert "2 problems in 10 rows" in keys("import", job, table, "--write", code=2)
    assert keys("search", job, "vale", "lowdrift").count("BM-047-P") == 1

    said = keys(
        "lost",
        job,
        "BM-047",
        "--between",
        "Lowdrift and Vessing",
        "--leave",
        "2026-11-23T08:10",
        "--start",
        "oakmire",
    )
    assert re.findall(r"^Mon (\d\d:\d\d)  (\w+)", said, re.MULTILINE) == [
        ("08:16", "oakmire"),
        ("08:52", "vessing"),
        ("09:31", "lowdrift"),
        ("10:15", "sarnbeck"),
    ]
    assert "From oakmire: 161 min on the road" in said
    assert (
        json.loads(keys("plan", job, "BM-047", "--leave", "2026-11-23T08:10", "--format", "json"))[
            "drive_min"
        ]
        == 161
    )
    assert "deletion open" in keys("due", job, code=1)
    for receiver in ("oakmire/O1", "vessing/V1", "vessing/V2", "lowdrift/L1", "sarnbeck/S1"):
        said = keys("delete", job, "BM-047", receiver, "--evidence", "slot empty")
    assert "deleted everywhere: the loss is closed" in said
    assert "Nothing is due" in keys("due", job)
    assert "Everything fits together" in keys("check", job)
    assert "loss closed" in keys("history", job, "bm047")
    said = keys("verify", job)
    assert "the record is whole" in said
    end = said.split()[-1]
    assert "whole" in keys("verify", job, "--noted", end)
    assert "is not this one" in keys(
        "verify", job, "--noted", f"{end.partition(':')[0]}:{'0' * 16}", code=1
    ).replace("\n", " ")


def test_a_day_at_the_register(job: Path, tmp_path: Path) -> None:
    """Stock, give out, sign, copy rights, leave, hand in, forget, export without names."""
    assert keys("labels", "BM", "--first", 47, "--count", 2).split() == ["BM-047-P", "BM-048-N"]
    keys("receive", job, "BM-047-P", "--type", "F4")
    assert "Learn it at oakmire/O1" in keys(
        "issue", job, "BM-047", "--to", "Ilva Brandt", "--group", "temps", "--new"
    )
    keys("receipt", job, "BM-047", "--evidence", "sheet 3")
    keys("learn", job, "BM-047", "oakmire/O1", "--slot", "9")
    assert "vessing gate on button 1" in " ".join(keys("copy-rights", job, "oakmire", "vessing").split())
    keys("rights", job, "BM-047", "--group", "drivers")
    keys("block", job, "BM-047", "--why", "long leave")
    keys("release", job, "BM-047")
    assert "The name is kept until 2026-11-29" in keys(
        "person", "left", job, "Ilva", "--on", "2026-08-31"
    ).replace("\n", " ")
    assert "leaver" in keys("check", job, code=1)
    keys("hand-in", job, "BM-047", "--condition", "good")
    keys("replace-receiver", job, "oakmire/O1")
    keys("destroy", job, "BM-047")
    keys("export", job, tmp_path / "register.xlsx")
    keys("person", "forget", job, "Ilva Brandt")
    keys("export", job, tmp_path / "register.csv", "--without-names")

    assert "Ilva" not in (tmp_path / "register.csv").read_text("utf-8-sig")
    assert (tmp_path / "register.xlsx").stat().st_size > 1000
    assert "a deleted name" in keys("history", job, "BM-047")


def test_plans_are_printed_within_eighty_columns(job: Path) -> None:
    """Layout, waves, sharing out, counters."""
    assert "proven best" in " ".join(keys("layout", job).split())
    assert json.loads(keys("layout", job, "--format", "json"))["cost"] > 0
    assert "There is no record yet" in keys("counters", job)
    keys("receive", job, "BM-047")
    assert "No fob has been away" in keys("counters", job)
    assert "stretch" in keys("waves", job, "oakmire/O1", "--morning", "2026-12-01T07:00/09:00")
    assert "receiver 2" in keys("split", job, "vessing/V1")


def test_the_overview_names_every_command() -> None:
    """In sections, each once."""
    from farpress.cli.keys import SECTIONS, command

    named = [name for section in SECTIONS.values() for name in section]
    assert sorted(named) == sorted(command.commands)
    said = keys("--help")
    assert [line.strip() for line in said.splitlines() if line.endswith(":")] == [
        *(f"{title}:" for title in ("Options",)),
        *(f"{title}:" for title in SECTIONS),
    ]


def test_slips_are_answered_with_sentences(job: Path) -> None:
    """An unknown fob, a morning that is none, a serial for two fobs."""
    from farpress.errors import InputError

    keys("receive", job, "BM-047")
    for words, says in (
        (("history", job, "XX-1"), "no fob 'XX-1'"),
        (("waves", job, "oakmire/O1", "--morning", "soon"), "is not a morning"),
        (("receive", job, "A", "B", "--serial", "1"), "belongs to one fob"),
        (("export", job, "register.doc"), "should end in .csv or .xlsx"),
        (("person", "forget", job), "Give a name, or --due"),
        (("learn", job, "A", "oakmire/O1", "--output", "1"), "Give both"),
    ):
        with pytest.raises(InputError, match=re.escape(says)):
            keys(*words)
