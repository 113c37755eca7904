"""Stories kept in a job: read, written, played by name, and held against how they shall end."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from farpress.case.case import Case
from farpress.case.door import open_job
from farpress.cli.rehearsal import command
from farpress.domain.finding import Change, Verdict
from farpress.domain.job import KeptStory
from farpress.jobfile.writer import apply_changes
from farpress.judging.rules import stories
from farpress.rehearsal.kept_stories import story_ends
from helpers.logic_case import a_case
from helpers.rehearsal_jobs import SHORT_GATE
from survey import ROOT

HOLDS, UNKNOWN, FAILS = Verdict.HOLDS, Verdict.UNKNOWN, Verdict.FAILS
UNDER = {"never": "closes while occupied", "of": ("gate",)}


def _case(**story: Any) -> Case:
    case = a_case(
        {"1": {"kind": "pulse", "for_s": 1.0, "works": "gate.open"}},
        devices={"gate": SHORT_GATE},
        rules=(UNDER,),
    )
    job = case.job.model_copy(update={"stories": {"home": KeptStory(**story)}})
    return Case(job, case.equipment)


@pytest.mark.parametrize(
    ("story", "verdict", "says"),
    [
        ({"steps": "0 s: pair press f1; 7 s: wait", "ends": {"gate": "open"}}, HOLDS, "gate open"),
        ({"steps": ("0 s: pair press f1", "7 s: wait"), "ends": {"house/gate": "Open"}}, HOLDS, "Open"),
        ({"steps": "0 s: pair press f1; 5 s: wait", "ends": {"gate": "open"}}, FAILS, "is opening, not open"),
        ({"steps": "0 s: pair press f1; 30 s: wait", "ends": {"gate": "closed"}}, HOLDS, "gate closed"),
        ({"steps": "0 s: pair press f1", "ends": {"house/R1/1": "on"}}, HOLDS, "house/R1/1 on"),
        ({"steps": "0 s: pair press f1; 7 s: under gate; 12 s: wait"}, FAILS, "it breaks rule 1"),
        ({"steps": "0 s: pair press f1; 7 s: under gate; 12 s: wait", "breaks": (1,)}, HOLDS, "as said"),
        ({"steps": "0 s: pair press f1; 9 s: wait", "breaks": (1,)}, FAILS, "does not break rule 1"),
        ({"steps": "0 s: pair press f1", "breaks": (7,)}, UNKNOWN, "no rule 7"),
        ({"steps": "0 s: pair press f9"}, UNKNOWN, "cannot be played"),
        ({"steps": "0 s: pair press f1", "ends": {"gate": "ajar"}}, UNKNOWN, "no state of gate"),
        ({"steps": "0 s: pair press f1", "ends": {"garage": "open"}}, UNKNOWN, "does nothing"),
    ],
)
def test_a_story_ends_as_said_or_does_not(story: dict[str, Any], verdict: Verdict, says: str) -> None:
    """At the moment of its last step, with the rules it shows broken and no others."""
    case = _case(**story)
    (end,) = story_ends(case)
    (finding,) = stories.judge(case)

    assert (end.verdict, finding.verdict) == (verdict, verdict)
    assert says in end.says
    assert bool(finding.asks) is (verdict is UNKNOWN)


def test_a_story_is_written_into_a_job_read_again_and_played_by_name(tmp_path: Path) -> None:
    """The same values come back; the command plays it by its name and says how it ends."""
    text = (ROOT / "examples" / "larkfen-house" / "job.yaml").read_text(encoding="utf-8")
    (tmp_path / "job.yaml").write_text(text, encoding="utf-8")
    kept = {"steps": ["0 s: parents press 1", "50 s: wait"], "ends": {"gate": "open"}}
    apply_changes(tmp_path / "job.yaml", [Change(("stories",), {"coming home": kept})])
    story = open_job(tmp_path).job.stories["coming home"]
    ran = CliRunner().invoke(command, [str(tmp_path), "--story", "coming home"])

    assert (story.text, dict(story.ends)) == ("0 s: parents press 1; 50 s: wait", {"gate": "open"})
    assert "coming home: It" in ran.output
    assert "ends as said" in " ".join(ran.output.split())
