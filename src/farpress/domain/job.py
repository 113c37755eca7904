"""A job: one customer's whole installation, as it stands in the job file."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, model_validator

from farpress.dates import Weekday
from farpress.domain.own_parts import OwnPart
from farpress.domain.premises import Output, Premises, Receiver
from farpress.domain.quantity import (
    Dbm,
    Decibels,
    Height,
    Metres,
    Model,
    Point,
    Presses,
    Rate,
    Seconds,
    Share,
    Speed,
    Temperature,
)

__all__ = [
    "Button",
    "Delivery",
    "Details",
    "Function",
    "Group",
    "Job",
    "KeptStory",
    "Person",
    "Promise",
    "Reading",
    "Register",
    "Road",
    "Rule",
    "Traffic",
    "as_names",
]


AnsweredDay = Literal[
    "every day", "monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday"
]

PaperLanguage = Literal["en", "de", "fr", "nl", "pl", "es", "it"]
"""Languages of cover, cards, labels and lost-fob sheet (ISO 639-1)."""


class Details(Model):
    """What stands on the papers and is asked for where it is missing."""

    customer: str | None = Field(None, description="name of the customer")
    address: str | None = Field(None, description="of the customer")
    responsible_person: str | None = Field(None, description="who decides for the customer")
    installer: str | None = Field(None, description="firm that installs")
    prepared_by: str | None = Field(None, description="who surveyed and planned")
    telephone: str | None = Field(None, description="of the firm, for faults")
    date: str | None = Field(None, description="of the survey, as 2026-11-25")
    issue: str | None = Field(None, description="number of the papers' issue")
    insurer: str | None = Field(None, description="of the alarm system, if one asks for papers")
    data_kept_by: str | None = Field(None, description="who keeps the names and fob numbers")
    data_kept_until: str | None = Field(None, description="day or event after which they are deleted")
    papers: dict[str, str] = Field(
        default_factory=dict, description="name of a paper that is there → its date, or where it is kept"
    )


class Function(Model):
    """What a press is for: one or several outputs, under one name."""

    output: str | None = Field(None, description="premises/receiver/output")
    outputs: tuple[str, ...] = Field((), description="several outputs, each as premises/receiver/output")
    works: str | tuple[str, ...] = Field(
        (),
        description=(
            "what a press shall work, as gate.open or premises/gate.open, before an output is drawn for it; a"
            " list where it shall work several"
        ),
    )
    kind: (
        Literal[
            "open",
            "close",
            "start",
            "stop",
            "up",
            "down",
            "light",
            "water",
            "heat",
            "set",
            "unset",
            "set and unset",
            "part set",
            "clear alarm",
            "start entry",
            "unlock",
            "call",
            "sound",
            "other",
        ]
        | None
    ) = Field(None, description="what is done")
    switches: Literal["on", "off"] | None = Field(
        None, description="what its press does to an output of the kind 'latch'"
    )
    answered_by: str | None = Field(
        None, description="of a call for help: who answers, by name or duty; 'nobody' where none does"
    )
    answered_hours: str | None = Field(
        None,
        description="of a call for help: from when to when somebody answers, as '08:00-17:00'; '00:00-24:00'"
        " for at all hours",
    )
    answered_days: tuple[AnsweredDay, ...] = Field(
        (), description="of a call for help: days of the week on which somebody answers; or [every day]"
    )
    answered_within_s: Seconds | None = Field(
        None, description="of a call for help: longest time until somebody is there or answers, as 20 min"
    )
    told_apart: Annotated[int, Field(ge=0, le=10_000)] | None = Field(
        None,
        description="how many people, rooms or places a board shall tell apart at a press, as 14 for a lamp"
        " for each flat; 0 where nobody wants to know who pressed",
    )
    tested_per_day: Rate | None = Field(
        None, description="of a call for help: how often it is tried, as 1 per week"
    )
    in_danger: bool | None = Field(
        None,
        description="somebody relies on it in danger: it locks, opens, lights or stops when there is a fire"
        " or an attack",
    )
    also_by: str | None = Field(
        None, description="what does the same by wire, where a press is not heard: a call point, a key switch"
    )
    mistaken_for: tuple[str, ...] | None = Field(
        None,
        description="of a signal relied on in danger: others on the premises that sound or look like it,"
        " as [fire"
        " bell]; [] for none, tried with people who know neither",
    )
    noticed_at: tuple[str, ...] | None = Field(
        None,
        description="of what is relied on in danger: places from which whoever pressed hears or sees that"
        " it began,"
        " tried; [] for none",
    )
    by_accident_per_day: Rate | None = Field(
        None,
        description="of what is relied on in danger: how often one fob is pressed for it by accident, as 1"
        " per month",
    )
    silent: bool | None = Field(
        None, description="of a call: nobody near may hear or see that it was pressed, as of a hold-up button"
    )
    hours: str | None = Field(
        None, description="when its press shall count, as '06:00-20:00'; at other hours it shall do nothing"
    )
    hours_by: Literal["time switch", "panel", "people"] | None = Field(
        None, description="what keeps these hours; a receiver has no clock"
    )
    lasts_s: Seconds | None = Field(
        None, alias="lasts", description="how long it shall go on after a press, as the customer wants it"
    )
    says: str = Field("", description="what a press does, in words for the user's card")

    @property
    def paths(self) -> tuple[str, ...]:
        """Every output it works."""
        return ((self.output,) if self.output else ()) + self.outputs

    @property
    def wished(self) -> tuple[str, ...]:
        """Every input it shall work, as it is written."""
        return as_names(self.works)


class Button(Model):
    """What one button does by the length of the press; a list where it is learned for several functions."""

    short: str | tuple[str, ...] | None = Field(None, description="function of a short press")
    long: str | tuple[str, ...] | None = Field(None, description="function of a long press")

    @property
    def functions(self) -> tuple[str, ...]:
        """Names of its functions, those of the short press first."""
        return as_names(self.short) + as_names(self.long)


def as_names(written: str | tuple[str, ...] | None) -> tuple[str, ...]:
    """Names that are written as one or as several."""
    return (written,) if isinstance(written, str) else written or ()


class Group(Model):
    """People who hold the same kind of fob with the same buttons."""

    fob: str = Field(description="its fob: a part of the catalogue or of this job")
    buttons: dict[str, str | tuple[str, ...] | Button] = Field(
        default_factory=dict,
        description="button → its function; a list where one press is learned for several",
    )
    people: tuple[str, ...] = Field((), description="names out of 'people'")
    count: Annotated[int, Field(ge=0, le=100_000)] | None = Field(
        None, description="holders, where they are not named"
    )
    spares: Annotated[int, Field(ge=0, le=100_000)] = Field(
        0, description="fobs kept in stock, learned or not"
    )
    pool: bool = Field(False, description="fobs without a person")
    shared_by: Annotated[int, Field(ge=1, le=1000)] = Field(
        1, description="people who use each of its fobs in turn"
    )
    owner: str | None = Field(
        None, description="of a pool: who answers for its fobs and signs them out and in, by name or duty"
    )
    organisation: str | None = Field(None, description="tenant or firm they belong to")
    presses_per_day: Rate | None = Field(
        None, description="of one person, on a day on which the fob is used, at all premises together"
    )
    visits_per_day: dict[str, Rate] = Field(
        default_factory=dict,
        description=(
            "premises → how often one of them is there, those of other firms too that know the same fob"
            " (write them under 'premises' with no more than an address); premises/receiver → how often"
            " one of them presses for it, where it is out of reach of the other presses"
        ),
    )
    uses_share: dict[str, Share | tuple[Share, ...]] = Field(
        default_factory=dict,
        description=(
            "function → how likely one of them presses it in a day or shift; a list where they differ"
        ),
    )
    trained: bool | None = Field(None, description="they were shown everything on the handover certificate")
    kept: Literal["in hand", "in pocket", "in car"] | None = Field(
        None, description="where the fobs are carried"
    )
    coldest_degc: Temperature | None = Field(None, description="where the fobs lie in winter")
    handed_out_per_day: Rate | None = Field(
        None,
        description="so many of its fobs are handed out to somebody new, as to guests for a week; absent:"
        " each stays with its holder",
    )
    not_returned_share: Share | None = Field(
        None, description="of the fobs handed out do not come back in time"
    )
    walks_m_per_s: Speed | None = Field(
        None, description="of its slowest on foot, with a stick, a walker or a pram"
    )
    cells_changed_s: Seconds | None = Field(
        None, description="so often the cells of its fobs are meant to be changed, as 5 years"
    )
    longest_away_s: Seconds | None = Field(
        None, description="longest that one of them is out of reach of the receivers, time and again"
    )

    @property
    def premises_visits(self) -> dict[str, float]:
        """Premises → how often one of them is there [1/d]."""
        return {place: often for place, often in self.visits_per_day.items() if "/" not in place}


class Person(Model):
    """A person; stays out of every paper that does not need a name."""

    age: Annotated[int, Field(ge=0, le=130)] | None = Field(
        None, description="years; small children and their buttons are judged by it"
    )
    organisation: str | None = Field(None, description="tenant or firm")
    role: str | None = Field(None, description="what the person is here: owner, tenant, fitter")
    fob_lost: str | None = Field(
        None, description="day on which the fob was lost, as 2026-04-02, as long as it is not deleted"
    )
    left: str | None = Field(
        None, description="day on which the person left, as 2026-04-30, as long as the fob is not deleted"
    )


class Promise(Model):
    """To whom, which function, from which place, within how many presses, how surely."""

    to: str = Field(description="group it is made to")
    function: str = Field(description="what a press shall do")
    from_: str = Field(alias="from", description="place of the premises, or premises/place")
    within_presses: Presses = Field(2.0, description="so often it may be pressed; absent: 2 presses")
    at_least_share: Share = Field(0.95, description="how surely: share of all tries; absent: 95 %")
    importance: Literal["must", "should"] = Field("must", description="must: a promise; should: a wish")
    says: str = Field("", description="in the customer's words")


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
        "unset by a fob alone",
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
        "both open",
        "set with somebody inside",
        "open while set",
        "live while worked on",
        "more than one inside",
        "works outside hours",
    ] = Field(description="what must never happen")
    of: tuple[str, ...] = Field(
        (),
        description=(
            "functions, devices, outputs, alarm panels, their areas (as panel.area) or gate locks it is about"
        ),
    )
    by: tuple[str, ...] = Field((), description="groups, people or firms it is about")
    from_: tuple[str, ...] = Field((), alias="from", description="places it is about")
    for_s: Seconds | None = Field(None, alias="for", description="the time in the rule")
    distance_m: Metres | None = Field(None, description="the distance in the rule")
    hours: str | None = Field(
        None, description="the hours in the rule, as '06:00-20:00'; absent: those of the functions it names"
    )
    says: str = Field("", description="in the customer's words")
    signed: str | None = Field(None, description="who accepted that the rule is not kept, and when")


class KeptStory(Model):
    """A story of presses kept in the job, and how it shall end."""

    steps: str | Annotated[tuple[str, ...], Field(min_length=1)] = Field(
        description=(
            "what happens, as '0 s: family press 2; 4 s: power off', or a list of such parts; a last 'wait'"
            " says when it ends"
        )
    )
    ends: dict[str, str] = Field(
        default_factory=dict, description="device, panel or output → how it stands at its last moment"
    )
    breaks: tuple[Annotated[int, Field(ge=1)], ...] = Field(
        (), description="numbers of the rules that it shows broken; absent: it breaks none"
    )
    says: str = Field("", description="in the customer's words")

    @property
    def text(self) -> str:
        """All steps as one text."""
        return self.steps if isinstance(self.steps, str) else "; ".join(self.steps)


class Reading(Model):
    """A level, or heard presses out of tried ones, taken on site."""

    receiver: str = Field(description="written premises/receiver")
    place: str = Field(description="where was pressed")
    level_dbm: Dbm | None = Field(None, description="level read at the receiver")
    heard: Annotated[int, Field(ge=0, le=10_000)] | None = Field(None, description="presses that were heard")
    of: Annotated[int, Field(ge=1, le=10_000)] | None = Field(None, description="presses that were tried")
    pad_db: Decibels | None = Field(None, description="attenuator in the aerial cable during the reading")
    held: Literal["in hand", "in pocket", "in car"] | None = Field(
        None, description="how the fob was held, if not as the place says"
    )
    housing: Literal["open", "closed"] | None = Field(
        None, description="whether the receiver's housing was open or closed"
    )
    aerial_at: Point | None = Field(
        None, description="where the aerial stood, if not where the job file has it"
    )
    there: tuple[str, ...] = Field(
        (),
        description="of what hides its place at times only: what was there when it was taken; absent: none of"
        " it",
    )
    otherwise: str | None = Field(
        None,
        description="what stood otherwise than when it is needed, as 'shutter open' or 'hall empty'; the"
        " reading is then left out",
    )
    says: str = Field("", description="remark")


class Register(Model):
    """How the number of fobs grows."""

    churn_share: Share | None = Field(None, description="of the holders leave in a year")
    growth_share: Share | None = Field(None, description="more holders each year")
    leavers_deleted: bool | None = Field(
        None, description="the fob of somebody who leaves is deleted from every receiver"
    )
    lost_share: Share | None = Field(None, description="of the fobs are lost in a year")
    unreported_share: Share | None = Field(None, description="of the lost fobs nobody reports")
    counted_every_s: Seconds | None = Field(
        None, description="so often every holder shows the fob, and what is not shown is deleted"
    )
    delete_within_s: Seconds | None = Field(None, description="a lost fob is deleted within this time")
    delete_takes_s: Seconds | None = Field(
        None, description="to delete one fob from one receiver, the way to it not counted"
    )
    learn_takes_s: Seconds | None = Field(
        None, description="to learn one fob into one receiver, with whoever brings it there"
    )
    unreturned_share: Share | None = Field(None, description="of those who leave keep their fob")
    fobs: Annotated[int, Field(ge=0, le=1_000_000)] | None = Field(
        None, description="how many fobs the customer says there are, spares and lost ones too"
    )


class Road(Model):
    """Travel time between two premises, or a premises and a place a round begins at."""

    between: tuple[str, str] = Field(description="two premises, or one and a place under 'starts'")
    takes_s: Seconds = Field(description="by car, in traffic as usual")


class Traffic(Model):
    """Arrivals at a place: presses in stretches of time."""

    place: str = Field(description="where they arrive")
    function: str = Field(description="what each of them presses")
    arrivals: dict[str, Annotated[int, Field(ge=0, le=100_000)]] = Field(
        description="'07:40-07:55' → number; with seconds where many press at once: '10:00:00-10:00:03'",
        min_length=1,
    )
    passage_s: Seconds | None = Field(None, description="one needs to pass, the device open")
    length_m: Height | None = Field(
        None, description="of the longest that comes, a trailer with its car: from bumper to stern"
    )
    days: tuple[Weekday, ...] = Field((), description="days of the week it is so on; absent: every day")


class Delivery(Model):
    """What the firm delivers and what stands there already; nothing else than the quotation asks."""

    stands: tuple[str, ...] = Field(
        (), description="receivers and supplies that stand there already, each as premises/name"
    )
    delivers: tuple[str, ...] = Field(
        (), description="devices and panels that the firm delivers and fits, each as premises/name"
    )


class Job(Model):
    """The whole job file."""

    farpress: Literal[1, 2] = Field(description="format of the file; its first line")
    job: str = Field(description="name of the job")
    region: Literal["europe", "north america"] | None = Field(
        None, description="decides which limits for radio count"
    )
    grade: Annotated[int, Field(ge=1, le=4)] | None = Field(
        None, description="of the alarm system, if it is graded"
    )
    time_zone: str | None = Field(
        None,
        description="of the premises, as 'Europe/London' (name of the IANA database); the record keeps UTC",
    )
    details: Details = Field(Details(), description="what stands on the papers")
    language: PaperLanguage | None = Field(
        None, description="of the names and sentences in this file; English where nothing is said"
    )
    translations: dict[PaperLanguage, dict[str, str]] = Field(
        default_factory=dict,
        description="language → name or sentence of this file, as it stands → what cover, cards, labels and"
        " lost-fob sheet say in its place",
    )
    parts: dict[str, OwnPart] = Field(
        default_factory=dict, description="name → a part of your own, from its data sheet"
    )
    premises: dict[str, Premises] = Field(description="name → one address with everything mounted there")
    functions: dict[str, Function] = Field(default_factory=dict, description="name → what a press is for")
    people: dict[str, Person] = Field(default_factory=dict, description="name → a person who holds a fob")
    groups: dict[str, Group] = Field(
        default_factory=dict, description="name → people with the same fob and buttons"
    )
    promises: tuple[Promise, ...] = Field((), description="what was promised to the customer")
    rules: tuple[Rule, ...] = Field((), description="what must never happen")
    stories: dict[str, KeptStory] = Field(
        default_factory=dict, description="name → a story of presses that is played, with how it shall end"
    )
    readings: tuple[Reading, ...] = Field(
        (), description="levels, or presses heard of those tried, taken on site"
    )
    register_: Register = Field(Register(), alias="register", description="how the number of fobs grows")
    roads: tuple[Road, ...] = Field((), description="ways between premises, for rounds")
    starts: tuple[str, ...] = Field(
        (),
        description=(
            "places a round can begin at that are no premises, as an office; their ways stand under 'roads'"
        ),
    )
    traffic: tuple[Traffic, ...] = Field((), description="arrivals at a place, for queues")
    delivery: Delivery = Field(
        Delivery(),
        description=(
            "what stands there already, and which devices and panels the firm delivers; absent: receivers and"
            " supplies are delivered, devices and panels are not"
        ),
    )

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
            names += button.functions if isinstance(button, Button) else as_names(button)
        return tuple(dict.fromkeys(names))
