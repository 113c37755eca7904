"""Things that take turns: what they draw at the most, and what keeps the others off."""

from __future__ import annotations

from typing import Any

import pytest

from farpress.case.case import Case
from farpress.case.turns import together_a
from farpress.domain.finding import Verdict
from farpress.judging.output.turns import judge_turns
from helpers.findings import finding_of
from helpers.wired_case import wired_case

HOLDS, THIN, UNKNOWN = Verdict.HOLDS, Verdict.THIN, Verdict.UNKNOWN
ZONES = ("zone 1", "zone 2", "zone 3")


def valves(interlock: bool = False, **turns: Any) -> Case:
    """Three zones and a master valve: 0.25 A each, 0.42 A while one pulls in."""
    valve = {"device": "valve", "current_a": 0.25, "pull_in_a": 0.42}
    outputs: dict[str, Any] = {
        str(n): {"kind": "toggle", "works": f"zone {n}.on"} for n in range(1, 3 if interlock else 4)
    }
    if interlock:
        outputs["1"]["interlock"], outputs["2"]["interlock"] = "2", "1"
    return wired_case(
        {
            "receivers": {"R1": {"at": [0, 0], "outputs": outputs}},
            "devices": dict.fromkeys((*ZONES, "master"), valve),
            "together": [{"of": ZONES[:2] if interlock else ZONES, "with": ["master"], **turns}],
        }
    )


@pytest.mark.parametrize(
    ("turns", "amperes"),
    [({}, 0.50), ({"pulling_in": 1}, 0.92), ({"at_most": 2, "pulling_in": 1}, 1.17), ({"at_most": 3}, 1.0)],
)
def test_as_many_as_may_be_on_and_pulling_in_are_added(turns: dict[str, Any], amperes: float) -> None:
    """By hand: 0.25 for each that is on and for the master valve, 0.42 for each that pulls in."""
    case = valves(**turns)
    house = case.job.premises["larkfen"]

    assert together_a(case, "larkfen", house.together[0]) == pytest.approx(amperes)


@pytest.mark.parametrize(
    ("kept_by", "verdict"), [("controller", HOLDS), ("wiring", HOLDS), ("people", THIN), (None, UNKNOWN)]
)
def test_out_11_something_keeps_the_others_off(kept_by: str | None, verdict: Verdict) -> None:
    """People forget; where nothing is said it is asked."""
    finding = finding_of(judge_turns(valves(kept_by=kept_by)), "OUT-11")

    assert finding.verdict is verdict
    assert bool(finding.asks) == (verdict is UNKNOWN)


def test_out_11_an_interlock_of_all_of_them_keeps_them_apart() -> None:
    """Nobody need say so again; of a larger number at once it says nothing."""
    assert finding_of(judge_turns(valves(interlock=True)), "OUT-11").verdict is HOLDS
    assert finding_of(judge_turns(valves(interlock=True, at_most=2)), "OUT-11").verdict is UNKNOWN
