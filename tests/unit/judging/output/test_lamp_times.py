"""Discharge lamps on a timed output: how much light a press gives."""

from __future__ import annotations

from typing import Any

import pytest

from farpress.domain.finding import Verdict
from farpress.judging.output import lamp_times
from helpers.findings import finding_of
from helpers.logic_case import a_case


def _lamp(for_s: float | None, device: str = "lamp", kind: str = "pulse", **times: Any) -> list[Any]:
    sheet = {"device": device, "inputs": {"in": {"logic": "on"}}, "comes_up_s": 240.0, "relights_s": 720.0}
    case = a_case(
        {"1": {"kind": kind, "for_s": for_s, "works": "flood.in"}}, devices={"flood": {**sheet, **times}}
    )
    return list(lamp_times.judge_lamp_times(case))


@pytest.mark.parametrize(
    ("for_s", "verdict"),
    [
        (300.0, Verdict.FAILS),
        (959.0, Verdict.FAILS),
        (960.0, Verdict.THIN),
        (1031.0, Verdict.THIN),
        (1033.0, Verdict.HOLDS),
    ],
)
def test_out_33_full_light_outlasts_the_dark_after_it(for_s: float, verdict: Verdict) -> None:
    """Four minutes to come up and twelve in the dark: 960 s at least; thin within a tenth of the twelve."""
    finding = finding_of(_lamp(for_s), "OUT-33")

    assert finding.verdict is verdict
    assert finding.value == pytest.approx(max(for_s - 240.0, 0.0))


@pytest.mark.parametrize("times", [{"relights_s": None}, {"comes_up_s": None}])
def test_out_33_a_time_that_is_not_known_is_asked(times: dict[str, Any]) -> None:
    """Of the two, one was timed."""
    assert finding_of(_lamp(1200.0, **times), "OUT-33").verdict is Verdict.UNKNOWN


@pytest.mark.parametrize(
    "other", [{"comes_up_s": None, "relights_s": None}, {"device": "contactor"}, {"kind": "toggle"}]
)
def test_out_33_lamps_that_are_bright_at_once_and_other_outputs(other: dict[str, Any]) -> None:
    """Nothing is said of them."""
    assert not _lamp(None if other.get("kind") else 300.0, **other)
