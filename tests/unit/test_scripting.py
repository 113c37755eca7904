"""The front door for people who script: a job opened, assessed, changed, saved, its papers written."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

import farpress
from farpress.domain.finding import Verdict
from farpress.errors import InputError, JobFileError
from survey import ROOT

HOUSE = ROOT / "examples" / "larkfen-house"
HOUSING = ("premises", "larkfen", "receivers", "R1", "housing")


@pytest.mark.long
def test_a_change_is_judged_and_the_job_itself_stays() -> None:
    """A steel housing round an aerial inside fails; the job that was opened knows nothing of it."""
    job = farpress.open_job(HOUSE)
    steel = farpress.change(job, {HOUSING: "steel", (*HOUSING[:-1], "antenna"): None})

    assert farpress.finding(farpress.assess(steel), "RCV-01", "R1").verdict is Verdict.FAILS
    assert job.job.premises["larkfen"].receivers["R1"].housing == "plastic"


def test_what_was_saved_is_read_again(tmp_path: Path) -> None:
    """A changed job is written with its remarks and read back as the same job; saving again replaces it."""
    steel = farpress.change(farpress.open_job(HOUSE), {HOUSING: "steel"})
    for _ in range(2):
        file = farpress.save(steel, tmp_path / "house")

    assert farpress.open_job(file).job == steel.job
    assert "# " in file.read_text(encoding="utf-8")


def test_a_wrong_change_is_refused_with_what_is_allowed() -> None:
    """No script writes a file that cannot be read."""
    with pytest.raises(JobFileError) as caught:
        farpress.change(farpress.open_job(HOUSE), {HOUSING: "wood"})

    assert "plastic" in str(caught.value)


def test_an_unknown_name_and_a_missing_finding_say_what_there_is() -> None:
    """Errors teach."""
    with pytest.raises(AttributeError, match="open_job"):
        farpress.open_jobs  # noqa: B018
    with pytest.raises(InputError, match="none of this code"):
        farpress.finding(farpress.assess(farpress.open_job(HOUSE)), "AIR-99")


def test_papers_are_written(tmp_path: Path) -> None:
    """One paper by name."""
    folder = farpress.write_papers(farpress.open_job(HOUSE), tmp_path / "papers", only=["data-note"])

    assert [path.suffix for path in folder.iterdir() if path.name.startswith("data-note")] == [".pdf"]


def test_importing_it_loads_nothing_heavy() -> None:
    """A command starts at once: the front door is loaded when it is used."""
    code = "import sys, farpress; print(sorted(set(sys.modules) & {'numpy', 'pydantic', 'scipy'}))"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)

    assert done.stdout.strip() == "[]"
