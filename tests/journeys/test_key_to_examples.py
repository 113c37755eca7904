"""The key to the example jobs speaks of things that are there, with numbers that follow from the jobs.

The numbers of the jobs are invented; the checks here work them out from the files by the
plain formulas named beside them (Ohm's law, Poisson arrivals), without the program's own
calculations.
"""

from __future__ import annotations

import itertools
import math
import re
from typing import Any

import pytest
import yaml

from farpress.domain.finding import Link
from farpress.domain.job import Job
from helpers.project import EXAMPLES
from journeys.planted import BRINDLEMARK, COURT, ENTRIES, LARKFEN, Entry

JOBS = [LARKFEN, COURT, BRINDLEMARK]


class _Plain(yaml.SafeLoader):
    """Keys are text, and only plain numbers, true and false are more than text."""

    yaml_implicit_resolvers: dict[str, Any] = {}  # noqa: RUF012

    def mapping(self, node: yaml.MappingNode) -> dict[str, Any]:
        keys = [key.value for key, _ in node.value]
        assert len(keys) == len(set(keys)), f"a key stands twice: {node.start_mark}"
        return {key.value: self.construct_object(value, deep=True) for key, value in node.value}


_Plain.add_implicit_resolver("tag:yaml.org,2002:bool", re.compile(r"(true|false)\Z"), list("tf"))
_Plain.add_implicit_resolver("tag:yaml.org,2002:int", re.compile(r"[-+]?[0-9]+\Z"), list("-+0123456789"))
_Plain.add_implicit_resolver(
    "tag:yaml.org,2002:float", re.compile(r"[-+]?[0-9]+\.[0-9]*\Z"), list("-+0123456789")
)
_Plain.add_constructor("tag:yaml.org,2002:map", _Plain.mapping)


def _job(name: str) -> Job:
    return Job.model_validate(
        yaml.load((EXAMPLES / name / "job.yaml").read_text("utf-8"), _Plain), by_alias=True, by_name=False
    )


def _subjects(job: Job) -> set[str]:
    found = {f"group:{name}" for name in job.groups} | {f"function:{name}" for name in job.functions}
    found |= {f"promise:{one.to}: {one.function} from {one.from_}" for one in job.promises}
    for premises, house in job.premises.items():
        for kind, things in (
            ("receiver", house.receivers),
            ("device", house.devices),
            ("panel", house.panels),
            ("supply", house.supplies),
            ("place", house.places),
        ):
            found |= {f"{kind}:{premises}/{name}" for name in things}
        found |= {
            f"output:{premises}/{name}/{number}"
            for name, box in house.receivers.items()
            for number in box.outputs
        }
    return found


def _entry(job: str, says: str) -> Entry:
    return next(one for one in ENTRIES[job] if says in one.says)


@pytest.mark.parametrize("name", JOBS)
def test_every_subject_of_the_key_is_in_the_job(name: str) -> None:
    """No entry speaks of an output, promise or group that the job does not have."""
    known = _subjects(_job(name))
    missing = sorted(subject for entry in ENTRIES[name] for subject in entry.subjects if subject not in known)
    assert not missing


@pytest.mark.parametrize("name", JOBS)
def test_every_name_in_a_job_points_at_something(name: str) -> None:
    """Outputs, buttons, promises and rules name only what the job describes."""
    job = _job(name)
    for function in job.functions.values():
        assert all(job.output_of(path) for path in function.paths)
    for group in job.groups.values():
        assert set(job.functions_of(group)) <= set(job.functions)
        assert set(group.people) <= set(job.people)
        assert group.fob in job.parts
    for promise in job.promises:
        assert promise.to in job.groups
        houses = {path.split("/")[0] for path in job.functions[promise.function].paths}
        assert any(promise.from_ in job.premises[house].places for house in houses)
    for rule in job.rules:
        assert set(rule.by) <= set(job.groups)
    for house in job.premises.values():
        driven = {**house.devices, **house.panels}
        for box in house.receivers.values():
            assert box.part in job.parts
            for output in box.outputs.values():
                for works in filter(None, (output.works, *output.with_)):
                    device, given = works.split(".")
                    assert given in (job.parts[driven[device].part].inputs or {})  # type: ignore[index, union-attr]


def _run(job: Job, path: str) -> tuple[float, float, float]:
    """Length [m] and area [mm2] of the cable to an output's load or a fed device, and the load's current
    [A].
    """
    premises, name, *number = path.split("/")
    house = job.premises[premises]
    output = house.receivers[name].outputs[number[0]] if number else None
    fed = house.devices[name].fed if output is None else None
    cable = output.cable if output is not None else fed.cable if fed is not None else None
    works = [name] if output is None else [one.split(".")[0] for one in (output.works or "", *output.with_)]
    assert cable is not None
    sheet: Any = job.parts[cable.part]
    loads: list[Any] = [job.parts[house.devices[device].part or ""] for device in works]
    return cable.length_m, sheet.area_mm2, sum(load.current_a * load.pieces for load in loads)


@pytest.mark.parametrize(
    ("name", "says", "path"),
    [
        (LARKFEN, "to the strike", "larkfen/R1/3"),
        (LARKFEN, "35 m of 1.0", "larkfen/R3/3"),
        (LARKFEN, "26 m of 0.75", "larkfen/R3/4"),
        (COURT, "55 m of 1.5", "court/R3/1"),
        (COURT, "10 m of 0.75", "court/R1/3"),
        (BRINDLEMARK, "38 m of 0.22", "sarnbeck/siren"),
        (BRINDLEMARK, "9 m of 1.0", "oakmire/O1/2"),
        (BRINDLEMARK, "10 m of 1.0", "sarnbeck/S1/1"),
    ],
)
def test_drops_follow_from_length_and_area(name: str, says: str, path: str) -> None:
    """I x 2 L x 0.01786 / A gives the drop of the key (Ohm's law; the job's cables use the same figure)."""
    length_m, area_mm2, current_a = _run(_job(name), path)
    assert _entry(name, says).value == pytest.approx(current_a * 2 * length_m * 0.01786 / area_mm2, rel=0.01)


def test_shared_return_adds_both_currents() -> None:
    """One core carries one strike's current, the return core that of both."""
    length_m, area_mm2, current_a = _run(_job(COURT), "court/R4/3")
    assert _entry(COURT, "share a return").value == pytest.approx(
        length_m * 0.01786 / area_mm2 * 3 * current_a, rel=0.01
    )


def test_holders_and_buttons_are_counted() -> None:
    """600 holders and 30 spares at the court, 86 and 12 at Brindlemark; R2 is asked for 1 200 buttons."""
    court, brindlemark = _job(COURT), _job(BRINDLEMARK)
    holders = [
        group
        for name, group in court.groups.items()
        if name in ("orrindell", "nordheath", "quibblestone", "thrushgate", "umberlow", "facility")
    ]
    assert [group.count for group in holders] == [212, 148, 121, 74, 38, 7]
    assert sum(group.spares for group in court.groups.values()) == 30
    r2 = {
        name
        for name, function in court.functions.items()
        if any(path.startswith("court/R2/") for path in function.paths)
    }
    used = sum(
        (group.count or 0)
        * sum(
            bool(set(button if isinstance(button, tuple) else (button,)) & r2)
            for button in group.buttons.values()
        )
        for group in court.groups.values()
    )
    assert used == _entry(COURT, "counts buttons").value == 1200
    assert sum(group.count or len(group.people) for group in brindlemark.groups.values()) == 86
    assert sum(group.spares for group in brindlemark.groups.values()) == 12


def test_lost_fob_is_known_where_the_story_says() -> None:
    """BM-047-K: O1-1,2; V1-1,2,4; V2-1; L1-1,2,4; S1-1: five receivers at four premises."""
    job = _job(BRINDLEMARK)
    paths = {
        path
        for name in job.functions_of(job.groups["fitter with lost fob"])
        for path in job.functions[name].paths
    }
    assert paths == {
        "oakmire/O1/1",
        "oakmire/O1/2",
        "vessing/V1/1",
        "vessing/V1/2",
        "vessing/V1/4",
        "vessing/V2/1",
        "lowdrift/L1/1",
        "lowdrift/L1/2",
        "lowdrift/L1/4",
        "sarnbeck/S1/1",
    }
    road = {frozenset(one.between): one.takes_s / 60 for one in job.roads}
    tours = [
        [("oakmire", *order, "oakmire")[i : i + 2] for i in range(4)]
        for order in itertools.permutations(("vessing", "lowdrift", "sarnbeck"))
    ]
    assert (
        min(sum(road[frozenset(leg)] for leg in tour) for tour in tours)
        == _entry(BRINDLEMARK, "lost fob").value
        == 155
    )


def test_shares_and_sums_of_the_key() -> None:
    """Poisson arrivals, counter window, inrush and standby, each worked out once more from the job's own
    values.
    """
    court, larkfen, brindlemark = _job(COURT), _job(LARKFEN), _job(BRINDLEMARK)
    rate = court.traffic[0].arrivals["07:40-07:55"] / 900
    assert _entry(COURT, "70 %").value == pytest.approx(1 - math.exp(-6 * rate), abs=0.005)
    assert _entry(COURT, "0.79 meet").value == pytest.approx(math.exp(-2 * rate * 0.6), abs=0.005)
    assert _entry(COURT, "439 an hour").value == pytest.approx(900 / 8.2, abs=0.5)
    for name, job, part in ((LARKFEN, larkfen, "path-led"), (COURT, court, "luminaires-46")):
        sheet: Any = job.parts[part]
        assert _entry(name, "peak at").value == sheet.pieces * sheet.peak_a
    battery: Any = larkfen.parts["battery-7ah"]
    receiver: Any = larkfen.parts["RX4"]
    rest_a = 3 * receiver.current_idle_a + (larkfen.premises["larkfen"].supplies["main"].other_load_a or 0)
    assert _entry(LARKFEN, "standby").value == pytest.approx(
        battery.capacity_ah * battery.usable_share / rest_a
    )
    visits = brindlemark.groups["fitters"].visits_per_day
    seen = visits["sarnbeck"] / sum(visits.values())
    ignored = sum(
        seen
        * (1 - seen) ** gap
        * (1 - sum(math.exp(-14 * gap) * (14 * gap) ** k / math.factorial(k) for k in range(16)))
        for gap in range(1, 400)
    )
    assert _entry(BRINDLEMARK, "86 %").value == pytest.approx(ignored, abs=0.002)


def test_key_covers_every_job_and_kind() -> None:
    """Each job has planted faults and sound things, over at least five links."""
    for name in JOBS:
        assert {one.kind for one in ENTRIES[name]} == {"planted", "weak", "sound"}
        assert len({one.link for one in ENTRIES[name]} & set(Link)) >= 5
