"""Small things that are built in where a contact, a battery or a toggling level is the fault."""

from __future__ import annotations

from pathlib import Path

import pytest

from farpress.case.case import Case
from farpress.case.door import open_job
from farpress.domain.finding import Verdict
from farpress.judging.assess import assess
from farpress.mending.plan import mend
from farpress.mending.structural.contacts import contacts
from farpress.mending.structural.power import power
from farpress.mending.structural.pulses import pulses
from farpress.mending.structural.set_and_unset import set_and_unset
from farpress.mending.trying import ChangeTrials
from helpers.small_jobs import HALL

pytestmark = pytest.mark.long


@pytest.fixture(scope="module")
def case(tmp_path_factory: pytest.TempPathFactory) -> Case:
    """A strike that a battery at its end does not work, and an alarm by a level that toggles."""
    folder = tmp_path_factory.mktemp("hall")
    (folder / "job.yaml").write_text(HALL, encoding="utf-8")
    return open_job(folder)


@pytest.fixture(scope="module")
def trials(case: Case) -> ChangeTrials:
    """Changes of it."""
    return ChangeTrials(case, assess(case))


def _codes(trials: ChangeTrials) -> set[str]:
    return {finding.code for finding in trials.before.findings if finding.verdict is Verdict.FAILS}


def test_the_hall_has_the_faults_that_are_mended_here(trials: ChangeTrials) -> None:
    """Else what follows shows nothing."""
    assert {"CON-04", "SUP-01", "OUT-02"} <= _codes(trials)


def test_too_little_current_gets_a_relay_with_contacts_for_little(tmp_path: Path) -> None:
    """Gold contacts, a diode across the coil; cured, and nothing else fails where the volts stay."""
    text = HALL.replace("{part: supply-12v-1a5, battery: {part: lead-7ah}", "{part: supply-12v-1a")
    (tmp_path / "job.yaml").write_text(text, encoding="utf-8")
    case = open_job(tmp_path)
    trials = ChangeTrials(case, assess(case))
    found = [made for made in contacts(case, trials.before.findings) if "gold" in made.does]
    trial = trials.of((found[0],))

    assert [change.path[-1] for change in found[0].changes] == ["via", "suppression"]
    assert any(name.startswith("CON-04") for name in trial.cured)
    assert not trial.breaks


def test_a_larger_supply_is_one_that_is_sold(case: Case, trials: ChangeTrials) -> None:
    """With its own fuse: a part of the catalogue, of the same volts, for a battery as the one there."""
    found = [made for made in power(case, trials.before.findings) if "instead of supply" in made.does]

    assert [made.changes[0].value for made in found] == ["supply-12v-3a"]
    assert not trials.of((found[0],)).breaks


def test_what_a_battery_at_its_end_does_not_work_gets_a_supply_of_its_own(
    case: Case, trials: ChangeTrials
) -> None:
    """The smallest without a battery, of like volts; nothing else fails."""
    own = [made for made in power(case, trials.before.findings) if "without a battery" in made.does]

    assert own[0].changes[0].value == {"part": "supply-12v-1a", "at": [1, 1, 2]}
    assert own[0].changes[1].value == "main 2"
    assert any(name.startswith("SUP-01") for name in trials.of((own[0],)).cured)
    assert not trials.of((own[0],)).breaks


def test_a_level_that_toggles_gets_a_button_to_set_and_one_to_unset(case: Case, trials: ChangeTrials) -> None:
    """The output becomes a latch, a second function sets, each group that unsets gets its button."""
    made = next(set_and_unset(case, trials.before.findings))
    trial = trials.of((made,))

    assert "two-button latch" in made.does
    assert any(name.startswith("OUT-02") for name in trial.cured)
    assert not trial.breaks
    assert trial.copy is not None
    assert trial.copy.job.functions["alarm"].switches == "off"
    assert trial.copy.job.functions["alarm set"].switches == "on"
    assert trial.copy.job.functions_of(trial.copy.job.groups["keepers"]) == ("door", "alarm", "alarm set")
    assert [promise.function for promise in trial.copy.job.promises] == ["door", "alarm", "alarm set"]


def test_a_lock_that_toggles_gets_a_pulse(tmp_path: Path) -> None:
    """Five seconds to push; after them it is shut whoever pressed before. Nothing new fails."""
    text = HALL.replace("kind: pulse, for: 4 s", "kind: toggle") + (
        "rules:\n  - {never: toggles, of: [door], says: shut again after each}\n"
    )
    (tmp_path / "job.yaml").write_text(text, encoding="utf-8")
    case = open_job(tmp_path)
    trials = ChangeTrials(case, assess(case))
    (made,) = pulses(case, trials.before.findings)
    trial = trials.of((made,))

    assert [(change.path[-2:], change.value) for change in made.changes] == [
        (("1", "kind"), "pulse"),
        (("1", "for"), "5 s"),
    ]
    assert any(name.startswith("RULE-09") for name in trial.cured)
    assert not trial.breaks


@pytest.mark.parametrize(
    ("alone", "changes"),
    [
        (
            "left_alone: {room: 2.2 m3, flow: 3 m3/h, told_by: [bell]}",
            [("kind", "pulse"), ("for", "22 min"), ("contact", "normally closed")],
        ),
        ("must_stay_on: the cellar floods", None),
    ],
)
def test_what_must_run_is_taken_off_by_a_break_contact_or_left_to_a_person(
    tmp_path: Path, alone: str, changes: list[tuple[str, str]] | None
) -> None:
    """Half of the 44 min that it may be off; a pulse on its make contact would leave it off for good."""
    (tmp_path / "job.yaml").write_text(
        f"""farpress: 2
job: Cellar
region: europe
premises:
  house:
    receivers:
      R1: {{part: receiver-4, at: [0, 0, 2], outputs: {{"1": {{kind: toggle, works: pump.on}}}}}}
    devices:
      pump: {{device: pump, supply: potential-free, load: input, {alone}, inputs: {{"on": {{logic: "on"}}}}}}
functions: {{pump: {{output: house/R1/1, kind: other}}}}
groups: {{all: {{fob: fob-4, count: 2, buttons: {{1: pump}}}}}}
""",
        encoding="utf-8",
    )
    case = open_job(tmp_path)
    trials = ChangeTrials(case, assess(case))
    made = list(pulses(case, trials.before.findings))

    assert [[(change.path[-1], change.value) for change in candidate.changes] for candidate in made] == (
        [] if changes is None else [changes]
    )
    if made:
        trial = trials.of(tuple(made))
        assert {"OUT-02", "SAFE-51"} <= {name.split()[0] for name in trial.cured}


@pytest.mark.parametrize(("lasts", "made"), [("", []), ("lasts: 20 min, ", ["20 min"])])
def test_what_is_to_stay_on_gets_no_pulse_that_nobody_asked_for(
    tmp_path: Path, lasts: str, made: list[str]
) -> None:
    """No second of heat cures a heater that toggles; the time that the customer names does."""
    text = HALL.replace("kind: pulse, for: 4 s, works: door.release", "kind: toggle, works: door.on")
    text = text.replace(
        "{part: strike-12v, at: [0, 2, 1.1], escape_route: false, opens_by_hand: true}", HEATER
    )
    text = text.replace("kind: unlock", f"{lasts}kind: heat")
    (tmp_path / "job.yaml").write_text(text, encoding="utf-8")
    case = open_job(tmp_path)
    found = list(pulses(case, [it for it in assess(case).findings if "R1/1" in it.about]))
    assert [change.value for candidate in found for change in candidate.changes[1:]] == made


HEATER = (
    "{device: heater, supply: dc, voltage: 12 V, current: 1 A, load: resistive, at: [0, 2, 1.1],"
    " inputs: {on: {logic: on, wants: maintained}}}"
)


def test_all_of_it_is_mended_together(case: Case) -> None:
    """What is left is what only a person can do: no relay of the list pulls in at the end of the battery."""
    plan = mend(case)

    assert not {finding.code for finding in plan.left} & {"SUP-01", "OUT-02", "PAN-06"}
    assert {finding.code for finding in plan.left} <= {"CON-04", "CON-06"}


def test_a_rule_that_bars_a_cure_is_called_as_the_customer_wrote_it(tmp_path: Path) -> None:
    """A lock that a press frees would be free after a power cut: the rule stands in the way."""
    text = HALL.replace("strike-12v", "magnetic-lock-12v") + (
        "rules:\n  - {never: works after power return, of: [door], says: shut after a cut}\n"
    )
    (tmp_path / "job.yaml").write_text(text, encoding="utf-8")
    plan = mend(open_job(tmp_path), budget_min=400)
    between = {wish for conflict in plan.conflicts for wish in conflict.between}

    assert "rule 1 (shut after a cut)" in between
