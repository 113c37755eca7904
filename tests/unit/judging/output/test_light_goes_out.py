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
