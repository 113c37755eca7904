"""The commands of proving, upkeep and faults on a copy of a job, as an installer types them."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from farpress.case.door import open_job
from farpress.cli.main import cli
from farpress.errors import FarpressError
from farpress.proving.ask import proving_plan
from survey import ROOT

pytestmark = pytest.mark.long


@pytest.fixture
def job(tmp_path: Path) -> Path:
    """A copy of the house that may be written to."""
    shutil.copytree(ROOT / "examples" / "larkfen-house", tmp_path / "house")
    return tmp_path / "house"


def _run(*words: object, typed: str | None = None) -> Result:
    return CliRunner().invoke(cli, [str(word) for word in words], input=typed, standalone_mode=False)


def test_plan_enter_and_verdict(job: Path) -> None:
    """Plan on paper, results from the phone and from a table, then what is proven."""
    plan = _run("proving", "plan", job)
    assert "P01 reach: larkfen/street to larkfen/R1, in car" in plan.output
    assert all(len(line) <= 80 for line in plan.output.splitlines())
    assert "proven: 14 of 14 heard" in _run("proving", "enter", job, "P3", "--heard", 14, "--of", 14).output
    table = job / "tests.csv"
    assert "tests written" in _run("proving", "csv", job, "-o", table).output
    lines = table.read_text(encoding="utf-8-sig").splitlines()
    done = [line.split(",")[0] for line in lines if line.startswith(("C01,", "C02,"))]
    table.write_text("test,passed\n" + "".join(f"{name},yes\n" for name in done), encoding="utf-8")
    assert "2 results written" in _run("proving", "enter", job, "--csv", table).output
    verdict = _run("proving", "verdict", job)
    assert verdict.return_value == 0
    assert "0 of 10 outputs proven" in verdict.output
    share = next(one for one in proving_plan(open_job(job)).tests if one.number == "P03").presses
    assert share is not None
    assert f"predicted {share.predicted_share:.0%} of presses; measured 14 of 14" in " ".join(
        verdict.output.split()
    )
    _run("proving", "enter", job, "C04", "--failed", "--remark", "the gate moved")
    refuted = _run("proving", "verdict", job, "--format", "json")
    assert refuted.return_value == 1
    assert json.loads(refuted.output)["outputs"]["larkfen/R1/2"]["proof"] == "refuted"


def test_bad_entries_are_told_and_not_written(job: Path) -> None:
    """Our own error, never a traceback."""
    for words in (("P04", "--heard", 15, "--of", 14), ("P99", "--heard", 1, "--of", 1), ("C01",), ()):
        failed = _run("proving", "enter", job, *words)
        assert isinstance(failed.exception, FarpressError)
    assert "No result yet" in _run("proving", "verdict", job).output


def test_forecast_order_due_and_calendar(job: Path) -> None:
    """Cells, rounds and the calendar file; a task checked off comes back."""
    assert "cell-225" in _run("upkeep", "forecast", job, "--date", "2026-11-25").output
    assert _run("upkeep", "order", job, "--date", "2026-11-25").exit_code == 0
    due = _run("upkeep", "due", job, "--date", "2026-11-25", "--ics", job / "upkeep.ics")
    assert "Rounds of the firm" in due.output
    assert (job / "upkeep.ics").read_bytes().startswith(b"BEGIN:VCALENDAR")
    assert not (job / "record.sqlite").exists(), "looking writes nothing"
    assert "checked off" in _run("upkeep", "done", job, "call: larkfen/R3/4").output
    assert isinstance(_run("upkeep", "done", job, "call").exception, FarpressError)
    assert isinstance(_run("upkeep", "due", job, "--date", "soon").exception, FarpressError)
    assert "battery of larkfen/main" in _run("upkeep", "watch", job, "--date", "2026-11-25").output.replace(
        "\n  ", " "
    )


def test_a_fault_is_followed_to_its_end(job: Path) -> None:
    """Asked one after the other; the record has report, answers and cure."""
    looked = _run(
        "faults",
        "find",
        job,
        "--complaint",
        "lock buzzes",
        "--function",
        "wicket",
        "--no-ask",
        "--date",
        "2026-11-25",
    )
    assert "too many volts are lost in the cable" in looked.output
    assert not (job / "record.sqlite").exists(), "looking writes nothing"
    found = json.loads(
        _run(
            "faults",
            "find",
            job,
            "--complaint",
            "lock buzzes",
            "--function",
            "wicket",
            "--no-ask",
            "--format",
            "json",
            "--answers",
            "volts at load=yes, rain=no, wiggle=no, core through=no, supply lamp=no, supply volts=no",
            "--date",
            "2026-11-25",
        ).output
    )
    assert found["causes"][0]["name"] == "drop"
    assert found["next"]["kind"] == "cure"
    asked = _run(
        "faults",
        "find",
        job,
        "--complaint",
        "lock buzzes",
        "--function",
        "wicket",
        "--ask",
        "--date",
        "2026-11-25",
        typed="no\n" * 4 + "stop\n",
    )
    assert "F0001 stays open" in asked.output or "F0001 is closed" in asked.output
    log = _run("faults", "log", job)
    assert "F0001 24: lock buzzes" in log.output
    if "stays open" in asked.output:
        assert (
            "closed: thin cable"
            in _run(
                "faults", "log", job, "--close", "F0001", "--cause", "thin cable", "--cure", "doubled"
            ).output
        )


@pytest.mark.parametrize(
    "words",
    [
        ("--complaint", "xyzzy"),
        ("--complaint", "99"),
        ("--complaint", "19", "--group", "nobody"),
        ("--complaint", "19", "--answers", "fob lamp=maybe"),
        ("--complaint", "19", "--answers", "no such test=yes"),
        ("--complaint", "19", "--place", "moon"),
        ("--complaint", "19", "--cured", "gremlins"),
    ],
)
def test_what_cannot_be_followed_is_told(job: Path, words: tuple[str, ...]) -> None:
    """Unknown complaint, group, place, test, answer or cause."""
    assert isinstance(_run("faults", "find", job, "--no-ask", *words).exception, FarpressError)


def test_the_diary_of_a_week(job: Path) -> None:
    """Noted one by one, or from a table."""
    assert "1 of   1 failed" in _run("faults", "diary", job, "--add", "failed").output
    table = job / "diary.csv"
    table.write_text(
        "time,what\n"
        + "".join(
            f"2026-11-{day:02d} {hour:02d}:{day:02d},{'failed' if hour == 7 else 'worked'}\n"
            for day in range(1, 15)
            for hour in (7, 8, 12, 17)
        ),
        encoding="utf-8",
    )
    assert "07:00 to 08:00" in _run("faults", "diary", job, "--csv", table).output
    assert "35" in _run("faults", "complaints").output
