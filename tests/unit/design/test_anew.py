"""What stands taken away again: the wishes are what it worked, and whoever names nothing is told."""

from __future__ import annotations

from pathlib import Path

import pytest

from farpress.case.case import Case
from farpress.case.door import open_job
from farpress.design.anew import anew_from
from farpress.design.choosing import Variant
from farpress.design.design import design
from farpress.design.wishes import wishes_of
from farpress.design.writing import write_design
from farpress.errors import InputError
from farpress.jobfile.starter import starter_text
from farpress.judging.assess import assess
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
