"""Values that are nothing: refused with their place, where they would leave nothing to reckon with."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from farpress.case.door import open_job
from farpress.errors import JobFileError
from survey import ROOT


@pytest.mark.parametrize(
    ("given", "nothing", "place"),
    [
        ("contact_life: 100000 ", "contact_life: 0 ", "contact_life"),
        ("arrivals: {16:00-17:30: 550}", "arrivals: {}", "traffic[1].arrivals"),
    ],
)
def test_nothing_is_refused_with_its_place(tmp_path: Path, given: str, nothing: str, place: str) -> None:
    """A life of no operation, and traffic in which nobody arrives; the least that is something is taken."""
    job = tmp_path / "court"
    shutil.copytree(ROOT / "examples" / "tallowmere-court", job)
    text = (job / "job.yaml").read_text("utf-8")
    assert given in text
    (job / "job.yaml").write_text(text.replace(given, nothing, 1), "utf-8")
    with pytest.raises(JobFileError) as refused:
        open_job(job)
    assert place in str(refused.value)

    least = nothing.replace(": 0", ": 1").replace("{}", "{16:00-17:30: 0}")
    (job / "job.yaml").write_text(text.replace(given, least, 1), "utf-8")
    assert open_job(job).job.traffic
