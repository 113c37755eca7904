"""A load on a branch of a supply, a short at the end of a whole way, and what draws in an alarm."""

from __future__ import annotations

import copy
from typing import Any

import pytest

from farpress.case.case import Case
from farpress.case.circuit.arriving import given_a, loop_ohm_at
from farpress.case.circuit.electrics import electrics_of
from farpress.case.supply_ends import ends_of
from farpress.domain.finding import Finding
from farpress.domain.premises import Output
from farpress.judging.supply.standby_draw import standby_draw
from farpress.judging.supply.volts import judge
from helpers.circuit_jobs import JOBS, PANEL, STRIKE, SUPPLY, run
from helpers.wired_case import wired_case


def on_branch(branch: str = "2") -> Case:
    """A strike that its contact switches to branch 2, fused with 400 mA."""
    house: dict[str, Any] = copy.deepcopy(JOBS["shared return"])
    house["supplies"]["main"]["branches"] = {"1": {"fuse_a": 1.0}, "2": {"fuse_a": 0.4}}
    outputs = house["receivers"]["R1"]["outputs"]
    outputs["1"]["load_from"] = f"main.branch {branch}"
    del outputs["2"]
    return wired_case(house)


def found(case: Case, code: str, about: str) -> Finding:
    """One finding."""
    return next(finding for finding in judge(case) if finding.code == code and finding.about == about)


def test_a_branch_is_taken_apart_from_its_supply() -> None:
    """As in `fed`."""
    output = Output.model_validate({"kind": "toggle", "load_from": "main.branch 2"})

    assert (output.load_from, output.load_branch) == ("main", "2")


def test_a_load_on_a_branch_loads_its_fuse() -> None:
    """480 mA through 400 mA: the fuse of the branch, not that of the supply."""
    case = on_branch()

    assert found(case, "SUP-11", "larkfen/main, branch 2").value == pytest.approx(0.48)


def test_a_short_behind_a_panel_counts_the_way_to_the_panel() -> None:
    """A siren on the panel's auxiliary output: 30 m to the panel and 20 m on, there and back, hot."""
    case = wired_case(
        {
            "supplies": {"main": SUPPLY},
            "panels": {"panel": PANEL | {"fed": {"from": "main", "cable": run(30.0)}}},
            "devices": {
                "siren": {"device": "sounder", "supply": "dc", "voltage_v": 12.0, "current_a": 0.3}
                | {"fed": {"from": "panel.aux", "cable": run(20.0)}}
            },
        }
    )
    siren = next(end for end in ends_of(case, "larkfen", "main") if end.who == "siren")
    ohm = 2 * 0.050 * 96.0 * (1 + 0.00393 * 30)
    short = found(case, "SUP-05", "cable to siren on larkfen/main")

    assert loop_ohm_at(electrics_of(case, "larkfen"), "main", siren) == pytest.approx(ohm)
    assert short.value == pytest.approx(10.8 / (ohm + 0.05))


@pytest.mark.parametrize(("kind", "in_alarm"), [("sounder", 0.8), ("lamp", 0.8), ("motor", 0.0), (None, 0.8)])
def test_an_alarm_sets_off_what_tells_of_one(kind: str | None, in_alarm: float) -> None:
    """A drive that waits on a supply of its own is not started by an alarm; it counts with everything on."""
    device = {"device": kind, "supply": "dc", "voltage_v": 12.0, "current_a": 0.8, "current_rest_a": 0.02}
    case = wired_case(
        {
            "supplies": {"main": SUPPLY},
            "panels": {"panel": PANEL | {"fed": {"from": "main", "cable": run(3.0)}}},
            "devices": {"thing": STRIKE | device | {"fed": {"from": "main", "cable": run(3.0)}}},
        }
    )
    electrics = electrics_of(case, "larkfen")
    draw = standby_draw(case, "larkfen", "main")

    assert draw.rest_a == pytest.approx(0.12)
    assert draw.alarm_a == pytest.approx(0.1 + in_alarm if in_alarm else 0.0)
    assert given_a(electrics, "main", electrics.everything[0]) == pytest.approx(0.9)
