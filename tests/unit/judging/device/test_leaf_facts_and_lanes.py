"""Beams and bodies, leaves that overlap, and a way for one vehicle with lights at its ends."""

from __future__ import annotations

from typing import Any

import pytest

from farpress.domain.device_care import OneLane
from farpress.domain.finding import Finding, Verdict
from farpress.judging.device.leaf_facts import judge_leaf_facts
from farpress.judging.device.one_lanes import judge_one_lanes
from helpers.findings import finding_of
from helpers.logic_case import GATE, a_case

HOLDS, THIN, UNKNOWN, FAILS = Verdict.HOLDS, Verdict.THIN, Verdict.UNKNOWN, Verdict.FAILS


def _gate(**sheet: Any) -> list[Finding]:
    case = a_case({"1": {"kind": "pulse", "works": "gate.open"}}, devices={"gate": {**GATE, **sheet}})
    return list(judge_leaf_facts(case))


@pytest.mark.parametrize(
    ("heights", "verdict"),
    [(None, UNKNOWN), ((0.2,), FAILS), ((0.2, 0.49), FAILS), ((0.2, 0.5), HOLDS), ((0.7,), HOLDS)],
)
def test_dev_56_a_low_beam_alone_sees_no_body(heights: tuple[float, ...] | None, verdict: Verdict) -> None:
    """Half a metre, common practice; a higher one beside the low one is enough."""
    finding = finding_of(_gate(safeguards=("beams",), beams_at_m=heights), "DEV-56")

    assert finding.verdict is verdict


@pytest.mark.parametrize("besides", ["edge", "loop", "presence"])
def test_dev_56_is_of_beams_alone(besides: str) -> None:
    """What else sees or feels somebody makes their height no question."""
    assert not _gate(safeguards=("beams", besides), beams_at_m=(0.2,))


WELL: dict[str, Any] = {"opens_first": "upper", "opening_delay_s": 3.0, "closing_delay_s": 3.0}


@pytest.mark.parametrize(
    ("change", "verdict"),
    [
        ({}, HOLDS),
        ({"closes_first": "lower"}, HOLDS),
        ({"closes_first": "upper"}, FAILS),
        ({"opens_first": "lower"}, FAILS),
        ({"opens_first": None}, UNKNOWN),
        ({"opening_delay_s": 0.0}, FAILS),
        ({"closing_delay_s": 0.0}, FAILS),
        ({"opening_delay_s": None}, UNKNOWN),
        ({"closing_delay_s": None}, UNKNOWN),
    ],
)
def test_dev_58_the_upper_leaf_opens_first_and_closes_last(change: dict[str, Any], verdict: Verdict) -> None:
    """Both at once, or the lower one first, locks the two against each other."""
    assert finding_of(_gate(two_leaves={**WELL, **change}), "DEV-58").verdict is verdict


def _lane(**values: Any) -> list[Finding]:
    light = {"device": "traffic light", "inputs": {"go": {"logic": "on"}}}
    lane = {
        "lights": ("north", "south"),
        "length_m": 60.0,
        "slowest_m_per_s": 4.0,
        "all_red_s": 20.0,
        "kept_by": "controller",
    }
    case = a_case(
        {"1": {"kind": "pulse", "for_s": 20.0, "works": "north.go"}},
        devices={"north": light, "south": light},
        house={"one_lanes": {"ramp": OneLane(**{**lane, **values})}},
    )
    return list(judge_one_lanes(case))


@pytest.mark.parametrize(
    ("values", "verdict"),
    [
        ({"all_red_s": 14.9}, FAILS),
        ({"all_red_s": 15.0}, THIN),
        ({"all_red_s": 16.9}, THIN),
        ({"all_red_s": 17.1}, HOLDS),
        ({"all_red_s": None}, UNKNOWN),
        ({"length_m": None}, UNKNOWN),
        ({"slowest_m_per_s": None}, UNKNOWN),
        ({"slowest_m_per_s": 2.0}, FAILS),
    ],
)
def test_dev_59_both_ends_are_red_until_the_slowest_is_out(values: dict[str, Any], verdict: Verdict) -> None:
    """By hand: 60 m at 4 m/s are 15 s, and two more for who passes the line late."""
    assert finding_of(_lane(**values), "DEV-59").verdict is verdict


@pytest.mark.parametrize(
    ("by", "verdict"), [("controller", HOLDS), ("wiring", HOLDS), ("people", FAILS), (None, UNKNOWN)]
)
def test_out_56_two_fobs_do_not_keep_two_ends_apart(by: str | None, verdict: Verdict) -> None:
    """Two presses, one at each end, and both drive in."""
    finding = finding_of(_lane(kept_by=by), "OUT-56")

    assert (finding.verdict, finding.halts) == (verdict, verdict is UNKNOWN)
