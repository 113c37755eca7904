"""The answers of a guided survey, and whether they fit together.

Asked are only things that a person on site can see or say; `survey_job` makes a job of them.
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import AfterValidator, BaseModel, ConfigDict, Field, ValidationError, field_validator

from farpress.editing.survey_things import THINGS, Function, thing_called
from farpress.editing.survey_words import told
from farpress.errors import InputError

__all__ = ["Answers", "GroupThere", "PlaceThere", "Side", "ThingThere", "answers_of", "functions_of"]

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

    @field_validator("kind")
    @classmethod
    def _as_we_call_it(cls, said: str) -> str:
        return thing_called(said) or said


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
        {name for thing in answers.things for name, *_ in functions_of(thing)}
        if all(thing.kind in THINGS for thing in answers.things)
        else None
    )
    wrong = [
        f"there is no kind of thing '{thing.kind}'; there are {', '.join(THINGS)}"
        for thing in answers.things
        if thing.kind not in THINGS
    ]
    for what, names in (
        ("thing", [thing.name for thing in answers.things]),
        ("group", [group.name for group in answers.groups]),
        ("place", [place.name for place in answers.places]),
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
        f"group '{group.name}' has {len(group.functions)} functions, but a fob has four buttons: make two"
        " groups of it"
        for group in answers.groups
        if len(group.functions) > 4
    ]
    if wrong:
        raise InputError("The survey does not fit together yet: " + "; ".join(wrong) + ".")
    return answers


def functions_of(thing: ThingThere) -> list[Function]:
    """The functions of a thing, with its name in theirs."""
    return [
        (name.format(thing.name), input_, kind, made)
        for name, input_, kind, made in THINGS[thing.kind].functions
    ]
