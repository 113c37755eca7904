"""spin 6.5.2 (Debian) reads the models of an example that are written out.

spin is an independent program. It makes a verifier of each file (`spin -a`), which checks the whole of it for
syntax and types.
"""

from __future__ import annotations

import subprocess
from pathlib import Path

import pytest

from farpress.case.door import open_job
from farpress.rehearsal.written import models_in_promela
from helpers.kinds import need
from helpers.rehearsal_jobs import job_of
from survey import ROOT


@pytest.mark.long
@pytest.mark.witness
def test_every_model_of_an_example_is_read(tmp_path: Path) -> None:
    """No file is refused, and none is written twice."""
    need("witness")
    written = list(models_in_promela(open_job(ROOT / "examples" / "tallowmere-court")))

    assert len(written) > 15
    assert len({name for name, _ in written}) == len(written)
    for name, text in written[::6]:  # others are written by the same few lines
        (tmp_path / name).write_text(text, encoding="utf-8")
        done = subprocess.run(["spin", "-a", name], cwd=tmp_path, capture_output=True, text=True, check=False)
        assert done.returncode == 0, (name, done.stdout)


@pytest.mark.parametrize(
    ("name", "never"),
    [
        ("two leaves with end contacts", "both-open"),
        ("set on people inside", "set-with-somebody-inside"),
        ("isolator that anybody switches on", "live-while-worked-on"),
        ("lock with a loop inside", "more-than-one-inside"),
        ("hours kept by a time switch", "works-outside-hours"),
    ],
)
def test_rules_about_states_of_things_are_written_out(name: str, never: str) -> None:
    """One file with its assertion."""
    written = dict(models_in_promela(job_of(name)))
    own = [text for file, text in written.items() if never in file]

    assert len(own) == 1
    assert "assert(!(" in own[0]
