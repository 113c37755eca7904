"""A small job mended within what is kept, forbidden and may be spent."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner

from farpress.case.case import Case
from farpress.case.door import open_job
from farpress.cli.main import cli
from farpress.domain.finding import Change, Link
from farpress.errors import InputError
from farpress.judging.remedies.effects import fault_key
from farpress.judging.remedies.shown import shown_remedies
from farpress.mending.candidates import Candidate, touches
from farpress.mending.plan import mend
from farpress.mending.result import MendingPlan
from farpress.mending.telling import plan_told
from helpers.small_jobs import gate_text

pytestmark = pytest.mark.long


def opened(folder: Path, text: str) -> Case:
    """The job written into a folder and read."""
    folder.mkdir(parents=True)
    (folder / "job.yaml").write_text(text, encoding="utf-8")
    return open_job(folder)


@pytest.fixture(scope="module")
def case(tmp_path_factory: pytest.TempPathFactory) -> Case:
    """Two things are wrong: the pulse, and the siren's cable."""
    return opened(tmp_path_factory.mktemp("small") / "job", gate_text("50 ms", "30 m", "0.05 A"))


@pytest.fixture(scope="module")
def plan(case: Case) -> MendingPlan:
    """What is to be changed."""
    return mend(case)


def test_both_faults_are_mended_and_nothing_else_is_touched(plan: MendingPlan) -> None:
    """One change each."""
    assert plan.left == ()
    assert {step.candidate.changes[0].path[-1] for step in plan.steps} == {"for", "part"}


def test_nothing_cheaper_is_proven(plan: MendingPlan) -> None:
    """What they do alone they do together: the plan takes what the solver's cheapest set takes."""
    assert plan.least is not None
    assert (plan.least.minutes, plan.least.more_cured, plan.least.is_proven) == (plan.minutes, 0, True)
    assert "Gap: none; no set of the " in plan_told(plan).foot


def test_an_input_of_that_number_is_not_the_output(case: Case) -> None:
    """Who keeps R1/1 keeps the output, and may be given a status input 1 at R1."""
    root = ("premises", "house", "receivers", "R1")
    reads, works = (
        Candidate("x", (Change((*root, key, "1", "reads"), "y"),), Link.OUTPUT, 5)
        for key in ("inputs", "outputs")
    )

    assert [touches(made, "R1/1") for made in (reads, works)] == [False, True]
    assert [touches(made, "house/R1") for made in (reads, works)] == [True, True]


def test_a_fuse_of_its_own_is_an_edit_that_was_tried(case: Case, plan: MendingPlan) -> None:
    """The siren on a branch of its own with a fuse of the series: the short is noticed then."""
    (finding,) = (
        found for found in plan.before.findings if found.key == "SUP-05 cable to siren on house/main"
    )
    (remedy,) = (made for made in shown_remedies(case, plan.before, finding) if made.changes)

    assert [change.value for change in remedy.changes] == [{"fuse": "630 mA"}, "siren"]
    assert remedy.effect.startswith("then 1.58 A, needs 1.32")


def test_what_is_kept_or_forbidden_is_not_touched(case: Case) -> None:
    """The receiver stays as it is: only the siren is mended. Without thicker cables only the gate."""
    kept = mend(case, keep=("R1",))
    forbidden = mend(case, forbid=("cable", "flex", "solid", "pairs"))

    assert all("R1" not in change.path for step in kept.steps for change in step.candidate.changes)
    assert [finding.code for finding in kept.left] == ["OUT-01", "OUT-10", "OUT-17"]
    assert all("part" not in change.path for step in forbidden.steps for change in step.candidate.changes)
    assert {fault_key(finding)[:6] for finding in forbidden.left} == {"SUP-01", "SUP-05"}


def test_what_is_not_there_cannot_be_kept_or_forbidden(case: Case) -> None:
    """Every unknown name at once, with the nearest there are and what is allowed."""
    with pytest.raises(InputError) as raised:
        mend(case, keep=("R11", "gaet"), forbid=("relai-12v",))

    told = str(raised.value)
    assert "--keep R11: this job has nothing of that name; closest: 'R1" in told
    assert "--keep gaet" in told
    assert "'gate'" in told
    assert "--forbid relai-12v" in told
    assert "'relay-12v'" in told
    assert "allowed is a receiver, an output as R1/2" in told


def test_a_budget_is_kept_and_goes_to_what_matters_most(case: Case) -> None:
    """Ten minutes are enough for the pulse; half an hour goes to the short that nobody notices."""
    short, longer = mend(case, budget_min=10), mend(case, budget_min=30)

    assert 0 < short.minutes <= 10
    assert 0 < longer.minutes <= 30
    assert "SUP-05" in {cured.before.code for step in longer.steps for cured in step.cures}


def test_a_search_that_is_stopped_keeps_the_best_so_far(case: Case) -> None:
    """Stopped in its last part, it shows what it found and says that it was stopped."""

    def stop(what: str, done: int, of: int) -> None:
        if what.startswith("sets") and done == 1:
            raise KeyboardInterrupt

    def at_once(what: str, done: int, of: int) -> None:
        raise KeyboardInterrupt

    nothing = mend(case, progress=at_once)
    some = mend(case, progress=stop)

    assert (nothing.is_cut_short, nothing.steps) == (True, ())
    assert some.minutes >= 0
    assert nothing.after == nothing.before


def test_the_command_writes_a_new_folder_and_refuses_an_old_one(case: Case, tmp_path: Path) -> None:
    """JSON gives steps and what is left; a folder that is there is not touched."""
    words = ["mend", str(case.folder), "--write", str(tmp_path / "new"), "--format", "json", "--budget", "30"]
    told = json.loads(CliRunner().invoke(cli, words).stdout)

    assert told["minutes"] <= 30
    assert told["steps"][0]["changes"]
    assert (tmp_path / "new" / "job.yaml").exists()
    assert "is there already" in CliRunner().invoke(cli, words).output
