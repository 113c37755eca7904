"""A fault hidden for a learner: what is seen of it, and the tests that find it."""

from __future__ import annotations

import pytest

from farpress.case.case import Case
from farpress.case.door import open_job
from farpress.catalogue.faults import load_faults
from farpress.wiring.hidden_fault import (
    LOOK,
    Hunt,
    LearnerTest,
    LearnerTouch,
    hunt_of,
    learner_tests,
    minutes_of,
)
from farpress.wiring.staged_faults import STAGED_KINDS, StagedFault, staged_faults
from helpers.project import EXAMPLES

WICKET = "main to wicket over output 3 of R1"


@pytest.fixture(scope="module")
def house() -> Case:
    """The family house."""
    return open_job(EXAMPLES / "larkfen-house")


def _hunt(case: Case, kind: str, of: str, other: str = "") -> Hunt:
    fault = next(
        fault
        for fault in staged_faults(case, "larkfen")
        if (fault.kind, fault.of, fault.other) == (kind, of, other)
    )
    found = hunt_of(case, "larkfen", fault)
    assert found is not None
    return found


def test_a_broken_return_reads_as_worked_by_hand(house: Case) -> None:
    """With its way back broken the wicket's 0 stands at the volts of its +; common practice, no source."""
    hunt = _hunt(house, "broken", f"{WICKET}, back")
    reading = hunt.reads(LearnerTouch("wicket.0", "main.0", "wicket"))

    assert hunt.complaint.moment == "wicket"
    assert hunt.complaint.things == ("wicket",)
    shows_alike = {(fault.kind, fault.of) for fault in hunt.possible}
    assert shows_alike >= {
        ("broken", f"{WICKET}, back"),
        ("broken", f"{WICKET}, out"),
        ("broken", "main to R1, out"),
        ("dead cell", hunt.complaint.who),
        ("not learned", hunt.complaint.who),
        ("wrong time", "larkfen/R1/3"),
    }
    assert reading.volts is not None
    assert reading.volts > 12
    assert hunt.next_step(hunt.best) is None


@pytest.mark.parametrize("kind", STAGED_KINDS)
def test_the_best_order_leaves_the_fault_alone_or_what_no_test_tells_from_it(house: Case, kind: str) -> None:
    """One of each kind; a named one is taken only where nothing tells it from the hidden one."""
    hunts = (
        hunt_of(house, "larkfen", fault) for fault in staged_faults(house, "larkfen") if fault.kind == kind
    )
    hunt = next(found for found in hunts if found is not None)
    left = hunt.left_after(hunt.best, hunt.possible)

    assert hunt.fault in left
    assert len(left) < len(hunt.possible)
    assert [fault for fault in hunt.possible if hunt.is_named_by(fault)] == left
    assert hunt.best


def test_a_fob_that_nobody_hears_leaves_the_contact_at_rest(house: Case) -> None:
    """The meter at the gate reads as while nobody presses; a fresh cell cures it and nothing else."""
    hunt = _hunt(house, "dead cell", "parents")
    touch = LearnerTouch("gate.open", "gate.open common", "open gate")
    pressed, rests = hunt.reads(touch, right=True), hunt.reads(LearnerTouch(touch.a, touch.b, "at rest"))

    assert hunt.complaint.who == "parents"
    assert hunt.reads(touch).volts == rests.volts
    assert pressed.volts != rests.volts
    assert hunt.tells(LearnerTest("new cell")) == load_faults().tests["new cell"].yes
    assert hunt.tells(LearnerTest("another fob")) == load_faults().tests["another fob"].no


def test_an_output_that_is_set_wrong_is_seen_by_who_stands_there(house: Case) -> None:
    """The strike of four seconds stays released as a toggle, and for a fifth of that with a wrong time."""
    kind, time = (_hunt(house, kind, "larkfen/R1/3") for kind in ("wrong kind", "wrong time"))

    assert kind.tells(LearnerTest(LOOK)) == "wicket: released and stays so."
    assert time.tells(LearnerTest(LOOK)) == "wicket: released for 1 s."
    assert time.reads(LearnerTouch("wicket.+", "wicket.0", "wicket")) == time.reads(
        LearnerTouch("wicket.+", "wicket.0", "wicket"), right=True
    )


def test_a_resistor_that_was_never_fitted_is_read_at_the_panel(house: Case) -> None:
    """Without its end-of-line resistor the loop stands open at rest."""
    hunt = _hunt(house, "left out", "end-of-line resistor of R1.4")
    touch = LearnerTouch("panel.set-unset", "panel.set-unset common", "at rest")

    assert hunt.reads(touch, right=True).ohms < 5000 < hunt.reads(touch).ohms


def test_minutes_are_counted_box_by_box() -> None:
    """Two readings in one box cost one way; what was mended without need costs its mending and a try."""
    here, there = LearnerTouch("R1.+", "main.0", "x"), LearnerTouch("R1.0", "main.0", "x")
    book = load_faults()

    assert minutes_of([here]) == 1.5 + 4
    assert minutes_of([here, there]) == 1.5 + 4 + 1.5
    assert minutes_of([here, LearnerTouch("gate.+", "main.0", "x")]) == 2 * (1.5 + 4)
    assert minutes_of([here, LearnerTest("new cell"), there]) == 7 + book.tests["new cell"].minutes
    cell, core = StagedFault("dead cell", "x"), StagedFault("broken", "y")
    assert minutes_of([], [cell]) == book.causes["cell"].minutes + 1.5
    assert (
        minutes_of([], [cell, core]) == sum(book.causes[name].minutes for name in ("cell", "cable cut")) + 3
    )


def test_what_nobody_sees_is_not_hidden(house: Case) -> None:
    """A return beside which another core joins the same two points makes no complaint."""
    quiet = next(
        fault
        for fault in staged_faults(house, "larkfen")
        if fault.kind == "broken" and fault.of == "main to panel, back"
    )

    assert hunt_of(house, "larkfen", quiet) is None


def test_every_test_offered_tells_something_for_sure() -> None:
    """Every cause that can be hidden shows each sign nearly always or nearly never, as the book has it."""
    causes = {cause for cause, _ in STAGED_KINDS.values()}
    assert causes <= set(load_faults().causes)
    for name, test in learner_tests().items():
        chances = [test.links.get(cause, 0.0) for cause in causes]
        assert name == LOOK or max(chances) >= 0.7
        assert not [chance for chance in chances if 0.25 < chance < 0.7]
