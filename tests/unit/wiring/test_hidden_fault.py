"""A fault hidden for a learner: what is seen of it, and the tests that find it."""

from __future__ import annotations

import pytest

from farpress.case.case import Case
from farpress.case.circuit.electrics import electrics_of
from farpress.case.door import open_job
from farpress.wiring.hidden_fault import Hunt, LearnerTouch, hunt_of, minutes_of
from farpress.wiring.metering import CoreFault, core_faults
from helpers.project import EXAMPLES

WICKET = "main to wicket over output 3 of R1"


@pytest.fixture(scope="module")
def house() -> Case:
    """The family house."""
    return open_job(EXAMPLES / "larkfen-house")


def _hunt(case: Case, fault: CoreFault) -> Hunt:
    found = hunt_of(case, "larkfen", fault, list(core_faults(electrics_of(case, "larkfen").circuit)))
    assert found is not None
    return found


def test_a_broken_return_is_found_with_one_reading(house: Case) -> None:
    """Worked by hand: with its way back broken the wicket's 0 stands at the volts of its +, with the way out
    broken at 0 V, changed over at the full volts again but the + at none; common practice, no source.
    """
    hunt = _hunt(house, CoreFault("broken", f"{WICKET}, back"))
    reading = hunt.reads(LearnerTouch("wicket.0", "main.0", "wicket"))

    assert hunt.complaint.moment == "wicket"
    assert hunt.complaint.things == ("wicket",)
    assert {(fault.kind, fault.core) for fault in hunt.possible} >= {
        ("broken", f"{WICKET}, back"),
        ("broken", f"{WICKET}, out"),
    }
    assert [touch.a for touch in hunt.best] == ["wicket.0"]
    assert hunt.left_after(hunt.best, hunt.possible) == [hunt.fault]
    assert reading.volts is not None
    assert reading.volts > 12
    assert hunt.next_touch(hunt.best) is None


def test_the_best_order_leaves_the_fault_alone_or_what_reads_as_it_does(house: Case) -> None:
    """Each of some faults; and nobody finds it with less than it costs to tell the possible ones apart."""
    for name in ("main to R2, back", f"{WICKET}, out", "main to panel, out"):
        hunt = _hunt(house, CoreFault("broken", name))
        left = hunt.left_after(hunt.best, hunt.possible)

        assert hunt.fault in left
        assert len(left) == 1


def test_minutes_are_counted_box_by_box() -> None:
    """Two readings in one box cost one way, a wrong repair costs a quarter of an hour."""
    here, there = LearnerTouch("R1.+", "main.0", "x"), LearnerTouch("R1.0", "main.0", "x")

    assert minutes_of([here]) == 1.5 + 4
    assert minutes_of([here, there]) == 1.5 + 4 + 1.5
    assert minutes_of([here, LearnerTouch("gate.+", "main.0", "x")]) == 2 * (1.5 + 4)
    assert minutes_of([], 2) == 30


def test_what_nobody_sees_is_not_hidden(house: Case) -> None:
    """A return beside which another core joins the same two points makes no complaint."""
    quiet = [
        fault
        for fault in core_faults(electrics_of(house, "larkfen").circuit)
        if "panel, back" in fault.core and fault.kind == "broken"
    ]

    assert hunt_of(house, "larkfen", quiet[0], quiet) is None
