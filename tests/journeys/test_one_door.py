"""One job, one answer: what the record knows counts for every command, page and paper."""

from __future__ import annotations

import ast
import json
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from farpress.case.door import open_job
from farpress.case.evidence import evidence_in
from farpress.cli.main import cli
from farpress.desk.apart import Snapshot, judged
from farpress.editing.workbench import Workbench
from farpress.firm.judging import Question, case_of_text
from farpress.judging.assess import assess
from farpress.papers.builders.basis import make_basis
from farpress.papers.builders.make import paper_of
from helpers.source_trees import nodes_of, source_files
from survey import ROOT

pytestmark = pytest.mark.long

PROMISE = "parents: open gate from street"


@pytest.fixture(scope="module")
def walked(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The house, with 60 presses from the street in its record, all heard."""
    folder = tmp_path_factory.mktemp("walked") / "house"
    shutil.copytree(ROOT / "examples" / "larkfen-house", folder)
    _run("proving", "enter", str(folder), "P01", "--heard", "60", "--of", "60")
    return folder


def _run(*words: str) -> Result:
    result = CliRunner().invoke(cli, list(words))
    assert result.exit_code in (0, 1), result.output
    return result


def _percent(findings: list[dict[str, object]]) -> float:
    return next(
        float(str(finding["value"]))
        for finding in findings
        if finding["code"] == "AIR-01" and finding["about"] == PROMISE
    )


def _walk(value: object) -> Iterator[dict[str, object]]:
    if isinstance(value, dict):
        yield value
        value = list(value.values())
    if isinstance(value, list):
        for inner in value:
            yield from _walk(inner)


def test_every_face_says_the_same_chance(walked: Path) -> None:
    """Assess, reach, desk, workbench, firm and papers predict one promise alike, evidence counted."""
    case = open_job(walked)
    text = (walked / "job.yaml").read_text(encoding="utf-8")
    on_shelf = case_of_text(text, evidence_in(walked, case.job.job), Question())
    workbench = Workbench(walked)
    reach = json.loads(_run("reach", str(walked), "--receiver", "R1", "--format", "json").output)
    chances = {
        "assess": _percent(json.loads(_run("assess", str(walked), "--format", "json").output)["findings"]),
        "desk": _value(judged(Snapshot.of(workbench.state().case))),
        "workbench": _value(workbench.assessment()),
        "firm": _value(assess(on_shelf)),
        "papers": _value(make_basis(case).assessment),
        "reach": next(
            100 * float(str(row["chance"])) for row in _walk(reach) if row.get("promise") == PROMISE
        ),
    }
    workbench.close()

    assert chances == pytest.approx(dict.fromkeys(chances, chances["assess"]), abs=0.05)
    assert chances["assess"] > 85.0


def _value(assessment: object) -> float:
    from farpress.domain.finding import Assessment

    assert isinstance(assessment, Assessment)
    found = next(
        finding for finding in assessment.findings if finding.code == "AIR-01" and finding.about == PROMISE
    )
    assert found.value is not None
    return found.value


def test_a_press_entered_later_is_seen_by_an_open_workbench(walked: Path, tmp_path: Path) -> None:
    """Who walks with the phone sees the figure change at the desk."""
    folder = tmp_path / "house"
    shutil.copytree(ROOT / "examples" / "larkfen-house", folder)
    workbench = Workbench(folder)
    before = _value(workbench.assessment())
    _run("proving", "enter", str(folder), "P01", "--heard", "60", "--of", "60")
    after = _value(workbench.assessment())
    workbench.close()

    assert after > before + 5.0
    assert after == pytest.approx(_value(assess(open_job(walked))), abs=0.05)


def test_the_plan_of_trials_does_not_know_the_trials(walked: Path) -> None:
    """A prediction that is to be tested is made without the tests."""
    case = open_job(walked)

    assert _value(assess(case.without_evidence())) < _value(assess(case)) - 5.0
    assert make_basis(case).plan == make_basis(case.without_evidence()).plan


def test_the_reach_report_knows_the_presses(walked: Path) -> None:
    """What was heard stands in the paper's budget as a correction."""
    papers = [
        repr(paper_of(make_basis(case), "reach-report"))
        for case in (open_job(walked), open_job(ROOT / "examples" / "larkfen-house"))
    ]

    assert ["'95 %', '76 %'" in paper for paper in papers] == [False, True]


def test_a_case_is_made_in_one_place() -> None:
    """No face builds a case of its own: `case.door` does, and joins the record."""
    makers = [
        str(path.relative_to(ROOT))
        for path in source_files()
        for node in nodes_of(path)
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == "Case"
    ]

    assert makers == ["src/farpress/case/door.py"]
