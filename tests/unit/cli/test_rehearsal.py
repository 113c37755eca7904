"""farpress rehearsal: exit codes, text within its width, JSON, files, teaching errors."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner

from farpress.cli.rehearsal import command
from farpress.errors import InputError
from survey import ROOT

HOUSE = str(ROOT / "examples" / "larkfen-house")
COURT = str(ROOT / "examples" / "tallowmere-court")


def _run(*arguments: str) -> tuple[int, str]:
    result = CliRunner().invoke(command, list(arguments), standalone_mode=False)
    if result.exception is not None:
        raise result.exception
    return int(result.return_value), result.stdout


def test_a_job_is_searched_and_the_story_printed() -> None:
    """The entry barrier is closed by a second press; nothing runs past 80 columns."""
    code, text = _run(COURT, "--rule", "2")

    assert code == 1
    assert "entry pressed by" in text
    assert "a second press within 6 s stops or closes entry-barrier" in text
    assert max(map(len, text.splitlines())) <= 80


def test_a_house_without_a_failing_story_exits_0() -> None:
    """Open questions are no failures."""
    code, text = _run(HOUSE, "--all", "--ascii")

    assert code == 0
    assert "searched to the end" in text
    assert text.isascii()


def test_results_for_programs() -> None:
    """Verdict, counts and story as JSON."""
    _, text = _run(COURT, "--rule", "2", "--format", "json")

    (result,) = json.loads(text)["results"]
    assert result["verdict"] == "fails"
    assert result["story"]["replayed"] is True
    assert [step["event"] for step in result["story"]["steps"]] == ["entry_press", "entry_press"] or len(
        result["story"]["steps"]
    ) == 2


def test_a_story_is_played_and_drawn(tmp_path: Path) -> None:
    """Text, SVG and PNG."""
    code, text = _run(
        HOUSE,
        "--story",
        "0 s: parents press 1; 5 s: power off",
        "--svg",
        str(tmp_path / "a.svg"),
        "--png",
        str(tmp_path / "a.png"),
    )

    assert code == 0
    assert "larkfen/gate opening" in text
    assert (tmp_path / "a.svg").read_text(encoding="utf-8").startswith("<svg")
    assert (tmp_path / "a.png").read_bytes().startswith(b"\x89PNG")


def test_a_story_for_programs() -> None:
    """Tracks and marks as JSON."""
    _, text = _run(HOUSE, "--story", "0 s: parents press 1", "--format", "json")

    assert {"tracks", "marks", "broken", "ends_s"} <= set(json.loads(text))


@pytest.mark.parametrize("option", ["--states", "--chances"])
@pytest.mark.parametrize("form", ["table", "json"])
def test_the_other_tables(option: str, form: str) -> None:
    """States after a power cut, chances."""
    code, text = _run(HOUSE, option, "--format", form)

    assert code == 0
    assert "Larkfen House" in text
    assert form == "json" or max(map(len, text.splitlines())) <= 80


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (("--rule", "99"), "no rule 99"),
        (("--svg", "x.svg"), "give it with --story"),
        (("--story", "now: jump"), "now"),
    ],
)
def test_wrong_arguments_teach(arguments: tuple[str, ...], says: str) -> None:
    """What is allowed, and nothing is written."""
    import click

    with pytest.raises((click.UsageError, InputError)) as caught:
        _run(HOUSE, *arguments)

    assert says in str(getattr(caught.value, "message", caught.value))
