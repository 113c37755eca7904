"""A meter on the circuit of the house: Ohm's law by hand, faults that show and that do not."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest

from farpress.case.case import Case
from farpress.case.door import open_job
from farpress.errors import InputError
from farpress.wiring.core_faults import CoreFault
from farpress.wiring.metering import (
    METER_LEVELS,
    MeterReading,
    cores_everywhere,
    meter_terminals,
    metered,
    volts_everywhere,
    what_faults_read,
)
from helpers.project import EXAMPLES

BACK, OUT = (f"main to wicket over output 3 of R1, {way}" for way in ("back", "out"))


@pytest.fixture(scope="module")
def house() -> Case:
    """The family house."""
    return open_job(EXAMPLES / "larkfen-house")


def read(case: Case, a: str, b: str, moment: str = "wicket", fault: CoreFault | None = None) -> MeterReading:
    """At rated volts and 20 degC."""
    return metered(case, "larkfen", a, b, moment=moment, level="as a meter reads it", fault=fault)


def test_ohms_law_holds_at_the_strike_and_along_its_core(house: Case) -> None:
    """By hand: 12 V / 350 mA = 34.29 ohm; 24 m of 81.2 ohm/km are 1.949 ohm, and drop so much; a meter has
    its terminal, 0.05 ohm, on top.
    """
    strike = read(house, "wicket.+", "wicket.0")
    core = read(house, "wicket.0", "main.0")
    amperes = next(found.amperes for found in strike.cores if found.core == BACK)

    assert strike.ohms == pytest.approx(12 / 0.35, rel=1e-9)
    assert core.ohms == pytest.approx(0.0812 * 24 + 0.05, rel=1e-9)
    assert amperes is not None
    assert strike.volts == pytest.approx(amperes * 12 / 0.35, rel=1e-6)
    assert core.volts == pytest.approx(amperes * 0.0812 * 24, rel=1e-6)


def test_volts_add_up_round_every_way(house: Case) -> None:
    """The second law of Kirchhoff between any terminals, and leads changed over change the sign."""
    way = ["main.+", "wicket.+", "wicket.0", "R1.0", "main.+"]
    total = sum(read(house, a, b).volts or 0.0 for a, b in pairwise(way))

    assert total == pytest.approx(0.0, abs=1e-9)
    assert read(house, "wicket.0", "wicket.+").volts == pytest.approx(
        -(read(house, "wicket.+", "wicket.0").volts or 0)
    )
    assert read(house, "main.0", "R1.0").ohms == pytest.approx(read(house, "R1.0", "main.0").ohms)


def test_a_state_decides_what_is_read(house: Case) -> None:
    """Nothing at the strike at rest; less from the battery's end; open between two supplies."""
    volts = {
        level: metered(house, "larkfen", "wicket.+", "wicket.0", moment="wicket", level=level).volts or 0.0
        for level in METER_LEVELS
    }

    assert read(house, "wicket.+", "wicket.0", "at rest").volts == pytest.approx(0.0, abs=1e-9)
    assert volts["mains off, battery at its end"] < volts["mains off, battery full"]
    assert volts["lowest volts, cores hot"] < volts["highest volts, cores cold"]
    apart = read(house, "main.+", "garden-ac.~2")
    assert apart.volts is None
    assert apart.no_volts
    assert math.isinf(apart.ohms)
    assert read(house, "water.~1", "water.~2", "garden water").is_alternating


@pytest.mark.parametrize(
    ("fault", "volts", "ohms"),
    [
        (CoreFault("broken", BACK), 0.0, 12 / 0.35),
        (CoreFault("broken", OUT), 0.0, 12 / 0.35),
        (CoreFault("shorted", OUT, BACK), 0.0, 0.0),
    ],
)
def test_a_fault_of_the_core_shows_where_it_is(
    house: Case, fault: CoreFault, volts: float, ohms: float
) -> None:
    """No volts at the strike; only the short is seen in the ohms too."""
    wrong = read(house, "wicket.+", "wicket.0", fault=fault)

    assert wrong.volts == pytest.approx(volts, abs=1e-6)
    assert wrong.ohms == pytest.approx(ohms, abs=1e-6)
    assert read(house, "main.+", "main.0", "at rest", fault=CoreFault("broken", OUT)).volts == pytest.approx(
        read(house, "main.+", "main.0", "at rest").volts, rel=0.01
    )


def test_each_fault_says_whether_this_reading_tells_it(house: Case) -> None:
    """Both cores of the strike do, and the way out to the receiver, which then closes no contact; those of
    the garden do not; the telling ones come first.
    """
    rows = what_faults_read(
        house, "larkfen", "wicket.+", "wicket.0", moment="wicket", level="as a meter reads it"
    )
    told = {row.fault.core for row in rows if row.differs and row.fault.kind == "broken"}

    assert told == {BACK, OUT, "main to R1, out"}
    assert [row.differs for row in rows] == sorted((row.differs for row in rows), reverse=True)


def test_cores_of_a_thing_changed_over_turn_its_volts(house: Case) -> None:
    """The receiver hangs the wrong way round; nothing else is shorted by it."""
    cores = (f"main to R2, {way}" for way in ("out", "back"))
    wrong = read(house, "R2.+", "R2.0", "at rest", CoreFault("swapped", *cores))
    right = read(house, "R2.+", "R2.0", "at rest")

    assert wrong.volts is not None
    assert right.volts is not None
    assert wrong.volts == pytest.approx(-right.volts, rel=0.01)


def test_a_core_led_elsewhere_and_back_reads_as_before(house: Case) -> None:
    """At its own terminal it is no fault."""
    right = read(house, "wicket.+", "wicket.0")
    same = read(house, "wicket.+", "wicket.0", fault=CoreFault("moved", OUT, "wicket.+"))
    away = read(house, "wicket.+", "wicket.0", fault=CoreFault("moved", OUT, "R2.+"))

    assert same.volts == pytest.approx(right.volts)
    assert away.volts == pytest.approx(0.0, abs=1e-6)


def test_every_terminal_has_its_volts_or_none(house: Case) -> None:
    """Each terminal once; its 0 V reads nothing."""
    rows = volts_everywhere(house, "larkfen", moment="at rest", level="as a meter reads it")
    names = [name for terminals, _, _ in rows for name in terminals]

    assert sorted(names) == sorted(meter_terminals(house, "larkfen"))
    assert all(volts == 0.0 for terminals, volts, ground in rows if ground in terminals)


def test_every_core_is_drawn_with_its_amperes(house: Case) -> None:
    """The two of the strike carry the same; a broken one stays, carries nothing and is marked."""
    state = {"moment": "wicket", "level": "as a meter reads it"}
    right = {core.name: amperes for core, amperes, _ in cores_everywhere(house, "larkfen", **state)}
    wrong = {
        core.name: (amperes, is_wrong)
        for core, amperes, is_wrong in cores_everywhere(
            house, "larkfen", fault=CoreFault("broken", BACK), **state
        )
    }

    assert right[BACK] == pytest.approx(right[OUT])
    assert wrong[BACK] == (0.0, True)
    assert wrong[OUT] == (pytest.approx(0.0, abs=1e-9), False)
    assert right.keys() == wrong.keys()


def test_all_that_is_not_there_is_told_at_once(house: Case) -> None:
    """Terminal, state and level, and a core."""
    with pytest.raises(InputError) as told:
        metered(house, "larkfen", "wickt.+", "main.0", moment="never", level="full moon")
    for word in ("wickt.+", "wicket.+", "never", "full moon"):
        assert word in str(told.value)
    with pytest.raises(InputError, match="no core"):
        read(house, "wicket.+", "main.0", fault=CoreFault("broken", "no such core"))
