"""Lights for a time, pressed again while they are on."""

from __future__ import annotations

from typing import Any

import pytest

from farpress.domain.finding import Verdict
from farpress.judging.output.light_goes_out import judge_lights
from helpers.logic_case import a_case


@pytest.mark.parametrize(
    ("output", "kind", "verdict"),
    [
        ({"retrigger": False}, "light", Verdict.THIN),
        ({"retrigger": True}, "light", Verdict.HOLDS),
        ({"works": "valve.on"}, "light", None),
        ({}, "call", None),
        ({"kind": "toggle", "for_s": None}, "light", None),
        ({"kind": "follow", "for_s": None}, "light", None),
    ],
)
def test_out_21_a_press_while_it_is_on_begins_the_time_anew(
    output: dict[str, Any], kind: str, verdict: Verdict | None
) -> None:
    """A lamp that calls is another matter, and what has no time does not end by it."""
    given = {"kind": "pulse", "for_s": 300.0, "works": "lamp.on", **output}
    found = list(judge_lights(a_case({"1": given}, kinds={"1": kind})))
    assert [finding.verdict for finding in found] == [verdict] * (verdict is not None)


def test_out_21_what_mends_it_is_one_key() -> None:
    """Tried as any other change, it holds."""
    (finding,) = judge_lights(
        a_case({"1": {"kind": "pulse", "for_s": 300.0, "works": "lamp.on"}}, kinds={"1": "light"})
    )
    (edit,) = finding.remedies[0].changes
    assert (edit.path[-1], edit.value) == ("retrigger", True)


@pytest.mark.parametrize(
    ("for_s", "retrigger", "people", "walks", "verdict"),
    [
        (300.0, True, ("Ana", "Ben"), 0.6, Verdict.THIN),
        (299.0, True, ("Ana", "Ben"), 0.6, Verdict.FAILS),
        (330.0, True, ("Ana", "Ben"), 0.6, Verdict.THIN),
        (340.0, True, ("Ana", "Ben"), 0.6, Verdict.HOLDS),
        (600.0, False, ("Ana", "Ben"), 0.6, Verdict.FAILS),
        (600.0, False, ("Ana",), 0.6, Verdict.HOLDS),
        (600.0, True, ("Ana", "Ben"), None, Verdict.HOLDS),
        (300.0, True, ("Ana", "Ben"), None, Verdict.UNKNOWN),
        (None, True, ("Ana", "Ben"), 0.6, Verdict.UNKNOWN),
    ],
)
def test_out_50_the_way_is_walked_while_it_is_on(
    for_s: float | None, retrigger: bool, people: tuple[str, ...], walks: float | None, verdict: Verdict
) -> None:
    """180 m at 0.6 m/s are 300 s, and at the 0.4 m/s of a walking frame 450 s: by hand."""
    case = a_case(
        {"1": {"kind": "pulse", "for_s": for_s, "retrigger": retrigger, "works": "path.on"}},
        kinds={"1": "light"},
        devices={"path": {"device": "lamp", "lights_m": 180.0, "inputs": {"on": {"logic": "on"}}}},
        groups={"pair": {"people": people, "buttons": {"1": "f1"}, "walks_m_per_s": walks}},
    )
    found = [finding for finding in judge_lights(case) if finding.code == "OUT-50"]
    assert [finding.verdict for finding in found] == [verdict]


def test_out_50_is_of_a_way_that_is_given() -> None:
    """A lamp over a door lights no way."""
    case = a_case({"1": {"kind": "pulse", "for_s": 300.0, "works": "lamp.on"}}, kinds={"1": "light"})
    assert {finding.code for finding in judge_lights(case)} == {"OUT-21"}
