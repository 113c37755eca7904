"""Supplies that are fed from supplies: what each asks of the one before it; a circle is refused."""

from __future__ import annotations

import pytest

from farpress.case.circuit.arriving import given_a
from farpress.case.circuit.electrics import electrics_of
from farpress.case.circuit.states import AS_READ
from farpress.catalogue.store import load_catalogue
from farpress.errors import JobFileError
from farpress.jobfile.reader import read_job_text
from farpress.judging.supply.volts import judge
from helpers.circuit_jobs import JOBS, small_job
from helpers.wired_case import wired_case

CORE = 2 * 0.040 * 96.0


def test_a_converter_asks_for_its_watts_over_its_efficiency() -> None:
    """12 V on 25 ohm and 15 m there and back; over 0.8 through the 7.68 ohm of its own cable on 27 V."""
    electrics = electrics_of(small_job("a converter behind a supply"), "larkfen")
    solved = electrics.in_moment(electrics.pressed[0], AS_READ)
    amperes = 12.0 / (25.0 + 2 * 0.015 * 96.0)
    watts = 12.0 * amperes / 0.8
    before = solved.across("small.in +", "small.in 0")
    taken = solved.through("load small.in +")

    assert solved.given_a("small") == pytest.approx(amperes)
    assert before is not None
    assert taken is not None
    assert before * taken == pytest.approx(watts)
    assert before == pytest.approx((solved.across("main.+", "main.0") or 0.0) - CORE * taken)


def test_what_hangs_behind_counts_in_the_load_of_the_supply_before() -> None:
    """By the labels: 0.48 A at 12 V over 0.8 of 27 V are 0.267 A, beside the receiver's 40 mA."""
    electrics = electrics_of(small_job("a converter behind a supply"), "larkfen")

    assert given_a(electrics, "main", electrics.everything[0]) == pytest.approx(
        0.040 + 0.48 * 12.0 / 0.8 / 27.0, rel=1e-6
    )


@pytest.mark.parametrize(("other_a", "verdict"), [(0.0, "holds"), (2.0, "fails")])
def test_what_is_not_drawn_behind_a_converter_asks_for_power_too(other_a: float, verdict: str) -> None:
    """2.5 A at 12 V over 0.8 are 37 W; 7.68 ohm at 27 V pass 27 x 27 / (4 x 7.68) = 24 W at the very most."""
    house = JOBS["a converter behind a supply"]
    small = house["supplies"]["small"] | {"other_load_a": other_a}
    case = wired_case(house | {"supplies": house["supplies"] | {"small": small}})
    arriving = next(f for f in judge(case) if f.code == "SUP-01" and f.about.startswith("small"))

    assert arriving.verdict.value == verdict
    assert ("no steady voltage" in arriving.says) == (verdict == "fails")


def test_a_supply_fed_from_another_has_no_standby_of_its_own() -> None:
    """The battery stands in the one before it: SUP-04 is about that one."""
    house = JOBS["a converter behind a supply"]
    main = house["supplies"]["main"] | {"battery": {"capacity_ah": 7.0, "voltage_v": 24.0, "end_v": 21.0}}
    small = house["supplies"]["small"] | {"standby_s": 3600.0}
    case = wired_case(house | {"supplies": {"main": main | {"standby_s": 3600.0}, "small": small}})

    assert {finding.about for finding in judge(case) if finding.code == "SUP-04"} == {"larkfen/main"}


def test_the_volts_of_a_rectifier_are_filled_in() -> None:
    """The valley at low mains and full load, the crest without load at high mains: SUP-02 holds that against
    what the horn stands.
    """
    case = small_job("rectified alternating current")
    sheet = case.equipment.supplies["larkfen/bell"].sheet

    assert sheet.voltage_max_v == pytest.approx(30.0 * 2**0.5 - 1.4, abs=0.06)
    assert sheet.voltage_min_v is not None
    assert sheet.voltage_v is not None
    assert 0.8 * 21.6 < sheet.voltage_min_v < sheet.voltage_v < 24.0 * 2**0.5


def test_a_missing_capacitor_or_efficiency_is_asked_for() -> None:
    """What the other supply gives is then not known as a whole."""
    for name, key, supply, before in (
        ("rectified alternating current", "smoothing_f", "bell", "larkfen/winding"),
        ("a converter behind a supply", "efficiency_share", "small", "larkfen/main"),
    ):
        house = JOBS[name]
        entry = {field: value for field, value in house["supplies"][supply].items() if field != key}
        case = wired_case(house | {"supplies": house["supplies"] | {supply: entry}})
        load = next(f for f in judge(case) if f.code == "SUP-03" and f.about == before)

        assert load.verdict.value in ("unknown", "fails"), name


CIRCLE = """\
farpress: 2
job: x
premises:
  house:
    supplies:
      a: {part: supply-12v-1a5, fed: {from: c}}
      b: {part: supply-12v-1a5, fed: {from: a}}
      c: {part: supply-12v-1a5, fed: {from: b}}
      d: {part: supply-12v-1a5, fed: {from: c}}
"""


def test_a_circle_of_supplies_is_refused_by_name() -> None:
    """Told once, with the way round."""
    with pytest.raises(JobFileError) as caught:
        read_job_text(CIRCLE, known=load_catalogue().known_names())

    assert [fault.says for fault in caught.value.faults if "circle" in fault.says] == [
        "'a' from 'c' from 'b' from 'a': this circle of supplies feeds itself, and nothing comes into it. One"
        " of them hangs on the mains, a battery or another supply: name that, or leave its 'fed' away"
    ]
