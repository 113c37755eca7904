"""What stands taken away again: the wishes are what it worked, and whoever names nothing is told."""

from __future__ import annotations

from pathlib import Path

import pytest

from farpress.case.case import Case
from farpress.case.door import open_job
from farpress.design.anew import anew_from
from farpress.design.choosing import Variant
from farpress.design.design import design
from farpress.design.signals import signal_decisions
from farpress.design.wishes import wishes_of
from farpress.design.writing import write_design
from farpress.errors import InputError
from farpress.jobfile.starter import starter_text
from farpress.judging.assess import assess
from helpers.small_jobs import HALL
from helpers.wished_jobs import opened


@pytest.fixture
def gate(tmp_path: Path) -> Case:
    """The job that a new folder begins with: a gate on one receiver."""
    return opened(tmp_path / "job", starter_text("Alder"))


def test_all_of_it_leaves_wishes(gate: Case) -> None:
    """No receiver, supply or reading is left; each function says what it worked, and the same comes back."""
    bare = anew_from(gate, ["all"])
    house = next(iter(bare.case.job.premises.values()))
    worked = {
        name: [works for output in gate.outputs_of(name) for works in output.works]
        for name in gate.job.functions
    }

    assert not house.receivers
    assert not house.supplies
    assert not bare.case.job.readings
    assert {
        name: [wish.rpartition("/")[2] for wish in function.wished]
        for name, function in bare.case.job.functions.items()
    } == worked
    assert [contact.works for contact in wishes_of(bare.case).contacts] == [
        tuple(works) for works in worked.values()
    ]


def test_one_receiver_leaves_the_supplies(gate: Case) -> None:
    """Only it is taken away."""
    name = next(iter(next(iter(gate.job.premises.values())).receivers))
    bare = anew_from(gate, [name])
    house = next(iter(bare.case.job.premises.values()))

    assert name not in house.receivers
    assert house.supplies


def test_nothing_named_is_nothing_changed(gate: Case) -> None:
    """The same case, without changes."""
    bare = anew_from(gate, [])

    assert bare.case is gate
    assert bare.changes == ()


def test_an_unknown_receiver_is_refused(gate: Case) -> None:
    """With what was given, each one."""
    with pytest.raises(InputError, match=r"--anew R77: .*--anew X"):
        anew_from(gate, ["R77", "X"])


@pytest.mark.long
def test_a_design_of_what_is_left_is_written_into_the_job_as_it_stands(gate: Case, tmp_path: Path) -> None:
    """Taken away and drawn in one: the new folder reads back as the design was judged."""
    bare = anew_from(gate, ["all"])
    (found,) = design(bare.case, variants=(Variant.CHEAPEST,), fixes=bare.fixes).variants
    write_design(gate, bare.with_design(found), tmp_path / "new")
    again = assess(open_job(tmp_path / "new"))

    assert [(f.code, f.about, f.verdict, f.value) for f in again.findings] == [
        (f.code, f.about, f.verdict, f.value) for f in found.after.findings
    ]


SIGNALLED = (
    HALL.replace(
        "premises:\n",
        "parts:\n  told: {kind: receiver, like: receiver-4, low_cell: {form: relay, current_max: 0.5 A}}\n"
        "premises:\n",
    )
    .replace("part: receiver-4\n", "part: PART\n")
    .replace(
        "        outputs:\n",
        "        signals: {low cell: {works: lamp.on, load_from: main,"
        " cable: {part: alarm-4x0.22, length: 9 m}}}"
        "\n        outputs:\n",
    )
    .replace("    devices:\n", "    devices:\n      lamp: {part: led-12v, pieces: 1, at: [2, 2, 2]}\n")
)


@pytest.mark.long
def test_a_signal_is_led_to_its_lamp_from_the_new_receiver(tmp_path: Path) -> None:
    """By a cable as long as it is from there, fed from a supply that is there."""
    case = opened(tmp_path / "job", SIGNALLED.replace("PART", "told"))
    bare = anew_from(case, ["all"])
    found = design(bare.case, variants=(Variant.CHEAPEST,), fixes=bare.fixes, signals=bare.signals).variants[
        0
    ]
    house = found.case.job.premises["hall"]
    (signal,) = [given for box in house.receivers.values() for given in box.signals.values()]

    assert [ask for _, ask in bare.asks] == []
    assert signal.works == "lamp.on"
    assert signal.load_from in house.supplies
    assert signal.cable is not None
    assert signal.cable.part == "alarm-4x0.22"


def test_a_signal_that_no_new_receiver_has_is_asked(tmp_path: Path) -> None:
    """What it worked is named, so that somebody leads it there."""
    case = opened(tmp_path / "job", SIGNALLED.replace("PART", "told"))
    bare = anew_from(case, ["R1"])
    decisions, asks = signal_decisions(bare.case, bare.case, bare.signals)

    assert decisions == ()
    assert [about for about, _ in asks] == ["hall/R1"]
    assert "which R1 led to lamp.on" in asks[0][1]
