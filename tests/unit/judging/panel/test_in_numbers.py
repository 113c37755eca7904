"""Numbers in sentences and remedies about panels, worked out by hand."""

from __future__ import annotations

import math
from dataclasses import dataclass
from types import SimpleNamespace
from typing import Any

import pytest

from farpress.domain.device_sheets import Loop
from farpress.judging.panel import feeds, grades, inside, status_lines
from farpress.judging.panel.loop_bands import accepted_bands
from helpers.findings import finding_of
from helpers.wired_case import wired_case


def test_a_plain_loop_is_closed_below_one_kilohm_and_open_above_twenty() -> None:
    """Common practice, no source."""
    for scheme, names in (("closed", ("normal", "alarm")), ("open", ("alarm", "normal"))):
        shut, cut = accepted_bands(Loop(scheme=scheme)) or ()

        assert (shut.name, cut.name) == names
        assert (shut.low_ohm, shut.high_ohm) == (0.0, 1000.0)
        assert (cut.low_ohm, cut.high_ohm) == (20_000.0, math.inf)


def test_three_parts_are_named_and_the_rest_counted() -> None:
    """Of four, and of three."""
    assert grades._some(["a", "b", "c"]) == "a, b, c"
    assert grades._some(["a", "b", "c", "d", "e"]) == "a, b, c and 2 more"


def test_sirens_of_their_own_need_a_supply_with_a_fifth_to_spare() -> None:
    """Four of 0.4 A: 1.6 A, 80 % of 2 A."""
    siren: dict[str, Any] = {
        "device": "sounder",
        "current_a": 0.4,
        "fed": {"from": "alarm.aux", "only": "in alarm"},
    }
    case = wired_case(
        {
            "supplies": {"main": {"rated_a": 2.0}},
            "devices": {f"siren {number}": siren for number in range(4)},
            "panels": {"alarm": {"aux_max_a": 1.0, "fed": {"from": "main"}}},
        }
    )
    finding = finding_of(feeds.judge(case), "PAN-16")

    assert "at least 2 A" in finding.remedies[1].does


def test_arrivals_are_told_by_the_hour() -> None:
    """48 a day are two an hour, who stay half an hour: one inside on average."""
    area = {"arrivals_per_day": {"day": 48.0}, "stay_s": 1800.0, "set_prevented_by": []}
    case = wired_case(
        {
            "receivers": {"R1": {"at": [0, 0], "outputs": {"1": {"kind": "pulse", "works": "alarm.set"}}}},
            "panels": {"alarm": {"inputs": {"set": {"reads": "set pulse"}}, "areas": {"block": area}}},
        },
        functions={"set": {"output": "larkfen/R1/1"}},
        groups={"cleaner": {"fob": "f", "count": 1, "buttons": {"1": "set"}}},
    )
    finding = finding_of(inside.judge(case), "PAN-18")

    assert "2 an hour come and stay 30 min" in finding.says
    assert "1 inside on average" in finding.says


def test_levels_that_read_alike_are_told_once() -> None:
    """Half a hundredth of a volt apart is a second figure."""
    assert status_lines._Levels(1.0, 1.0045, 0.0, 0.0).says == "1.00 V are"
    assert status_lines._Levels(1.0, 1.0055, 0.0, 0.0).says == "1.00 to 1.01 V are"


@pytest.mark.parametrize(("apart_v", "says"), [(0.004, "1.00 V are"), (0.006, "1.00 to 1.01 V are")])
def test_volts_that_differ_by_half_a_hundredth_are_two(apart_v: float, says: str) -> None:
    """Two decimals are told."""
    assert status_lines._Levels(1.0, 1.0 + apart_v, 0.0, 0.0).says == says


@dataclass(frozen=True)
class _Cores:
    conductors: tuple[Any, ...]


@pytest.mark.parametrize(("apart_v", "shift"), [(0.004, "0.50 V"), (0.006, "0.50 to 0.51 V")])
@pytest.mark.parametrize(("without_v", "is_told"), [(1.004, False), (1.006, True)])
def test_what_lifts_the_panel_is_told_to_a_hundredth_of_a_volt(
    apart_v: float, shift: str, without_v: float, is_told: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    """And what a 0 V core of its own does, if it is so much."""
    sheet = SimpleNamespace(input_voltage_v=None, input_current_a=None)
    line: Any = SimpleNamespace(reads="panel.armed", live="in1", receiver=SimpleNamespace(sheet=sheet))
    core = SimpleNamespace(name="panel.armed to in1, back")
    electrics: Any = SimpleNamespace(circuit=_Cores((core,)))
    without = status_lines._Levels(without_v, without_v, 0.0, 0.0)
    monkeypatch.setattr(status_lines, "_levels", lambda *_: without)

    says = status_lines._shift_says(electrics, line, status_lines._Levels(1.0, 1.0, 0.5, 0.5 + apart_v), 0.7)

    assert says.startswith(f" 0.7 V remain at it, and the panel's 0 V lies {shift} over")
    assert ("Without the 0 V core of its own cable" in says) is is_told


@pytest.mark.parametrize(("highest_v", "low_v", "is_v"), [(1.3, 1.5, 1.3), (1.1, 1.5, 0.0), (1.3, 1.7, 0.0)])
def test_the_end_of_a_range_that_lies_nearer_to_its_limit_is_judged(
    highest_v: float, low_v: float, is_v: float
) -> None:
    """0 V stands 0.3 V over the least an input bears; the other end 0.2 or 0.4 V under its low level."""
    assert status_lines._nearest(status_lines._Levels(0.0, highest_v, 0.0, 0.0), low_v) == is_v
