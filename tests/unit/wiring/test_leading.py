"""Wires led otherwise: a cable is drawn core by core, the circuit stays; every edit has its way back."""

from __future__ import annotations

import pytest

from farpress.case.cables import cables_of
from farpress.case.case import Case
from farpress.case.changed import tried_with
from farpress.case.circuit.electrics import electrics_of
from farpress.case.cores import CONTACT_OHM
from farpress.case.door import open_job
from farpress.domain.finding import Change
from farpress.errors import InputError
from farpress.judging.assess import assess
from farpress.wiring.board import board_of
from farpress.wiring.leading import (
    cable_cut,
    core_freed,
    core_laid,
    core_led,
    core_shared,
    drawn_out,
    terminals_joined,
)
from farpress.wiring.line_ends import line_end, line_ends_at
from farpress.wiring.metering import metered
from helpers.project import EXAMPLES

READ = "as a meter reads it"


@pytest.fixture(scope="module")
def house() -> Case:
    """The family house."""
    return open_job(EXAMPLES / "larkfen-house")


def _draws(case: Case, moment: str) -> list[tuple[str, float | None]]:
    electrics = electrics_of(case, "larkfen")
    now = next(known for known in electrics.moments if known.name == moment)
    solved = electrics.in_moment(now)
    return sorted((draw.name, _rounded(solved.across(draw.a, draw.b))) for draw in electrics.circuit.draws)


def _rounded(value: float | None) -> float | None:
    return None if value is None else round(value, 9)


@pytest.mark.long
def test_every_cable_of_the_house_can_be_drawn_or_says_why_not(house: Case) -> None:
    """Each load has the same volts at every press, to a nanovolt, once all of them are drawn."""
    drawn, refused = house, {}
    for body in cables_of(house, "larkfen"):
        try:
            drawn = tried_with(drawn, drawn_out(drawn, "larkfen", body.label))
        except InputError as error:
            refused[body.label] = str(error)
    moments = [moment.name for moment in electrics_of(house, "larkfen").moments]

    mains = {label for label, says in refused.items() if "carries mains" in says}
    assert mains == {"W9", "W10", "W11"}
    assert {label for label, says in refused.items() if "not described" in says} == set(refused) - mains
    assert len(drawn.job.premises["larkfen"].cables) == 10
    for moment in moments:
        assert _draws(drawn, moment) == _draws(house, moment), moment


@pytest.mark.long
def test_a_cable_that_is_drawn_is_judged_no_better(house: Case) -> None:
    """The words of the promises stay; what stands beside them names no other word for the same thing."""
    drawn = tried_with(house, drawn_out(house, "larkfen", "W5"))
    before, after = assess(house), assess(drawn)

    assert [chain.verdict for chain in after.promises] == [chain.verdict for chain in before.promises]
    words = {finding.key: finding.verdict for finding in before.findings}
    moved = {
        f.key: (words[f.key], f.verdict) for f in after.findings if words.get(f.key, f.verdict) != f.verdict
    }
    assert moved == {}


def test_a_core_led_elsewhere_and_back_is_where_it_was(house: Case) -> None:
    """The gate's input reads open while its core hangs at the wrong contact, and closed again after."""
    there = tried_with(house, core_led(house, "larkfen", "W5", "1", end="R1.1.make", to="R1.2.make"))
    back = tried_with(there, core_led(there, "larkfen", "W5", "1", end="R1.2.make", to="R1.1.make"))

    def closed(case: Case) -> float:
        now = metered(case, "larkfen", "gate.open", "gate.open common", moment="open gate", level=READ)
        assert now.volts is not None
        return now.volts

    assert closed(house) == pytest.approx(closed(back), abs=1e-9)
    assert closed(house) < 0.1 < 20 < closed(there)


def test_a_return_that_two_things_share_lifts_the_other(house: Case) -> None:
    """The sounder's return led over R2's core: R2's 0 V rises by what the sounder draws through that core."""
    bare = tried_with(house, core_freed(house, "larkfen", "W13", "2"))
    shared = tried_with(bare, core_shared(bare, "larkfen", "W2", "2", to="help-sounder.0"))

    def lift(case: Case, moment: str) -> float:
        now = metered(case, "larkfen", "R2.0", "main.0", moment=moment, level=READ)
        assert now.volts is not None
        return now.volts

    call = next(
        m.name for m in electrics_of(house, "larkfen").moments if "call" in m.name or "help" in m.name
    )
    board = board_of(shared, "larkfen", moment=call, level=READ)
    core = next(core for core in board.cores if (core.label, core.core) == ("W2", "2"))
    assert core.amperes is not None
    assert core.ohm is not None
    assert abs(core.amperes) > 0.2
    assert lift(shared, call) == pytest.approx(abs(core.amperes) * core.ohm, rel=0.02)  # Ohm's law
    assert lift(shared, call) > 3 * lift(house, call)


def test_a_junction_in_a_cable_adds_its_terminal_and_no_more(house: Case) -> None:
    """Two pieces of one cable are as long as it was, with a terminal between them."""
    cut = tried_with(house, cable_cut(house, "larkfen", "W5", junction="J1", near_m=11.0, further="W5b"))
    cables = cut.job.premises["larkfen"].cables
    ohms = [
        metered(case, "larkfen", "R1.1.make", "gate.open", moment="at rest", level=READ).ohms
        for case in (house, cut)
    ]

    assert cables["W5"].length_m + cables["W5b"].length_m == pytest.approx(31.0)
    assert ohms[1] - ohms[0] == pytest.approx(CONTACT_OHM, rel=1e-9)


def test_a_new_core_and_a_wire_in_the_housing_carry(house: Case) -> None:
    """A spare core of the cable to the gate is taken; a wire is put in and, asked again, taken out."""
    laid = tried_with(house, core_laid(house, "larkfen", "R1.2.common", "gate.stop", label="W5"))
    joined = tried_with(laid, terminals_joined(laid, "larkfen", "R1.2.common", "R1.1.common"))
    parted = tried_with(joined, terminals_joined(joined, "larkfen", "R1.1.common", "R1.2.common"))

    assert laid.job.premises["larkfen"].cables["W5"].cores["5"] == ("R1.2.common", "gate.stop")
    assert joined.job.premises["larkfen"].links[-1] == ("R1.2.common", "R1.1.common")
    assert parted.job.premises["larkfen"].links == laid.job.premises["larkfen"].links


def test_what_cannot_be_done_is_told_with_what_there_is(house: Case) -> None:
    """A core, terminal, cable or place that is not there; a cable that is full; a mains cable."""
    asked = [
        (lambda: core_led(house, "larkfen", "W5", "9", end="x", to="gate.open"), "no core '9'"),
        (lambda: core_led(house, "larkfen", "W5", "1", end="gate.stop", to="gate.open"), "does not end at"),
        (lambda: core_led(house, "larkfen", "W5", "1", end="R1.1.make", to="gate.opem"), "closest: 'open'"),
        (lambda: core_led(house, "larkfen", "W9", "1", end="R2.2.make", to="R2.1.make"), "licensed"),
        (lambda: core_led(house, "larkfen", "W77", "1", end="x", to="y"), "no cable 'W77'"),
        (lambda: core_laid(house, "larkfen", "main.+", "R1.+", label="W1"), "Every core of W1 is in use"),
        (lambda: core_laid(house, "larkfen", "main.+", "main.+", label="W5"), "Both ends are main.+"),
        (lambda: core_laid(house, "larkfen", "main.+", "R1.+", label="W90"), "no cable 'W90' yet"),
        (lambda: cable_cut(house, "larkfen", "W5", junction="R1", near_m=2, further="x"), "a 'R1' already"),
        (lambda: cable_cut(house, "larkfen", "W5", junction="J1", near_m=31, further="x"), "31 m long"),
        (lambda: line_end(house, "larkfen", "main.+", place="far end", ohm=None), "No line of a panel"),
        (lambda: line_end(house, "larkfen", "panel.set-unset", place="moon", ohm=None), "one of far end"),
    ]
    for act, says in asked:
        with pytest.raises(InputError) as caught:
            act()
        assert says in str(caught.value)


@pytest.mark.parametrize(
    "to",
    [
        "path-lights.L",
        "terrace-shutters.N",
        "terrace-shutters.up",  # an input that is worked by mains
        "R2.2.make",  # its contact switches mains
        "R2.2.common",
        "R2.2.break",
    ],
)
def test_no_wire_of_extra_low_voltage_is_led_to_mains(house: Case, to: str) -> None:
    """By none of the ways there are; the reason is told (separation of circuits: IEC 60364-4-41, 414.4, from
    memory).
    """
    asked = [
        lambda: core_led(house, "larkfen", "W5", "1", end="R1.1.make", to=to),
        lambda: core_shared(house, "larkfen", "W5", "1", to=to),
        lambda: core_laid(house, "larkfen", "R1.2.common", to, label="W5"),
        lambda: core_laid(house, "larkfen", to, "R1.2.common", label="W5"),
        lambda: terminals_joined(house, "larkfen", to, "R1.2.common"),
        lambda: terminals_joined(house, "larkfen", "R1.2.common", to),
    ]
    for act in asked:
        with pytest.raises(InputError, match=f"^{to} (stands at mains|is wired to .*, at mains)"):
            act()


def test_what_mains_was_joined_to_by_mistake_is_taken_out(house: Case) -> None:
    """The wire that SAFE-11 bars goes; it is the job's that drew it."""
    wrong = ["main.+", "path-lights.L"]
    links = [*map(list, house.job.premises["larkfen"].links), wrong]
    there = tried_with(house, [Change(("premises", "larkfen", "links"), links)])
    mended = tried_with(there, terminals_joined(there, "larkfen", *wrong))

    assert [*map(list, mended.job.premises["larkfen"].links)] == links[:-1]


def test_a_resistor_is_put_at_the_panel_and_back_at_the_far_end(house: Case) -> None:
    """What is shown of it follows."""
    moved = tried_with(house, line_end(house, "larkfen", "panel.set-unset", place="panel", ohm=None))
    back = tried_with(moved, line_end(moved, "larkfen", "panel.set-unset", place="far end", ohm=None))
    places = [
        next(row.place for row in line_ends_at(case, "larkfen") if row.terminal == "panel.set-unset")
        for case in (house, moved, back)
    ]

    assert places == ["far end", "panel", "far end"]


def test_a_board_shows_every_cable_terminal_and_fault(house: Case) -> None:
    """Each core that ends somewhere ends at a terminal of a box; what fails stands at its box."""
    board = board_of(house, "larkfen", moment="open gate", level=READ, findings=assess(house).findings)
    there = {terminal for box in board.boxes for terminal in box.terminals}

    assert {end for core in board.cores for end in core.ends} <= there
    gate = next(box for box in board.boxes if box.thing == "gate")
    assert any(finding.verdict == "fails" for finding in gate.faults)
    first = next(contact for box in board.boxes for contact in box.contacts if contact.b == "R1.1.make")
    assert first.is_closed


def test_of_mains_no_core_is_drawn(house: Case) -> None:
    """Which wire is live is a licensed electrician's to say: the cables are named, and nothing more."""
    board = board_of(house, "larkfen", moment="at rest", level=READ)

    assert [says.split()[0] for says in board.mains] == ["W9", "W10", "W11"]
    assert not {core.label for core in board.cores} & {"W9", "W10", "W11"}
    assert "W5" in {core.label for core in board.cores}
