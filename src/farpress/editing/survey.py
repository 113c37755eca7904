"""From the answers of a guided survey to a whole first job file.

Asked are only things that a person on site can see or say; everything else comes from
generic parts and is marked in the file as chosen, so that it can be looked up later. The
result reads without faults and can be assessed at once.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Annotated, Any, Final, Literal

from pydantic import AfterValidator, BaseModel, ConfigDict, Field, ValidationError

from farpress.editing.survey_words import told
from farpress.errors import InputError
from farpress.jobfile.patching import written_scalar

__all__ = [
    "NEVERS",
    "THINGS",
    "Answers",
    "GroupThere",
    "PlaceThere",
    "Thing",
    "ThingThere",
    "answers_of",
    "survey_text",
    "survey_values",
]

Side = Literal["front", "back", "left", "right", "inside"]


def _name(text: str) -> str:
    if not text.strip(". ") or "/" in text or "\\" in text or not all(sign.isprintable() for sign in text):
        raise ValueError(
            f"'{text[:40]}' cannot be a name: at least one letter or digit, no slash, no line break"
        )
    return text


def _thing_name(text: str) -> str:
    if "." in text:
        raise ValueError(
            f"'{text[:40]}' cannot be the name of a thing: the dot parts a thing from its input, as in"
            " gate.open"
        )
    return _name(text)


Text = Annotated[str, Field(min_length=1, max_length=80), AfterValidator(_name)]
ThingName = Annotated[str, Field(min_length=1, max_length=80), AfterValidator(_thing_name)]


class _Part(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True, str_strip_whitespace=True)


class ThingThere(_Part):
    """One thing that is to be worked, and where it is."""

    kind: str
    name: ThingName
    side: Side = "front"
    away_m: Annotated[float, Field(ge=0, le=2000)] = 5.0


class GroupThere(_Part):
    """People with the same fob and buttons."""

    name: Text
    count: Annotated[int, Field(ge=1, le=5000)] = 1
    functions: tuple[Text, ...]
    kept: Literal["in hand", "in pocket", "in car"] = "in pocket"


class PlaceThere(_Part):
    """A place where somebody presses."""

    name: Text
    side: Side = "front"
    away_m: Annotated[float, Field(ge=0, le=5000)] = 5.0
    pressed: Literal["in hand", "in pocket", "in car"] = "in hand"
    functions: tuple[Text, ...]
    presses: Annotated[int, Field(ge=1, le=5)] = 2
    sure: Annotated[int, Field(ge=50, le=99)] = 95


class Answers(_Part):
    """Everything the survey asked. Lengths in metres; the street is at the front."""

    name: Text
    customer: str = ""
    address: str = ""
    installer: str = ""
    region: Literal["europe", "north america"] = "europe"
    surroundings: Literal["city", "business", "residential", "rural"] = "residential"
    wide_m: Annotated[float, Field(ge=2, le=400)] = 11.0
    deep_m: Annotated[float, Field(ge=2, le=400)] = 9.0
    storeys: Annotated[int, Field(ge=1, le=6)] = 1
    build: str = "brick 365 mm"
    slab: str = "reinforced concrete 180 mm"
    glazing: Literal["plain glazing", "coated glazing", "none"] = "coated glazing"
    to_street_m: Annotated[float, Field(ge=0, le=2000)] = 12.0
    receiver_side: Side = "inside"
    housing: Literal["plastic", "steel"] = "plastic"
    things: Annotated[tuple[ThingThere, ...], Field(min_length=1, max_length=16)]
    groups: Annotated[tuple[GroupThere, ...], Field(min_length=1, max_length=60)]
    places: Annotated[tuple[PlaceThere, ...], Field(min_length=1, max_length=40)]
    nevers: tuple[str, ...] = ()


@dataclass(frozen=True)
class Thing:
    """A kind of thing that can be worked.

    Attributes:
        says: in words, for the list.
        part: of the catalogue; a device, or a panel where `is_panel`.
        functions: name (with {} for the thing's own name), input, kind of function, and the output as in
            a job file.
        is_panel: an alarm panel.
        height_m: where its part hangs [m].
    """

    says: str
    part: str
    functions: tuple[tuple[str, str, str, Mapping[str, object]], ...]
    is_panel: bool = False
    height_m: float = 1.0


_PULSE: Final = {"kind": "pulse", "for": "0.5 s"}
_MAINS: Final = {"via": "relay-12v-mains"}

THINGS: Final[dict[str, Thing]] = {
    "sliding gate": Thing(
        "sliding gate with its drive", "sliding-drive", (("open {}", "open", "open", _PULSE),)
    ),
    "swing gate": Thing("swing gate with its drive", "swing-drive", (("open {}", "open", "open", _PULSE),)),
    "barrier": Thing("barrier", "barrier", (("open {}", "open", "open", _PULSE),)),
    "garage door": Thing(
        "garage door with its drive", "garage-drive", (("{}", "start", "open", _PULSE),), height_m=2.3
    ),
    "door": Thing(
        "door or wicket with an electric strike",
        "strike-12v",
        (
            (
                "{}",
                "release",
                "unlock",
                {"kind": "pulse", "for": "4 s", "load_from": "main", "suppression": "diode"},
            ),
        ),
    ),
    "grille": Thing(
        "roller grille with its control",
        "roller-grille",
        (("open {}", "open", "open", _PULSE),),
        height_m=2.5,
    ),
    "bollard": Thing("rising bollard with its control", "bollard", (("lower {}", "down", "open", _PULSE),)),
    "shutter": Thing(
        "shutter, moved while the button is held",
        "shutter-motor",
        (
            ("{} up", "up", "up", {"kind": "follow", **_MAINS}),
            ("{} down", "down", "down", {"kind": "follow", **_MAINS}),
        ),
        height_m=2.4,
    ),
    "window": Thing(
        "window drive, moved while the button is held",
        "window-drive",
        (
            ("{} open", "up", "up", {"kind": "follow", "load_from": "main"}),
            ("{} shut", "down", "down", {"kind": "follow", "load_from": "main"}),
        ),
        height_m=2.4,
    ),
    "light": Thing(
        "lights on the mains",
        "led-230v",
        (("{}", "on", "light", {"kind": "pulse", "for": "4 min", "retrigger": True, **_MAINS}),),
        height_m=2.5,
    ),
    "water": Thing(
        "garden water valve",
        "valve-24vac",
        (
            (
                "{}",
                "on",
                "water",
                {"kind": "pulse", "for": "20 min", "load_from": "valves", "suppression": "varistor"},
            ),
        ),
        height_m=0.4,
    ),
    "alarm": Thing(
        "alarm panel with separate set and unset inputs",
        "panel-double-eol",
        (
            ("set {}", "set", "set", {"kind": "pulse", "for": "1 s"}),
            ("unset {}", "unset", "unset", {"kind": "pulse", "for": "1 s"}),
        ),
        is_panel=True,
        height_m=1.6,
    ),
    "call": Thing(
        "call for help: lamp and sounder in the house",
        "call-12v",
        (
            (
                "{}",
                "on",
                "call",
                {"kind": "pulse", "for": "60 s", "load_from": "main", "suppression": "diode"},
            ),
        ),
        height_m=2.3,
    ),
}
"""Kind of thing → how it is worked: our choice of the usual and careful way (open only at a gate, separate
set and unset)."""

NEVERS: Final[dict[str, str]] = {
    "power": "After a power cut nothing moves, waters or sounds by itself",
    "toggle": "Nothing is toggled: every press has one meaning",
    "both": "Up and down are never on together",
    "unset": "No single press both unsets the alarm and opens something",
}
"""Rules that a survey offers, as a customer would say them."""

RECEIVER_OUTPUTS: Final = 4
HEIGHT_M: Final = 1.8
WALL_GAP_M: Final = 0.6


def answers_of(given: object) -> Answers:
    """The answers out of plain values.

    Raises:
        InputError: every answer that is missing or out of range, each with its place.
    """
    try:
        answers = Answers.model_validate(given)
    except ValidationError as error:
        faults = error.errors()
        inside = {fault["loc"][0] for fault in faults if len(fault["loc"]) > 1}
        lines = [
            told(fault, given)
            for fault in faults
            if len(fault["loc"]) > 1 or fault["loc"][:1] == () or fault["loc"][0] not in inside
        ]
        raise InputError("Not complete yet: " + "; ".join(lines) + ".") from error
    functions = (
        {name for thing in answers.things for name, *_ in _functions_of(thing)}
        if all(one.kind in THINGS for one in answers.things)
        else None
    )
    wrong = [
        f"there is no kind of thing '{one.kind}'; there are {', '.join(THINGS)}"
        for one in answers.things
        if one.kind not in THINGS
    ]
    for what, names in (
        ("thing", [one.name for one in answers.things]),
        ("group", [one.name for one in answers.groups]),
        ("place", [one.name for one in answers.places]),
    ):
        wrong += [
            f"two {what}s are called '{name}'"
            for name in sorted({name for name in names if names.count(name) > 1})
        ]
    for kind, owners in (("group", answers.groups), ("place", answers.places)):
        for owner in owners:
            missing = [name for name in owner.functions if functions is not None and name not in functions]
            wrong += [f"{kind} '{owner.name}' speaks of '{name}', which nothing does" for name in missing]
            wrong += [f"{kind} '{owner.name}' has no function yet" for _ in [0] if not owner.functions]
    wrong += [
        f"group '{one.name}' has {len(one.functions)} functions, but a fob has four buttons: make two groups"
        " of it"
        for one in answers.groups
        if len(one.functions) > 4
    ]
    if wrong:
        raise InputError("The survey does not fit together yet: " + "; ".join(wrong) + ".")
    return answers


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
        at = _point(box, place.side, place.away_m, index, len(answers.places))
        inside: dict[str, Any] = {"level": "ground"} if place.side == "inside" else {}
        held: dict[str, Any] = {"pressed": place.pressed} if place.pressed != "in hand" else {}
        house["places"][place.name] = {"at": at, **inside, **held}
    house["supplies"] = {
        "main": {
            "part": "supply-12v-1a5",
            "at": [*_near(receiver_at, 0.6), 1.6],
            "battery": {"part": "lead-7ah"},
        }
    }
    house["receivers"], house["devices"], house["panels"] = {}, {}, {}
    functions: dict[str, Any] = {}
    for number, (thing, name, input_, kind, made) in _laid_out(answers):
        receiver, output = f"R{number // RECEIVER_OUTPUTS + 1}", str(number % RECEIVER_OUTPUTS + 1)
        about = THINGS[thing.kind]
        at = _point(box, thing.side, thing.away_m, answers.things.index(thing), len(answers.things))
        if receiver not in house["receivers"]:
            house["receivers"][receiver] = {
                "part": "receiver-4",
                "at": [*_near(receiver_at, 0.4 * (number // RECEIVER_OUTPUTS)), HEIGHT_M],
                "housing": answers.housing,
                "fed": {"from": "main", "cable": {"part": "flex-2x0.75", "length": "2 m"}},
                "learn_access": "tamper-protected housing",
                "outputs": {},
            }
        far = abs(at[0] - receiver_at[0]) + abs(at[1] - receiver_at[1]) + 4.0
        cable = {
            "part": "flex-2x1.5" if "via" in made else "alarm-6x0.22" if kind != "unlock" else "flex-2x0.75",
            "length": f"{math.ceil(far * 2) / 2:g} m",
        }
        entry = {**made, "works": f"{thing.name}.{input_}", "after_power_return": "off", "cable": cable}
        if kind in ("up", "down"):
            entry["interlock"] = str(int(output) + (1 if kind == "up" else -1))
        house["receivers"][receiver]["outputs"][output] = entry
        functions[name] = {"output": f"house/{receiver}/{output}", "kind": kind}
        table = house["panels"] if about.is_panel else house["devices"]
        table[thing.name] = {"part": about.part, "at": [*at, about.height_m]}
        if about.is_panel:
            table[thing.name]["fed"] = {"from": "main", "cable": {"part": "flex-2x0.75", "length": "2 m"}}
        if made.get("load_from") == "valves":
            house["supplies"]["valves"] = {"part": "transformer-24v-20va"}
    if not house["panels"]:
        del house["panels"]
    groups = {
        one.name: {
            "fob": "fob-4",
            "buttons": {str(number): name for number, name in enumerate(one.functions, 1)},
            "count": one.count,
            "spares": max(1, one.count // 20),
            "kept": one.kept,
        }
        for one in answers.groups
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


def _laid_out(
    answers: Answers,
) -> Iterator[tuple[int, tuple[ThingThere, str, str, str, Mapping[str, object]]]]:
    """Every output with its place among the receivers' outputs; what belongs together (up and down) stays on
    one receiver.
    """
    number = 0
    for thing in answers.things:
        made = _functions_of(thing)
        if number % RECEIVER_OUTPUTS + len(made) > RECEIVER_OUTPUTS:
            number += RECEIVER_OUTPUTS - number % RECEIVER_OUTPUTS
        for function in made:
            yield number, (thing, *function)
            number += 1


def _functions_of(thing: ThingThere) -> list[tuple[str, str, str, Mapping[str, object]]]:
    return [
        (name.format(thing.name), input_, kind, made)
        for name, input_, kind, made in THINGS[thing.kind].functions
    ]


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
                "along": [[_round(one) for one in start], [_round(one) for one in end]],
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


def _near(at: list[float], step: float) -> list[float]:
    return [_round(at[0] + step), at[1]]


def _round(value: float) -> float:
    made = round(value * 20) / 20
    return int(made) if made == int(made) else round(made, 2)


def _rules(answers: Answers, functions: Mapping[str, Any]) -> Iterator[dict[str, Any]]:
    by_kind: dict[str, list[str]] = {}
    for name, one in functions.items():
        by_kind.setdefault(one["kind"], []).append(name)
    moving = [name for name, one in functions.items() if one["kind"] not in ("light", "set", "unset")]
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
    return _HEAD + "\n".join(_block(survey_values(answers), 0)) + "\n"


def _block(table: Mapping[str, Any], depth: int) -> Iterator[str]:
    pad = "  " * depth
    for key, value in table.items():
        name = written_scalar(key) if not key.isdigit() else key
        if (
            isinstance(value, dict)
            and (depth < 2 or any(isinstance(one, dict | list) and _deep(one) > 1 for one in value.values()))
            and value
        ):
            yield f"{pad}{name}:"
            yield from _block(value, depth + 1)
        elif isinstance(value, list) and value and isinstance(value[0], dict):
            yield f"{pad}{name}:"
            for entry in value:
                yield f"{pad}  - {_flow(entry)}"
        else:
            yield f"{pad}{name}: {_flow(value)}"


def _deep(value: Any) -> int:
    if isinstance(value, dict):
        return 1 + max((_deep(one) for one in value.values()), default=0)
    return 1 + max((_deep(one) for one in value), default=0) if isinstance(value, list) else 0


def _flow(value: Any) -> str:
    if isinstance(value, dict):
        return (
            "{"
            + ", ".join(
                f"{key if key.isdigit() else written_scalar(key, flow=True)}: {_flow(one)}"
                for key, one in value.items()
            )
            + "}"
        )
    if isinstance(value, list | tuple):
        return "[" + ", ".join(_flow(one) for one in value) + "]"
    return written_scalar(value, flow=True)
