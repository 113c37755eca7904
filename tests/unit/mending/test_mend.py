"""The house mended: every change was tried, its figure is the one found then, nothing gets worse."""

from __future__ import annotations

from pathlib import Path

import pytest

from farpress.case.case import Case
from farpress.case.door import open_job
from farpress.domain.finding import Change, Finding, Link, Remedy, Stake, Verdict
from farpress.errors import InputError
from farpress.judging.assess import assess
from farpress.judging.remedies.effects import fault_key
from farpress.mending.candidates import Candidate, candidates_of, is_allowed, minutes_of
from farpress.mending.plan import mend
from farpress.mending.result import MendingPlan
from farpress.mending.trying import ChangeTrials
from farpress.mending.writing import write_mended
from helpers.assessments import finding

HOUSE = Path(__file__).parents[3] / "examples" / "larkfen-house"
pytestmark = pytest.mark.long


@pytest.fixture(scope="module")
def house() -> Case:
    """The house as it stands."""
    return open_job(HOUSE)


@pytest.fixture(scope="module")
def plan(house: Case) -> MendingPlan:
    """Its mending plan."""
    return mend(house)


def test_what_is_written_is_what_was_promised(house: Case, plan: MendingPlan, tmp_path: Path) -> None:
    """The new version read from its folder and judged gives the plan's assessment, finding by finding."""
    write_mended(house, plan, tmp_path / "new")
    again = assess(open_job(tmp_path / "new"))

    assert [(f.code, f.about, f.verdict, f.value) for f in again.findings] == [
        (f.code, f.about, f.verdict, f.value) for f in plan.after.findings
    ]
    remarks = (tmp_path / "new" / "job.yaml").read_text(encoding="utf-8").split("\n")[: len(plan.steps) + 1]
    assert all(line.startswith("# ") for line in remarks)
    assert [line.partition(". ")[0] for line in remarks[1:]] == [
        f"# {n}" for n in range(1, len(plan.steps) + 1)
    ]


def test_most_of_the_house_is_mended(plan: MendingPlan) -> None:
    """Frozen: of 29 promises that fail one wish is left, which nothing that can be mounted reaches from the
    street; what else is left is a rule that a promise contradicts.
    """
    failing = [chain for chain in plan.after.promises if chain.verdict is Verdict.FAILS]

    assert sum(chain.verdict is Verdict.FAILS for chain in plan.before.promises) == 29
    assert [(chain.id, chain.importance) for chain in failing] == [("parents: garage from street", "should")]
    assert {finding.code for finding in plan.left} <= {"AIR-01", "AIR-03"}


def test_nothing_gets_worse(plan: MendingPlan) -> None:
    """No promise has a worse word, no fault is new."""
    ranks = {chain.id: chain.verdict.rank for chain in plan.before.promises}
    stood = {fault_key(f) for f in plan.before.findings if f.verdict is Verdict.FAILS}

    assert [chain.id for chain in plan.after.promises if chain.verdict.rank > ranks.get(chain.id, 2)] == []
    assert {fault_key(f) for f in plan.after.findings if f.verdict is Verdict.FAILS} <= stood


def test_each_change_is_needed(house: Case, plan: MendingPlan) -> None:
    """Without any one of them something that it cures stands again."""
    assert plan.steps
    assert [step.candidate.does for step in plan.steps if not step.cures and not step.averts] == []
    trials = ChangeTrials(house, plan.before)
    everything = [step.candidate for step in plan.steps]
    for step in plan.steps[:3]:
        without = trials.of(other for other in everything if other.key != step.candidate.key)
        assert without.after is not None
        stands = {fault_key(f) for f in without.after.findings if f.verdict is Verdict.FAILS}
        assert {fault_key(cured.before) for cured in step.cures} <= stands


def test_a_change_that_does_harm_is_seen(house: Case, plan: MendingPlan) -> None:
    """The aerial that would reach the drive loses the terrace: the trial says so."""
    aerial = {
        "part": "whip",
        "at": [24.5, 23.8, 2.6],
        "coax": {"part": "rg58", "length": "8 m"},
        "tilt": "0 deg",
    }
    edit = (Change(("premises", "larkfen", "receivers", "R2", "antenna"), aerial),)
    trial = ChangeTrials(house, plan.before).of([Candidate("Aerial", edit, Link.AIR, 60)])

    assert len(trial.cured) >= 2
    assert trial.breaks
    assert "path lights from terrace" in " ".join(found.about for found in trial.fresh)


def test_what_is_then_not_known_is_not_cured(house: Case, plan: MendingPlan) -> None:
    """The wicket's cable taken out: its volts are no longer judged bad, and nobody knows them."""
    edit = (Change(("premises", "larkfen", "receivers", "R1", "outputs", "3", "cable"), None),)
    trial = ChangeTrials(house, plan.before).of([Candidate("No cable", edit, Link.SUPPLY, 1)])

    assert trial.after is not None
    wicket = [f for f in trial.after.findings if f.code == "SUP-01" and f.about.startswith("wicket")]
    assert [found.verdict for found in wicket] == [Verdict.UNKNOWN]
    assert fault_key(wicket[0]) not in trial.cured


def test_a_new_question_that_could_hurt_somebody_is_harm(house: Case, plan: MendingPlan) -> None:
    """Safeguards of the gate taken out of the file: nobody knows of them then, and that is no cure."""
    edit = (Change(("parts", "gate-drive", "safeguards"), None),)
    trial = ChangeTrials(house, plan.before).of([Candidate("No safeguards", edit, Link.DEVICE, 1)])

    assert trial.breaks
    assert {found.stake for found in trial.fresh} == {Stake.HARM}


def test_a_change_that_cannot_be_read_is_refused(house: Case, plan: MendingPlan) -> None:
    """A part that there is not: no traceback, the reason is kept."""
    edit = (Change(("premises", "larkfen", "receivers", "R2", "part"), "no such part"),)
    trial = ChangeTrials(house, plan.before).of([Candidate("Another part", edit, Link.AIR, 60)])

    assert trial.after is None
    assert trial.breaks
    assert "no such part" in trial.refused


def test_an_edit_is_offered_once_however_many_findings_offer_it() -> None:
    """Equal edits under other words are one candidate; a sentence for a person is none."""
    edit = (Change(("premises", "h", "receivers", "R1", "outputs", "1", "via"), "relay"),)
    findings: list[Finding] = [
        finding(
            "CON-01", Link.CONTACT, Verdict.FAILS, "a", remedies=(Remedy("Let a relay switch.", "", edit),)
        ),
        finding("CON-02", Link.CONTACT, Verdict.FAILS, "b", remedies=(Remedy("A relay between.", "", edit),)),
        finding("CON-03", Link.CONTACT, Verdict.FAILS, "c", remedies=(Remedy("Ask the customer."),)),
        finding("CON-04", Link.CONTACT, Verdict.THIN, "d", remedies=(Remedy("Not asked for.", "", edit),)),
    ]

    assert [candidate.does for candidate in candidates_of(findings)] == ["Let a relay switch"]
    (made,) = candidates_of(findings)
    assert not is_allowed(made, keep=("h/R1",))
    assert is_allowed(made, keep=("R1/2",))
    assert not is_allowed(made, forbid=("relay",))
    assert minutes_of(edit) == 30


def test_the_plan_in_words_says_what_stood_and_what_stands(plan: MendingPlan) -> None:
    """Figures before and after, what is left and what was tried for it, within 80 columns."""
    from farpress.cli.mend_text import mending_text

    text = mending_text(plan)

    assert "9.98 V, needs 10.2; then 10.5 V, needs 10.2" in " ".join(text.split())
    assert "LEFT FOR A PERSON" in text
    assert "Gap: no set of the " in text
    assert "Set and unset 'alarm' by buttons, outputs and inputs of their own" in " ".join(text.split())
    assert max(map(len, text.split("\n"))) <= 80
    assert mending_text(plan, plain=True).isascii()


def test_a_folder_that_is_there_is_refused(house: Case, plan: MendingPlan, tmp_path: Path) -> None:
    """Nothing is overwritten."""
    with pytest.raises(InputError, match="is there already"):
        write_mended(house, plan, tmp_path)


def test_what_cannot_be_completed_does_not_spoil_the_rest(house: Case) -> None:
    """The supply stays: some contact relays would empty its battery too soon; all else is mended all the
    same.
    """
    kept = mend(house, keep=("main",))

    assert len(kept.steps) >= 12
    assert all("main" not in change.path for step in kept.steps for change in step.candidate.changes)
    assert not [fault for fault in kept.left if fault_key(fault).startswith("SUP-04")]
