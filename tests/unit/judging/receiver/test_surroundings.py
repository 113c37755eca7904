"""What stands round a receiver of an invented house: steel, coax, noise, what is missing."""

from __future__ import annotations

import math
from typing import Any

import pytest

from farpress.case.case import Case
from farpress.domain.finding import Finding, Verdict
from farpress.judging.air import promises as air
from farpress.judging.fob import sending as fob
from farpress.judging.receiver import surroundings as receiver
from helpers.findings import finding_of
from helpers.radio_case import larkfen


def judged(case: Case) -> list[Finding]:
    """Everything said about the radio side."""
    return [*air.judge(case), *fob.judge(case), *receiver.judge(case)]


def radio_finding(case: Case, code: str, about: str = "") -> Finding:
    """The only finding of a code about something, of the radio side."""
    return finding_of(judged(case), code, about)


STEEL = {"housing": "steel", "slot": "100 mm"}


def test_steel_round_the_aerial_is_a_red_flag_and_never_holds() -> None:
    """With a slot, without one, and with the door's effect read on site."""
    slot, dark = larkfen(box=STEEL), larkfen(box={"housing": "steel"})
    read = larkfen(
        box={"housing": "steel"},
        readings=[
            {"receiver": "R1", "place": "wicket", "level": level, "housing": housing}
            for level, housing in (("-101 dBm", "closed"), ("-78 dBm", "open"))
        ],
    )

    for case in (slot, dark, read):
        assert radio_finding(case, "RCV-01").verdict is Verdict.FAILS
        assert radio_finding(case, "AIR-01", "kitchen").verdict in (Verdict.UNKNOWN, Verdict.FAILS)
    assert radio_finding(slot, "RCV-01").value == pytest.approx(10.77, abs=0.01)
    assert radio_finding(dark, "AIR-01", "kitchen").value is None
    assert radio_finding(read, "RCV-01").value == pytest.approx(23.0)
    assert "Read on site" in radio_finding(read, "RCV-01").because
    assert radio_finding(read, "RCV-01").remedies[0].changes


def test_what_a_housing_costs_is_the_mean_of_the_places_where_it_was_read() -> None:
    """23 dB at the wicket and 19 dB in the kitchen: 21 dB."""
    levels = (("wicket", "-101 dBm", "-78 dBm"), ("kitchen", "-80 dBm", "-61 dBm"))
    readings = [
        {"receiver": "R1", "place": place, "level": level, "housing": housing}
        for place, shut, opened in levels
        for level, housing in ((shut, "closed"), (opened, "open"))
    ]
    finding = radio_finding(larkfen(box={"housing": "steel"}, readings=readings), "RCV-01")

    assert finding.value == pytest.approx(21.0)


def test_an_aerial_outside_the_steel_makes_the_housing_harmless() -> None:
    """Steel no longer counts; the coax does."""
    case = larkfen(
        box={
            "housing": "steel",
            "antenna": {
                "part": "whip",
                "at": [10.5, 21.8, 3.4],
                "tilt": "0 deg",
                "coax": {"part": "rg58", "length": "9 m"},
            },
        }
    )

    assert radio_finding(case, "RCV-01").verdict is Verdict.HOLDS
    assert radio_finding(case, "RCV-04").value == pytest.approx(9 * 0.355 * math.sqrt(433.92 / 450) + 1.0)
    street = radio_finding(case, "AIR-01", "street")
    assert street.verdict in (Verdict.HOLDS, Verdict.THIN)
    assert 95.0 < (street.value or 0.0) < 99.5


def test_long_thin_coax_fails_and_thicker_coax_mends_it() -> None:
    """25 m of thin coax; the thicker kind of the parts list is offered."""
    case = larkfen(
        box={
            "antenna": {
                "part": "whip",
                "at": [10.5, 21.8, 3.4],
                "tilt": "0 deg",
                "coax": {"part": "rg58", "length": "25 m"},
            }
        }
    )
    found = radio_finding(case, "RCV-04")

    assert found.verdict is Verdict.FAILS
    assert found.remedies[0].does == "rg213 instead"
    assert found.remedies[0].changes[0].path[-1] == "part"


def test_a_noisy_ramp_costs_level() -> None:
    """-104 dBm measured where the receiver's own noise is -119 dBm."""
    found = radio_finding(
        larkfen(premises={"noise_floor": "-104 dBm", "noise_bursts": "15 %"}), "RCV-05", "R1"
    )
    floor = next(
        finding
        for finding in receiver.judge(larkfen(premises={"noise_floor": "-104 dBm"}))
        if finding.code == "RCV-02"
    )

    assert found.verdict is Verdict.FAILS
    assert floor.verdict is Verdict.FAILS
    assert floor.value == pytest.approx(-104.0 - (-173.975 + 10 * math.log10(50e3) + 8.0), abs=0.01)


@pytest.mark.parametrize(
    ("change", "asks"),
    [
        ({"premises": {"surroundings": None}}, "the surroundings of larkfen"),
        ({"box": {"at": [17.5, 23.0]}}, "the height of R1"),
        ({"box": {"level": "attic"}}, "level 'attic' of R1"),
        ({"receiver": {"sensitivity_dbm": None}}, "the sensitivity of R1"),
        ({"receiver": {"gain_dbi": None}}, "the gain of the aerial inside R1"),
        (
            {"premises": {"walls": [{"level": "ground", "build": "mud", "along": [[0, 10], [30, 10]]}]}},
            "the build 'mud'",
        ),
    ],
)
def test_what_is_missing_is_asked_for(change: dict[str, Any], asks: str) -> None:
    """Each gap is one thing to measure or ask; the promise is open where it matters."""
    found = radio_finding(larkfen(**change), "RCV-03")

    assert found.verdict is Verdict.UNKNOWN
    assert asks in found.says
