"""A boat at high and at low water: the promise is judged where it is heard worse."""

from __future__ import annotations

from typing import Any

import pytest

from farpress.case.case import Case
from farpress.domain.finding import Finding
from farpress.judging.air import promises as air
from farpress.reach.low_water import HAND_OVER_WATER_M, at_low_water
from helpers.findings import finding_of
from helpers.radio_case import larkfen

PARAPET = {"build": "brick 365 mm", "along": [[50, -60], [50, 60]], "top": "2 m"}
FROM_BOAT = [{"to": "family", "function": "open gate", "from": "boat"}]


def _case(lowest: str | None, *, height: float = 3.0, slope: Any = (), **job: Any) -> Case:
    boat = {"at": [62.0, 0.0, height], **({} if lowest is None else {"lowest": lowest})}
    there = {"places": {"boat": boat}, "walls": [PARAPET], "levels": {}, "slope": slope}
    return larkfen(premises=there, box={"at": [0.0, 0.0, 4.5], "level": None}, promises=FROM_BOAT, **job)


def _heard(case: Case) -> Finding:
    return finding_of(air.judge(case), "AIR-01")


def test_a_boat_is_judged_behind_the_parapet_at_low_water() -> None:
    """The line passes 2.1 m below its top then; as the same place drawn at that height over that water."""
    found, high = _heard(_case("-1.2 m")), _heard(_case(None))
    drawn = _heard(_case(None, height=-1.2, slope=[[0.0, 0.0, -1.2 - HAND_OVER_WATER_M]]))

    assert found.value is not None
    assert high.value is not None
    assert found.value < high.value - 1.0
    assert found.value == pytest.approx(drawn.value)
    assert "from boat at its lowest: heard" in found.says
    assert "at its lowest" not in high.says


def test_a_boat_that_is_heard_as_well_at_low_water_is_judged_at_high() -> None:
    """Nothing is said of the tide where it changes nothing."""
    found = _heard(_case("3.0 m", slope=[[0.0, 0.0, 0.0]]))
    assert "at its lowest" not in found.says
    assert found.value == _heard(_case(None, slope=[[0.0, 0.0, 0.0]])).value


def test_what_was_counted_at_high_water_says_nothing_of_low_water() -> None:
    """Readings at the boat are left out there; all others are kept."""
    readings = [
        {"receiver": "larkfen/R1", "place": place, "level": "-80 dBm"} for place in ("boat", "larkfen/boat")
    ]
    assert at_low_water(_case("-1.2 m", readings=readings)).job.readings == ()
    assert len(at_low_water(_case(None, readings=readings)).job.readings) == 2


def test_a_job_that_floats_nowhere_is_left_alone() -> None:
    """The very same case."""
    case = _case(None)
    assert at_low_water(case) is case
