"""A job: one customer's whole installation, as it stands in the job file."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, model_validator

from farpress.domain.own_parts import OwnPart
from farpress.domain.premises import Output, Premises, Receiver
from farpress.domain.quantity import (
    Dbm,
    Decibels,
    Metres,
    Model,
    Point,
    Presses,
    Rate,
    Seconds,
    Share,
    Temperature,
)

__all__ = [
    "Button",
    "Details",
    "Function",
    "Group",
    "Job",
    "Person",
    "Promise",
    "Reading",
    "Register",
    "Road",
    "Rule",
    "Traffic",
]


class Details(Model):
    """What stands on the papers and is asked for where it is missing."""

    customer: str | None = None
    address: str | None = None
    responsible_person: str | None = None
    installer: str | None = None
    prepared_by: str | None = None
    telephone: str | None = None
    date: str | None = None
    issue: str | None = None
    insurer: str | None = None
    data_kept_by: str | None = None
    data_kept_until: str | None = None


class Function(Model):
    """What a press is for: one or several outputs, under one name."""

    output: str | None = Field(None, description="premises/receiver/output")
    outputs: tuple[str, ...] = ()
    kind: (
        Literal[
            "open",
            "close",
            "stop",
            "up",
            "down",
            "light",
            "water",
            "heat",
            "set",
            "unset",
            "set and unset",
            "unlock",
            "call",
            "sound",
            "other",
        ]
        | None
    ) = None
    switches: Literal["on", "off"] | None = Field(
        None, description="what its press does to an output of the kind 'latch'"
    )
    says: str = ""

    @property
    def paths(self) -> tuple[str, ...]:
        """Every output it works."""
        return ((self.output,) if self.output else ()) + self.outputs


class Button(Model):
    """What one button does by the length of the press; a list where it is learned for several functions."""

    short: str | tuple[str, ...] | None = None
    long: str | tuple[str, ...] | None = None

    @property
    def functions(self) -> tuple[str, ...]:
        """Names of its functions, those of the short press first."""
        return _names(self.short) + _names(self.long)


def _names(written: str | tuple[str, ...] | None) -> tuple[str, ...]:
    return (written,) if isinstance(written, str) else written or ()


class Group(Model):
    """People who hold the same kind of fob with the same buttons."""

    fob: str
    buttons: dict[str, str | tuple[str, ...] | Button] = Field(
        default_factory=dict,
        description="button → its function; a list where one press is learned for several",
    )
    people: tuple[str, ...] = ()
    count: Annotated[int, Field(ge=0, le=100_000)] | None = Field(
        None, description="holders, where they are not named"
    )
    spares: Annotated[int, Field(ge=0, le=100_000)] = 0
    pool: bool = Field(False, description="fobs without a person")
    organisation: str | None = None
    presses_per_day: Rate | None = None
    visits_per_day: dict[str, Rate] = Field(
        default_factory=dict, description="premises → how often one of them is there"
    )
    trained: bool | None = None
    kept: Literal["in hand", "in pocket", "in car"] | None = None
    coldest_degc: Temperature | None = Field(None, description="where the fobs lie in winter")


class Person(Model):
    """A person; stays out of every paper that does not need a name."""

    age: Annotated[int, Field(ge=0, le=130)] | None = None
    organisation: str | None = None
    role: str | None = None


class Promise(Model):
    """To whom, which function, from which place, within how many presses, how surely."""

    to: str
    function: str
    from_: str = Field(alias="from")
    within_presses: Presses = 2.0
    at_least_share: Share = 0.95
    importance: Literal["must", "should"] = "must"
    says: str = ""


class Rule(Model):
    """Something that must never happen."""

    never: Literal[
        "both on",
        "works after power return",
        "works without sight",
        "works by",
        "on longer than",
        "second press within",
        "unset and open by one press",
        "state out of step",
        "alarm despite unsetting",
        "toggles",
        "held on a start input",
        "works from",
        "works beyond",
        "lost fob known longer than",
        "kept after leaving longer than",
        "closes while occupied",
        "needed to leave",
    ]
    of: tuple[str, ...] = ()
    by: tuple[str, ...] = ()
    from_: tuple[str, ...] = Field((), alias="from")
    for_s: Seconds | None = Field(None, alias="for")
    distance_m: Metres | None = None
    says: str = ""
    signed: str | None = Field(None, description="who accepted that the rule is not kept, and when")


class Reading(Model):
    """A level, or heard presses out of tried ones, taken on site."""

    receiver: str
    place: str
    level_dbm: Dbm | None = None
    heard: Annotated[int, Field(ge=0, le=10_000)] | None = None
    of: Annotated[int, Field(ge=1, le=10_000)] | None = None
    pad_db: Decibels | None = None
    held: Literal["in hand", "in pocket", "in car"] | None = None
    housing: Literal["open", "closed"] | None = None
    aerial_at: Point | None = Field(
        None, description="where the aerial stood, if not where the job file has it"
    )
    says: str = ""


class Register(Model):
    """How the number of fobs grows."""

    churn_share: Share | None = Field(None, description="of the holders leave in a year")
    growth_share: Share | None = Field(None, description="more holders each year")
    leavers_deleted: bool | None = None
    lost_share: Share | None = Field(None, description="of the fobs are lost in a year")
    delete_within_s: Seconds | None = None


class Road(Model):
    """Travel time between two premises, or a premises and a place a round begins at."""

    between: tuple[str, str]
    takes_s: Seconds


class Traffic(Model):
    """Arrivals at a place: presses in stretches of time."""

    place: str
    function: str
    arrivals: dict[str, Annotated[int, Field(ge=0, le=100_000)]] = Field(description="'07:40-07:55' → number")
    passage_s: Seconds | None = None


class Job(Model):
    """The whole job file."""

    farpress: Literal[1]
    job: str
    region: Literal["europe", "north america"] | None = None
    grade: Annotated[int, Field(ge=1, le=4)] | None = Field(
        None, description="of the alarm system, if it is graded"
    )
    time_zone: str | None = Field(
        None,
        description="of the premises, as 'Europe/London' (name of the IANA database); the record keeps UTC",
    )
    details: Details = Details()
    parts: dict[str, OwnPart] = Field(default_factory=dict)
    premises: dict[str, Premises]
    functions: dict[str, Function] = Field(default_factory=dict)
    people: dict[str, Person] = Field(default_factory=dict)
    groups: dict[str, Group] = Field(default_factory=dict)
    promises: tuple[Promise, ...] = ()
    rules: tuple[Rule, ...] = ()
    readings: tuple[Reading, ...] = ()
    register_: Register = Field(Register(), alias="register")
    roads: tuple[Road, ...] = ()
    starts: tuple[str, ...] = Field(
        (),
        description=(
            "places a round can begin at that are no premises, as an office; their ways stand under 'roads'"
        ),
    )
    traffic: tuple[Traffic, ...] = ()

    @model_validator(mode="after")
    def _something_there(self) -> Job:
        if not self.premises:
            raise ValueError("a job has at least one premises")
        return self

    def receiver_of(self, path: str) -> tuple[str, str, Receiver] | None:
        """Premises, name and receiver of `premises/receiver[/output]`; None if there is none."""
        keys = path.split("/")
        if len(keys) < 2 or keys[0] not in self.premises:
            return None
        receiver = self.premises[keys[0]].receivers.get(keys[1])
        return (keys[0], keys[1], receiver) if receiver is not None else None

    def output_of(self, path: str) -> Output | None:
        """The output of `premises/receiver/output`; None if there is none."""
        found = self.receiver_of(path)
        keys = path.split("/")
        return found[2].outputs.get(keys[2]) if found and len(keys) == 3 else None

    def functions_of(self, group: Group) -> tuple[str, ...]:
        """Names of the functions on a group's buttons, in button order, each once."""
        names: list[str] = []
        for button in group.buttons.values():
            names += button.functions if isinstance(button, Button) else _names(button)
        return tuple(dict.fromkeys(names))
