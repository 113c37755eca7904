"""From the answers of a survey to a whole first job file.

Everything that nobody was asked comes from generic parts and usual heights, so that it can be
looked up later.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from typing import Any, Final

from farpress.editing.survey import Answers, Side, ThingThere, functions_of
from farpress.editing.survey_things import NEVERS, THINGS, Function
from farpress.jobfile.written import job_text

__all__ = ["survey_text", "survey_values"]

RECEIVER_OUTPUTS: Final = 4
HEIGHT_M: Final = 1.8
WALL_GAP_M: Final = 0.6


def survey_values(answers: Answers) -> dict[str, Any]:
    """The job as plain values, keys and units as in a job file."""
    left, low = 10.0, answers.to_street_m
    right, high = left + answers.wide_m, low + answers.deep_m
    box = (left, low, right, high)
    receiver_at = _point(box, answers.receiver_side, WALL_GAP_M, 0, 1)
    house: dict[str, Any] = {"surroundings": answers.surroundings}
    house["levels"] = dict(_levels(answers))
    house["walls"] = list(_walls(answers, box))
    house["places"] = {}
    for index, place in enumerate(answers.places):
        point = _point(box, place.side, place.away_m, index, len(answers.places))
        inside: dict[str, Any] = {"level": "ground"} if place.side == "inside" else {}
        held: dict[str, Any] = {"pressed": place.pressed} if place.pressed != "in hand" else {}
        house["places"][place.name] = {"at": point, **inside, **held}
    house["supplies"] = {
        "main": {
            "part": "supply-12v-1a5",
            "at": [*_near(receiver_at, 0.6), 1.6],
            "battery": {"part": "lead-7ah"},
        }
    }
    house["receivers"], house["devices"], house["panels"] = {}, {}, {}
    functions: dict[str, Any] = {}
    for number, thing, (name, input_, kind, made) in _laid_out(answers):
        receiver, output = f"R{number // RECEIVER_OUTPUTS + 1}", str(number % RECEIVER_OUTPUTS + 1)
        about = THINGS[thing.kind]
        point = _point(box, thing.side, thing.away_m, answers.things.index(thing), len(answers.things))
        if receiver not in house["receivers"]:
            house["receivers"][receiver] = {
                "part": "receiver-4",
                "at": [*_near(receiver_at, 0.4 * (number // RECEIVER_OUTPUTS)), HEIGHT_M],
                "housing": answers.housing,
                "fed": {"from": "main", "cable": {"part": "flex-2x0.75", "length": "2 m"}},
                "outputs": {},
            }
        far = abs(point[0] - receiver_at[0]) + abs(point[1] - receiver_at[1]) + 4.0
        cable = {"part": _cable_for(kind, made), "length": f"{math.ceil(far * 2) / 2:g} m"}
        entry = {**made, "works": f"{thing.name}.{input_}", "after_power_return": "off", "cable": cable}
        if kind in ("up", "down"):
            entry["interlock"] = str(int(output) + (1 if kind == "up" else -1))
        house["receivers"][receiver]["outputs"][output] = entry
        functions[name] = {"output": f"house/{receiver}/{output}", "kind": kind}
        table = house["panels"] if about.is_panel else house["devices"]
        table[thing.name] = {"part": about.part, "at": [*point, about.height_m]}
        if about.is_panel:
            table[thing.name]["fed"] = {"from": "main", "cable": {"part": "flex-2x0.75", "length": "2 m"}}
        if made.get("load_from") == "valves":
            house["supplies"]["valves"] = {"part": "transformer-24v-20va"}
    if not house["panels"]:
        del house["panels"]
    groups = {
        group.name: {
            "fob": "fob-4",
            "buttons": {str(number): name for number, name in enumerate(group.functions, 1)},
            "count": group.count,
            "spares": max(1, group.count // 20),
            "kept": group.kept,
        }
        for group in answers.groups
    }
    promises = [
        {
            "to": group.name,
            "function": name,
            "from": place.name,
            "within": f"{place.presses} press{'es' if place.presses > 1 else ''}",
            "at_least": f"{place.sure} %",
        }
        for place in answers.places
        for name in place.functions
        for group in answers.groups
        if name in group.functions
    ]
    details = {
        key: text
        for key, text in (
            ("customer", answers.customer),
            ("address", answers.address),
            ("installer", answers.installer),
        )
        if text.strip()
    }
    values: dict[str, Any] = {"farpress": 1, "job": answers.name, "region": answers.region}
    if details:
        values["details"] = details
    values |= {
        "premises": {"house": house},
        "functions": functions,
        "groups": groups,
        "promises": promises,
        "rules": list(_rules(answers, functions)),
    }
    return values


def _laid_out(answers: Answers) -> Iterator[tuple[int, ThingThere, Function]]:
    """Every output with its place among the receivers' outputs; what belongs together (up and down) stays on
    one receiver.
    """
    number = 0
    for thing in answers.things:
        made = functions_of(thing)
        if number % RECEIVER_OUTPUTS + len(made) > RECEIVER_OUTPUTS:
            number += RECEIVER_OUTPUTS - number % RECEIVER_OUTPUTS
        for function in made:
            yield number, thing, function
            number += 1


def _cable_for(kind: str, made: Mapping[str, object]) -> str:
    """A cable of the catalogue for what an output works: mains, a lock's coil, or an input."""
    if "via" in made:
        return "flex-2x1.5"
    return "flex-2x0.75" if kind == "unlock" else "alarm-6x0.22"


def _levels(answers: Answers) -> Iterator[tuple[str, dict[str, Any]]]:
    names = ["ground", "first floor", "second floor", "third floor", "fourth floor", "fifth floor"]
    for number, name in enumerate(names[: answers.storeys]):
        level: dict[str, Any] = {"floor": f"{number * 2.8:g} m", "clear": "2.5 m"}
        if number:
            level["slab"] = answers.slab
        yield name, level


def _walls(answers: Answers, box: tuple[float, float, float, float]) -> Iterator[dict[str, Any]]:
    left, low, right, high = box
    for number, (name, _) in enumerate(_levels(answers)):
        for start, end in (
            ((left, low), (right, low)),
            ((right, low), (right, high)),
            ((right, high), (left, high)),
            ((left, high), (left, low)),
        ):
            long = math.dist(start, end)
            wall: dict[str, Any] = {
                "level": name,
                "build": answers.build,
                "along": [[_round(value) for value in start], [_round(value) for value in end]],
            }
            openings: list[dict[str, Any]] = []
            if answers.glazing != "none" and long >= 4:
                openings.append(
                    {
                        "from": f"{_round(long * 0.2):g} m",
                        "width": f"{_round(long * 0.2):g} m",
                        "sill": "0.9 m",
                        "head": "2.1 m",
                        "build": answers.glazing,
                    }
                )
            if number == 0 and start == (left, low):
                openings.append(
                    {
                        "from": f"{_round(long * 0.6):g} m",
                        "width": "1.1 m",
                        "head": "2.1 m",
                        "build": "timber door",
                    }
                )
            if openings:
                wall["openings"] = openings
            yield wall


def _point(
    box: tuple[float, float, float, float], side: Side, away: float, index: int, count: int
) -> list[float]:
    """A point beside the building, points of one side spread along it."""
    left, low, right, high = box
    along = (index + 1) / (count + 1)
    if side == "inside":
        return [_round(left + (right - left) * along), _round(low + min(max(away, 1.0), (high - low) - 1.0))]
    if side in ("front", "back"):
        return [_round(left + (right - left) * along), _round(low - away if side == "front" else high + away)]
    return [_round(left - away if side == "left" else right + away), _round(low + (high - low) * along)]


def _near(point: list[float], step: float) -> list[float]:
    return [_round(point[0] + step), point[1]]


def _round(value: float) -> float:
    made = round(value * 20) / 20
    return int(made) if made == int(made) else round(made, 2)


_STILL: Final = ("light", "set", "unset")
"""Kinds of function after which nothing moves, waters or sounds."""


def _rules(answers: Answers, functions: Mapping[str, Any]) -> Iterator[dict[str, Any]]:
    by_kind: dict[str, list[str]] = {}
    for name, function in functions.items():
        by_kind.setdefault(function["kind"], []).append(name)
    moving = [name for name, function in functions.items() if function["kind"] not in _STILL]
    if "power" in answers.nevers and moving:
        yield {"never": "works after power return", "of": moving, "says": NEVERS["power"]}
    if "toggle" in answers.nevers:
        yield {"never": "toggles", "of": list(functions), "says": NEVERS["toggle"]}
    if "both" in answers.nevers:
        for up, down in zip(by_kind.get("up", []), by_kind.get("down", [])):
            yield {"never": "both on", "of": [up, down], "says": NEVERS["both"]}
    opens = by_kind.get("open", []) + by_kind.get("unlock", [])
    if "unset" in answers.nevers and by_kind.get("unset") and opens:
        yield {
            "never": "unset and open by one press",
            "of": [*by_kind["unset"], *opens],
            "says": NEVERS["unset"],
        }


_HEAD: Final = """\
# A first job out of the guided survey. What nobody was asked comes from generic parts
# and usual heights: look it up on site, then write the real values here or at the desk.
"""


def survey_text(answers: Answers) -> str:
    """The job file."""
    return job_text(survey_values(answers), head=_HEAD)
