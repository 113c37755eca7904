"""Room for heads under an awning, and a wind sensor that is set too high."""

from __future__ import annotations

from typing import Any

import pytest

from farpress.domain.finding import Verdict
from farpress.judging.device import headroom, wind
from helpers.findings import finding_of
from helpers.logic_case import a_case


def _case(kind: str = "pulse", **sheet: Any) -> Any:
    awning = {"device": "awning", "inputs": {"out": {"logic": "up", "wants": "maintained"}}, **sheet}
    return a_case({"1": {"kind": kind, "works": "front.out"}}, devices={"front": awning})


@pytest.mark.parametrize(
    ("height_m", "verdict"),
    [
        (2.49, Verdict.FAILS),
        (2.5, Verdict.THIN),
        (2.74, Verdict.THIN),
        (2.76, Verdict.HOLDS),
        (None, Verdict.UNKNOWN),
    ],
)
def test_dev_20_people_walk_under_it(height_m: float | None, verdict: Verdict) -> None:
    """2.5 m, from memory of what highway authorities ask; thin within a tenth."""
    finding = finding_of(headroom.judge_headroom(_case(people_pass=True, edge_height_m=height_m)), "DEV-20")

    assert finding.verdict is verdict


@pytest.mark.parametrize(("people", "verdicts"), [(None, [Verdict.UNKNOWN]), (False, [])])
def test_dev_20_whether_people_pass_is_asked(people: bool | None, verdicts: list[Verdict]) -> None:
    """Over a terrace of one's own nobody has to."""
    found = list(headroom.judge_headroom(_case(people_pass=people, edge_height_m=2.0)))

    assert [finding.verdict for finding in found] == verdicts


@pytest.mark.parametrize(
    ("set_to", "verdict", "words"),
    [(10.8, Verdict.FAILS, "10.7 m/s are the most"), (10.7, Verdict.UNKNOWN, "not tried")],
)
def test_dev_09_a_sensor_set_above_what_the_thing_bears(set_to: float, verdict: Verdict, words: str) -> None:
    """Whatever it reads where it stands; below that it has to be compared."""
    sensor = {"set_to_m_per_s": set_to, "bears_m_per_s": 10.7, "line_open": "taken in"}
    finding = finding_of(wind.judge_wind(_case(wind_sensor=True, wind=sensor)), "DEV-09")

    assert finding.verdict is verdict
    assert words in finding.says


def test_dev_09_what_holds_it_out_and_what_is_set_too_high_are_both_told() -> None:
    """Mending the one leaves the other."""
    sensor = {"set_to_m_per_s": 14.0, "bears_m_per_s": 10.7}
    finding = finding_of(wind.judge_wind(_case("toggle", wind_sensor=True, wind=sensor)), "DEV-09")

    assert "against any wind sensor too. Its sensor takes front in at 14 m/s" in finding.says
