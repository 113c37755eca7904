"""Which band a shown resistance belongs to, how far it lies within, and what is told of it, by hand."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest

from farpress.core.wiring.loops import Band
from farpress.core.wiring.zones import ZoneChain
from farpress.domain.finding import Verdict
from farpress.judging.panel import coupling, loops, status_lines, zone_found, zone_states
from farpress.judging.panel.loop_bands import limits_near, slack_ohm
from farpress.judging.panel.zone_states import KnownZone
from helpers.findings import finding_of
from helpers.wired_case import wired_case


@pytest.mark.parametrize(("shown_ohm", "low_ohm"), [(8000.0, 9000.0), (1000.0, 200.0)])
def test_a_shown_band_belongs_to_the_nearest_of_its_name(shown_ohm: float, low_ohm: float) -> None:
    """8000 ohm lie 1000 from the one that begins at 9000, 7800 from the one that begins at 200."""
    accepted = (Band("alarm", 200.0, 500.0), Band("normal", 5000.0, 6000.0), Band("alarm", 9000.0, 9900.0))
    found = limits_near(Band("alarm", shown_ohm, shown_ohm), accepted)

    assert found is not None
    assert found.low_ohm == low_ohm


@pytest.mark.parametrize(
    ("low", "high", "slack", "end"),
    [(900.0, 1150.0, 50.0, 900.0), (950.0, 1250.0, 50.0, 1250.0), (800.0, 1250.0, -50.0, 800.0)],
)
def test_the_nearer_end_of_a_band_counts(low: float, high: float, slack: float, end: float) -> None:
    """Within 850 to 1300 ohm: what is left at the nearer end, negative beyond it."""
    shown, limits = Band("normal", low, high), Band("normal", 850.0, 1300.0)

    assert slack_ohm(shown, limits) == slack
    assert loops._nearest_end(shown, limits) == end


@pytest.mark.parametrize(("alarm_from", "overlap"), [(1500.0, True), (2300.0, False)])
def test_bands_that_overlap_tell_nothing_apart(alarm_from: float, overlap: bool) -> None:
    """Normal up to 2000 ohm and alarm from 1500 ohm; an open end overlaps nothing."""
    bands = [
        {"reads": "normal", "from_ohm": 1000.0, "to_ohm": 2000.0},
        {"reads": "alarm", "from_ohm": alarm_from, "to_ohm": 6000.0},
        {"reads": "open", "from_ohm": 5000.0},
    ]
    loop = {
        "scheme": "double end-of-line",
        "normal_ohm": 1500.0,
        "alarm_ohm": 2700.0,
        "tolerance_share": 0.01,
        "bands": bands,
    }
    first = {"works": "panel.gate", "kind": "pulse", "for_s": 1.0, "contact": "normally closed"}
    cable = {"part": "alarm-6x0.22", "length_m": 10.0}
    premises = {
        "receivers": {"R1": {"at": [0, 0], "outputs": {"1": first | {"cable": cable}}}},
        "panels": {"panel": {"inputs": {"gate": {"reads": "zone", "loop": loop}}}},
    }
    finding = finding_of(coupling.judge(wired_case(premises)), "PAN-03")

    assert ("overlap" in finding.says) is overlap
    assert (finding.verdict is Verdict.FAILS) is overlap


def test_an_input_without_a_low_level_fails_by_how_far_it_lies_below_its_zero() -> None:
    """The upper end is no nearer than the lower one, wherever the volts lie."""
    limit = status_lines._limit(None, status_lines._Levels(-0.9, -0.35, 0.0, 0.0))

    assert limit.value == status_lines.LEAST_INPUT_V
    assert limit.upper is not None
    assert limit.upper > -0.35
    assert status_lines._limit(None, status_lines._Levels(0.1, 0.2, 0.0, 0.0)).value is None


@pytest.mark.parametrize(("saturation_v", "is_told"), [(0.25, True), (5.0, False), (6.0, False)])
def test_a_transistor_is_told_as_ohms_below_the_volts_of_the_input(
    saturation_v: float, is_told: bool
) -> None:
    """5 V over 5 kohm: 0.25 V remain at a resistance of 5 kohm x 0.25 / 4.75 = 263 ohm."""
    sheet = SimpleNamespace(input_voltage_v=5.0, input_current_a=0.001)
    line: Any = SimpleNamespace(receiver=SimpleNamespace(sheet=sheet))

    says = status_lines._looks(line, saturation_v)

    assert says == (" To the input it looks like 263.2 ohm." if is_told else "")


def _known(*bands: Band, tolerance: float = 0.1, loop_ohm: float = 100.0) -> KnownZone:
    return KnownZone(ZoneChain(1500.0, 3300.0), loop_ohm, tolerance, bands)


def test_a_zone_shows_from_cold_low_resistors_to_a_warm_cable_and_high_ones() -> None:
    """1500 ohm and 10 %: 1350 ohm without the cable, 1650 and 100 ohm with it."""
    known = _known()

    assert known.shown(known.chain, 0) == pytest.approx((1350.0, 1750.0))


@pytest.mark.parametrize(("low", "high", "first"), [(4000.0, 4200.0, True), (9100.0, 9300.0, False)])
def test_a_zone_belongs_to_the_band_that_it_is_least_beyond(low: float, high: float, first: bool) -> None:
    """Two bands of an alarm: 3800 to 5000 and 8000 to 9000 ohm."""
    bands = (Band("alarm", 3800.0, 5000.0), Band("alarm", 8000.0, 9000.0))
    near = zone_states._nearest(_known(*bands), 1, low, high)

    assert near is not None
    assert near[1] is bands[0 if first else 1]
    assert zone_states._nearest(_known(*bands[::-1]), 1, low, high) == near


@pytest.mark.parametrize(("low_ohm", "needs"), [(90.0, False), (1000.0, True)])
def test_a_joint_is_dried_to_what_its_bands_leave_without_the_cable(low_ohm: float, needs: bool) -> None:
    """1000 ohm less 100 ohm of cable: 1500 ohm are 900 ohm beside 1500 x 900 / 600 = 2250 ohm. A band that
    begins below the cable's own ohms is never left.
    """
    zone: Any = SimpleNamespace(found=SimpleNamespace(leak_ohm=5000.0))
    dry = zone_found._put_right(_known(Band("normal", low_ohm, 2200.0)), zone, None)[0]

    assert dry.effect == ("at least 2.25 kohm between the cores" if needs else "")


def test_a_joint_is_dried_where_the_zone_lies_in_its_band_by_the_cable_alone() -> None:
    """1500 ohm at the far end, a band from 1550 ohm: with 100 ohm of cable 1450 ohm are enough behind it."""
    zone: Any = SimpleNamespace(found=SimpleNamespace(leak_ohm=5000.0))
    dry = zone_found._put_right(_known(Band("normal", 1550.0, 2200.0)), zone, None)[0]

    assert dry.effect == "at least 43.5 kohm between the cores"  # 1500 x 1450 / 50
