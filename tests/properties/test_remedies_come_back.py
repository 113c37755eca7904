"""Every remedy that is printed is true: written, read and judged anew, its word and figure come back."""

from __future__ import annotations

from dataclasses import replace
from itertools import islice
from pathlib import Path

import pytest

from farpress.case.case import Case
from farpress.case.door import open_job
from farpress.judging.remedies.effects import fault_key
from helpers.small_jobs import gate_text
from try_remedies import spoilt_jobs, tries_of, untrue_remedies

pytestmark = pytest.mark.long

SPOILT, MOST = 20, 300

KEYS = ("for", "kind", "count", "other_load", "standby", "length", "load_from", "suppression")
"""Where a spoilt value makes something that a change mends: most other places are asked about instead."""


def _gate(folder: Path) -> Case:
    """A gate, and a siren on thin cores: a job that is judged in a moment."""
    folder.mkdir()
    (folder / "job.yaml").write_text(gate_text("0.5 s", "10 m", "0.05 A"), encoding="utf-8")
    return open_job(folder)


def test_of_twenty_spoilt_jobs_every_printed_remedy_comes_back(tmp_path: Path) -> None:
    """Twenty for which something is printed that was not before, of five checks at least; the longer run with
    the examples and every place of them is `tools/try_remedies.py`.
    """
    case = _gate(tmp_path / "gate")
    before, _ = tries_of(case)
    stood = {fault_key(found) for found in before.findings if found.remedies}
    spoilt, codes = 0, set()
    for change, job in islice(spoilt_jobs(case, seed=5, keys=KEYS), MOST):
        judged, tries = tries_of(job, besides=stood)
        assert untrue_remedies(job, judged, tries, tmp_path / "tried") == [], change
        spoilt += bool(tries)
        codes |= {finding.code for finding, _ in tries}
        if spoilt == SPOILT:
            break

    assert spoilt == SPOILT
    assert len(codes) >= 5


def test_a_remedy_that_is_not_true_is_found_out(tmp_path: Path) -> None:
    """Its printed figure altered by one digit; its edit changed to one that cures nothing."""
    case = _gate(tmp_path / "gate")
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
