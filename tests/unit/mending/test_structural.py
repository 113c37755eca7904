"""What could be built: each kind of change can be read, and cures what it is for."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path

import pytest

from farpress.case.case import Case
from farpress.case.door import open_job
from farpress.domain.finding import Assessment, Finding, Verdict
from farpress.jobfile.starter import starter_text
from farpress.judging.assess import assess
from farpress.mending.candidates import Candidate
from farpress.mending.structural.as_written import as_written, free_name, free_number, new_receiver
from farpress.mending.structural.contacts import contacts
from farpress.mending.structural.copper import copper
from farpress.mending.structural.inputs import inputs
from farpress.mending.structural.nearer import nearer
from farpress.mending.structural.people import people
from farpress.mending.structural.power import power
from farpress.mending.structural.set_and_unset import set_and_unset
from farpress.mending.trying import ChangeTrial, ChangeTrials
from survey import ROOT

pytestmark = pytest.mark.long


@pytest.fixture(scope="module")
def court() -> Case:
    """The court as it stands: a start input, fobs of fixed code, a memory too small, a contact too weak."""
    return open_job(ROOT / "examples" / "tallowmere-court")


@pytest.fixture(scope="module")
def trials(court: Case) -> ChangeTrials:
    """Changes of it."""
    return ChangeTrials(court, assess(court))


def _codes(trial: ChangeTrial) -> set[str]:
    assert not trial.refused
    return {name.split(" ")[0] for name in trial.cured}


def test_a_drive_is_worked_at_the_input_that_only_opens(court: Case, trials: ChangeTrials) -> None:
    """No press turns it round any more."""
    (made,) = inputs(court, trials.before.findings)

    assert made.changes[0].value == "entry-barrier.open"
    assert {"OUT-07", "RULE-06", "RULE-09"} <= _codes(trials.of((made,)))
    assert not trials.of((made,)).breaks


def test_fixed_codes_and_a_memory_too_small_are_replaced(court: Case, trials: ChangeTrials) -> None:
    """By what the job uses elsewhere, so that the same fobs can be learned."""
    fob, memory = (
        next(made for made in people(court, trials.before.findings) if made.changes[0].path[-1] == key)
        for key in ("fob", "part")
    )

    assert {"FOB-03", "SAFE-09"} <= _codes(trials.of((fob,)))
    assert "REG-01" in _codes(trials.of((memory,)))


def test_a_contact_too_weak_for_mains_gets_a_contactor(court: Case, trials: ChangeTrials) -> None:
    """With a diode across its coil and a limiter before the load: nothing new fails."""
    found = [made for made in contacts(court, trials.before.findings) if "diode" in made.does]

    assert found
    assert {"CON-01", "CON-05"} <= _codes(trials.of((found[0],)))
    assert not trials.of((found[0],)).breaks


def test_thicker_copper_goes_up_size_by_size(court: Case, trials: ChangeTrials) -> None:
    """Each step has at least a fifth less resistance; and a return core of its own is offered."""
    found = list(copper(court, trials.before.findings))
    ohms = [
        court.equipment.cables[str(made.changes[0].value)].sheet.resistance_ohm_per_km
        for made in found
        if made.changes[0].path[-1] == "part" and "orrindell" in made.does
    ]

    assert len(ohms) >= 3
    assert all(
        after is not None and before is not None and after <= 0.85 * before
        for before, after in pairwise(ohms)
    )
    assert any(made.changes[0].path[-1] == "shares_return_with" for made in found)


def _opened(folder: Path, text: str) -> tuple[Case, Assessment]:
    folder.mkdir()
    (folder / "job.yaml").write_text(text, encoding="utf-8")
    case = open_job(folder)
    return case, assess(case)


def _findings(folder: Path, text: str) -> tuple[Case, tuple[Finding, ...]]:
    case, before = _opened(folder, text)
    return case, before.findings


def test_a_place_too_far_gets_a_second_receiver(tmp_path: Path) -> None:
    """On a post on the way to the field no aerial at the house is enough for: it is fed, wired and heard;
    where
    nothing stands on the way, none is set into the middle of the field.
    """
    bare = starter_text("Alder").replace("street: {at: [13, -12]", "street: {at: [13, -160]")
    text = bare.replace("    supplies:", "    mounts:\n      lamp post: {at: [14, -125]}\n    supplies:")
    assert not list(nearer(*_findings(tmp_path / "bare", bare)))
    case, before = _opened(tmp_path / "job", text)
    found = list(nearer(case, before.findings))
    trials = ChangeTrials(case, before)

    assert found
    assert all(made.does.startswith("A second receiver R2") for made in found)
    assert all("on lamp post (14, -125), 2 m up" in made.does for made in found)
    assert any("AIR-01" in _codes(trials.of((made,))) for made in found)


def test_a_battery_too_small_and_a_supply_too_weak_are_replaced_step_by_step(tmp_path: Path) -> None:
    """By the next that are sold, of the same kind."""
    text = starter_text("Alder").replace(
        "{part: lead-7ah}}", "{part: lead-7ah}, standby: 24 h, other_load: 0.3 A}"
    )
    case, before = _opened(tmp_path / "job", text)
    found = list(power(case, before.findings))
    trials = ChangeTrials(case, before)

    assert [str(made.changes[0].value) for made in found if "Battery" in made.does] == [
        "lead-12ah",
        "lead-17ah",
    ]
    assert any("SUP-04" in _codes(trials.of((made,))) for made in found)


def test_a_battery_with_values_of_its_own_gets_more_ampere_hours(tmp_path: Path) -> None:
    """A part of another name would not take the place of a capacity that is written there."""
    text = starter_text("Alder").replace(
        "{part: lead-7ah}}", "{part: lead-7ah, capacity: 6 Ah}, standby: 24 h, other_load: 0.3 A}"
    )
    found = list(power(*_findings(tmp_path / "job", text)))

    assert [made.changes[0].path[-1] for made in found if "battery" in made.does] == ["capacity"] * 3
    assert [str(made.changes[0].value) for made in found if "battery" in made.does] == [
        "7 Ah",
        "12 Ah",
        "17 Ah",
    ]


def test_an_alarm_that_toggles_is_set_and_unset_apart() -> None:
    """On the house: promises and buttons for both, and nobody's other button is touched."""
    house = open_job(ROOT / "examples" / "larkfen-house")
    before = assess(house)
    (made,) = set_and_unset(house, before.findings)
    trial = ChangeTrials(house, before).of((made,))

    assert "OUT-02" in _codes(trial)
    assert trial.copy is not None
    job = trial.copy.job
    assert {kind for name in ("alarm", "alarm set") if (kind := job.functions[name].kind)} == {"set", "unset"}
    assert [promise.function for promise in job.promises[-2:]] == ["alarm set", "alarm set"]
    assert job.groups["parents"].buttons == house.job.groups["parents"].buttons
    assert job.groups["key holder"].buttons["3"] == "alarm set"


def test_names_and_numbers_that_are_free() -> None:
    """As those that are there, one further."""
    assert [free_name("R1", ["R1", "R2"]), free_name("set", ["set"]), free_name("x", [])] == [
        "R3",
        "set 2",
        "x",
    ]
    assert free_number(["1", "3"]) == "2"


def test_a_job_made_by_a_program_has_nothing_written(court: Case) -> None:
    """No file: no entry, no new receiver."""
    from dataclasses import replace

    bare = replace(court, document=None)

    assert as_written(bare, "premises") is None
    assert new_receiver(bare, "court", "R1", outputs=1) is None
    assert as_written(court, "premises", "court", "nothing", "there") is None


def test_every_candidate_of_the_examples_can_be_read(court: Case, trials: ChangeTrials) -> None:
    """A change that nobody can read is a fault of ours, whatever it cures."""
    found: list[Candidate] = [
        *inputs(court, trials.before.findings),
        *people(court, trials.before.findings),
        *power(court, trials.before.findings),
    ]

    assert found
    assert [trials.of((made,)).refused for made in found if trials.of((made,)).refused] == []
    assert all(finding.verdict is Verdict.FAILS for finding in trials.before.findings if finding.bars)
