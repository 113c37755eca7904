"""One button for two places: from where both receivers hear it, one press works both.

A campsite: a barrier at the road, and the same button for the shutter of a boathouse.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from farpress.case.case import Case
from farpress.domain.finding import Finding, Verdict
from farpress.domain.job import Rule
from farpress.domain.parts import DeviceSheet
from farpress.judging.air import promises, two_receivers
from farpress.reach.radio_link import radio_of
from helpers.findings import finding_of
from helpers.invented_parts import part_of
from helpers.radio_case import larkfen

PULSE = {"kind": "pulse", "for": "0.5 s"}


def site(
    *,
    lamp_too: bool = False,
    apart_m: float = 30.0,
    first: str = "barrier",
    second: str = "shutter",
    seen: bool = False,
    common: bool = False,
    on_plan_of: str | None = "larkfen",
    roads: list[dict[str, Any]] | None = None,
) -> Case:
    """R1 at the road; R2 of the boathouse, drawn on the same sheet or not."""
    places = {
        "road": {"at": [0, -5]},
        "jetty": {"at": [apart_m, -5], "sees": ["larkfen/gate"] if seen else []},
    }
    road = {
        "levels": {},
        "walls": [],
        "slope": [],
        "places": places,
        "devices": {"gate": {"at": [0, 0]}},
        "receivers": {"R1": {"at": [0, 0, 2.5], "outputs": {"1": {**PULSE, "works": "gate.open"}}}},
    }
    boats = {
        "on_plan_of": on_plan_of,
        "devices": {"boat": {"at": [apart_m, 0]}},
        "receivers": {"R2": {"at": [apart_m, 0, 2.5], "outputs": {"1": {**PULSE, "works": "boat.up"}}}},
        "places": places,
    }
    told = [("barrier", "larkfen/road"), ("boats", "larkfen/road" if common else "boats/jetty")]
    case = larkfen(
        premises=road,
        functions={
            "barrier": {"output": "larkfen/R1/1"},
            "boats": {"outputs": ["boats/R2/1", *(["boats/R2/2"] if lamp_too else [])]},
        },
        groups={"crew": {"fob": "fob-4", "buttons": {"1": ["barrier", "boats"]}}},
        promises=[{"to": "crew", "function": function, "from": place} for function, place in told],
        roads=roads or [],
    )
    if lamp_too:
        boats["devices"]["boat lamp"] = {"at": [apart_m, 0]}  # type: ignore[index]
        boats["receivers"]["R2"]["outputs"]["2"] = {**PULSE, "works": "boat lamp.on"}  # type: ignore[index]
    job = case.job.model_validate(
        case.job.model_dump(by_alias=True) | {"premises": case.job.model_dump(by_alias=True)["premises"]}
    )
    premises = dict(job.premises) | {"boats": type(job.premises["larkfen"]).model_validate(boats)}
    gate, other = DeviceSheet(device=first), DeviceSheet(device=second)
    equipment = replace(
        case.equipment,
        receivers={**case.equipment.receivers, "boats/R2": case.equipment.receivers["larkfen/R1"]},
        devices={
            "larkfen/gate": part_of(gate),
            "boats/boat": part_of(other),
            "boats/boat lamp": part_of(DeviceSheet(device="lamp")),
        },
    )
    return replace(case, job=job.model_copy(update={"premises": premises}), equipment=equipment)


def judged(**given: Any) -> list[Finding]:
    """AIR-10 of it."""
    return list(two_receivers.judge(site(**given)))


def test_air_10_near_receivers_are_both_worked_by_one_press() -> None:
    """30 m of open ground: both hear nearly every press somewhere between them."""
    (found,) = judged()

    assert found.verdict is Verdict.FAILS
    assert (found.value or 0.0) > 80.0
    assert "one press works both" in found.says


def test_air_10_a_lamp_beside_it_hides_nothing() -> None:
    """The receiver lights a lamp by the same press: what moves there counts all the same."""
    (found,) = judged(lamp_too=True)

    assert found.verdict is Verdict.FAILS
    assert "boat.up" in found.says


def test_air_10_a_way_that_cannot_be_computed_is_asked_for() -> None:
    """Left out, the fob's power makes nothing well: it is asked."""
    case = site()
    fob = case.equipment.fobs["crew"]
    bare = replace(fob, sheet=fob.sheet.model_copy(update={"erp_dbm": None}))
    (found,) = two_receivers.judge(
        replace(case, equipment=replace(case.equipment, fobs={**case.equipment.fobs, "crew": bare}))
    )

    assert found.verdict is Verdict.UNKNOWN
    assert found.asks


def test_air_10_receivers_far_apart_are_not() -> None:
    """9 km: nobody stands where both hear."""
    (found,) = judged(apart_m=9_000.0)

    assert found.verdict is Verdict.HOLDS


def test_what_is_promised_from_one_place_is_meant_to_work_together() -> None:
    """Both from the road: one press is to do both."""
    assert judged(common=True) == []


def test_air_10_a_lamp_may_go_on_unseen() -> None:
    """Only where either could hurt somebody or let somebody in."""
    assert judged(first="lamp", second="lamp") == []


def test_air_10_whoever_wants_light_moves_no_barrier_unseen() -> None:
    """From the jetty, where the lamp is promised, nobody sees the barrier that the same press opens."""
    (found,) = judged(second="lamp")

    assert found.verdict is Verdict.FAILS
    assert "from jetty" in found.says


def test_air_10_a_barrier_in_sight_may_open_with_the_light() -> None:
    """Seen from where the lamp is promised: whoever presses sees both."""
    assert judged(second="lamp", seen=True) == []


@pytest.mark.parametrize(("takes", "codes"), [(None, 1), ("4 min", 1), ("5 min", 0)])
def test_premises_on_different_plans_are_asked_about_unless_they_are_far(
    takes: str | None, codes: int
) -> None:
    """From five minutes by car on they are out of each other's reach."""
    roads = [] if takes is None else [{"between": ["larkfen", "boats"], "takes": takes}]
    found = judged(on_plan_of=None, roads=roads)

    assert [one.verdict for one in found] == [Verdict.UNKNOWN] * codes


def test_air_10_a_way_that_cannot_be_computed_is_asked() -> None:
    """A receiver shut in steel of which nobody says what it holds back: never nothing."""
    case = site()
    house = case.job.premises["boats"]
    box = house.receivers["R2"].model_copy(update={"housing": "steel"})
    boats = house.model_copy(update={"receivers": {"R2": box}})
    shut = replace(case, job=case.job.model_copy(update={"premises": {**case.job.premises, "boats": boats}}))
    (found,) = two_receivers.judge(shut)

    assert found.verdict is Verdict.UNKNOWN
    assert found.asks


@pytest.mark.parametrize(
    ("place", "on_plan_of", "verdict"),
    [
        ("boats/jetty", "larkfen", Verdict.FAILS),
        ("boats/jetty", None, Verdict.UNKNOWN),
        ("road", None, Verdict.FAILS),
    ],
)
def test_air_03_a_place_of_other_premises_on_the_same_plan_is_computed(
    place: str, on_plan_of: str | None, verdict: Verdict
) -> None:
    """The barrier from the other firm's jetty, 30 m off; drawn on another plan it is asked."""
    case = site(on_plan_of=on_plan_of)
    rule = Rule.model_validate({"never": "works from", "of": ["barrier"], "from": [place]})
    found = finding_of(
        promises.judge(replace(case, job=case.job.model_copy(update={"rules": (rule,)}))), "AIR-03"
    )

    assert found.verdict is verdict
    assert ("on_plan_of" in found.says) is (verdict is Verdict.UNKNOWN)


def test_spots_on_the_way_are_tried_at_each_quarter_of_it() -> None:
    """Two receivers 30 m apart: at 7.5, 15 and 22.5 m, then the places of the plan."""
    case = site(apart_m=30.0)
    first, other = (case.output(path) for path in ("larkfen/R1/1", "boats/R2/1"))
    assert first is not None
    assert other is not None
    places = [place.at for _, place in two_receivers._spots(radio_of(case), case, first, other)]

    assert [place[0] for place in places[:3] if place is not None] == [7.5, 15.0, 22.5]
    assert len(places) > 3
