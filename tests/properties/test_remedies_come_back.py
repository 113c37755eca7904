"""Every remedy that is printed is true: written, read and judged anew, its word and figure come back."""

from __future__ import annotations

from dataclasses import replace
from itertools import islice
from pathlib import Path

import pytest

from farpress.case.door import open_job
from farpress.domain.finding import Verdict
from farpress.jobfile.starter import starter_text
from farpress.judging.remedies.effects import fault_key
from try_remedies import spoilt_jobs, tries_of, untrue_remedies

pytestmark = pytest.mark.long

SPOILT, MOST = 20, 500


def _alder(folder: Path) -> Path:
    """A gate, and a siren on thin cores: a job that is judged in a moment."""
    text = starter_text("Alder").replace(
        "    devices:\n",
        "    devices:\n      siren: {part: siren-12v, at: [30, 2],"
        " fed: {from: main, cable: {part: alarm-6x0.22, length: 20 m}}}\n",
    )
    folder.mkdir()
    (folder / "job.yaml").write_text(text, encoding="utf-8")
    return folder


def test_of_twenty_spoilt_jobs_every_printed_remedy_comes_back(tmp_path: Path) -> None:
    """Twenty for which something is printed; the longer run with the examples is `tools/try_remedies.py`."""
    case = open_job(_alder(tmp_path / "alder"))
    before, _ = tries_of(case)
    stood = {fault_key(found) for found in before.findings if found.verdict is Verdict.FAILS}
    spoilt = 0
    for change, job in islice(spoilt_jobs(case, seed=11), MOST):
        judged, tries = tries_of(job, besides=stood)
        assert untrue_remedies(job, judged, tries, tmp_path / "tried") == [], change
        spoilt += bool(tries)
        if spoilt == SPOILT:
            break

    assert spoilt == SPOILT


def test_a_remedy_that_is_not_true_is_found_out(tmp_path: Path) -> None:
    """Its printed figure altered by one digit; its edit changed to one that cures nothing."""
    case = open_job(_alder(tmp_path / "alder"))
    for _, spoilt in spoilt_jobs(case, seed=11):
        judged, tries = tries_of(spoilt)
        if tries:
            break
    finding, number = tries[0]
    remedy = finding.remedies[number]
    lies = replace(remedy, effect=f"then 1{remedy.effect.removeprefix('then ')}")
    idle = replace(remedy, changes=(replace(remedy.changes[0], path=("details", "customer"), value="Orla"),))

    for false in (lies, idle):
        other = replace(finding, remedies=(false,))
        assert len(untrue_remedies(spoilt, judged, [(other, 0)], tmp_path / "tried")) == 1
