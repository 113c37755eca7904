"""What an output works and who presses it: look-ups that the logic's judgements share.

Nothing is judged here, and no missing value is made up: `wants` falls back on what the
kind of input means, everything else stays None.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

from farpress.case.case import Case, OutputAt
from farpress.dates import stretch_s
from farpress.domain.finding import Change
from farpress.domain.job import Group, Promise
from farpress.domain.kinds import UNTOLD_KIND, DeviceKind
from farpress.domain.panel_reads import PanelReading, panel_reading
from farpress.domain.parts import DeviceInput, DeviceSheet, PanelInput, PanelSheet, Part
from farpress.domain.refs import DeviceRef, OutputRef, PanelRef, Ref
from farpress.sources import Citation

__all__ = [
    "Driven",
    "alarm",
    "alone",
    "begins_opening",
    "change",
    "closes",
    "driven_at",
    "driven_of",
    "function_kinds",
    "goes_back",
    "group_text",
    "groups_of",
    "holders",
    "is_purpose_open",
    "known_holders",
    "moves",
    "presses_per_second",
    "promises_of",
    "rate_text",
    "seconds",
    "subjects_of",
    "switching",
    "uses_of",
]

_PULSE: Final = frozenset({"start", "open only", "partial open", "close", "stop", "set", "unset"})
_NAMES_ITSELF: Final = frozenset({"up", "down", "close"})
"""Names that say which way a thing goes, where nobody wrote what the input does; common practice."""

_MAINTAINED: Final = frozenset({"up", "down", "on", "release"})

BUSY_HOURS: Final = 10.0
"""A day's presses fall into so many hours; our choice, nights are quiet."""

PRESSES_ASSUMED: Final = 10.0
"""Presses of a fob each day where none are given; our choice, on the busy side for a household."""


@dataclass(frozen=True)
class Driven:
    """One input that an output's contact works.

    Attributes:
        works: as in the job file, "gate.open".
        path: "premises/gate".
        device, panel: the part with its sheet; one of them, or neither if nothing is known.
        input: what is known about the input; None if nothing.
    """

    works: str
    path: str
    device: Part[DeviceSheet] | None
    panel: Part[PanelSheet] | None
    input: DeviceInput | None

    @property
    def subject(self) -> Ref:
        """Name for `Finding.subjects`."""
        return PanelRef(self.path) if self.panel is not None else DeviceRef(self.path)

    @property
    def sheet(self) -> DeviceSheet:
        """The device's sheet; an empty one for a panel or an unknown device."""
        return self.device.sheet if self.device is not None else DeviceSheet()

    @property
    def kind(self) -> str | None:
        """What the device is; None for a panel or where it is not said."""
        return self.sheet.device

    @property
    def traits(self) -> DeviceKind:
        """What its kind means; no trait for a panel, and none but that it may hurt where no kind is said."""
        return UNTOLD_KIND if self.device is not None and self.kind is None else self.sheet.traits

    @property
    def logic(self) -> str | None:
        """What the input does; None where it is not said."""
        return self.input.logic if self.input is not None else None

    @property
    def way(self) -> str | None:
        """What the input does, or else what its name alone says: enough to fear it, never to trust it."""
        name = self.works.partition(".")[2]
        named = name if self.device is not None and name in _NAMES_ITSELF else None
        return self.logic or named

    @property
    def reads(self) -> str | None:
        """How a panel reads its input; None for a device."""
        return self.input.reads if isinstance(self.input, PanelInput) else None

    @property
    def reading(self) -> PanelReading:
        """What that means; no trait for a device, or where it is not said."""
        return panel_reading(self.reads)

    @property
    def wants(self) -> str | None:
        """`pulse`, `maintained` or `either`; from its kind where the sheet does not say; else None."""
        if self.input is not None and self.input.wants is not None:
            return self.input.wants
        if self.reading.is_pulse:
            return "pulse"
        if self.reads in ("zone", "tamper"):
            return "either"
        if self.reads == "level" or self.logic in _MAINTAINED:
            return "maintained"
        if self.logic in _PULSE:
            return "pulse"
        return "maintained" if self.traits.is_load and self.logic is None else None

    def cite(self, *fields: str) -> tuple[Citation, ...]:
        """Sources of fields of the device's or panel's sheet."""
        part = self.device or self.panel
        return part.cite(*fields) if part is not None else ()


def driven_of(case: Case, output: OutputAt) -> tuple[Driven, ...]:
    """Everything one output's contact works, in the order of the job file."""
    return tuple(driven_at(case, output.premises, works) for works in output.works)


def driven_at(case: Case, premises: str, works: str) -> Driven:
    """What "device.input" or "panel.input" of a premises is, whether an output works it or not."""
    name, _, input_name = works.partition(".")
    path = f"{premises}/{name}"
    device, panel = case.equipment.devices.get(path), case.equipment.panels.get(path)
    return Driven(works, path, device, panel, _input(device, panel, input_name))


def _input(device: Part[DeviceSheet] | None, panel: Part[PanelSheet] | None, name: str) -> DeviceInput | None:
    """An input by its name, of the device or else of the panel; None where nothing is known of it."""
    if device is not None:
        return (device.sheet.inputs or {}).get(name)
    return (panel.sheet.inputs or {}).get(name) if panel is not None else None


def moves(load: Driven) -> bool:
    """Whether it moves by power."""
    return load.traits.moves


def alarm(load: Driven) -> bool:
    """Whether the input sets or unsets an alarm."""
    return load.reading.changes_state or load.logic in ("set", "unset")


def closes(load: Driven) -> bool:
    """Whether a press on this input can close something, now or a little later by itself."""
    if load.way in ("start", "close", load.traits.shutting_way):
        return True
    return load.sheet.closes_after_s is not None and (begins_opening(load) or load.logic is None)


def begins_opening(load: Driven) -> bool:
    """Whether a press on this input opens: as it says, or in the direction in which such a thing opens."""
    return load.logic in ("open only", "partial open", load.traits.opening_way)


def goes_back(load: Driven) -> bool:
    """Whether it goes back by itself when the contact at this input opens, as the job says."""
    return load.input is not None and load.input.opened == "goes back"


def function_kinds(case: Case, output: OutputAt) -> frozenset[str]:
    """Kinds of the functions that press an output, as far as they are given."""
    return frozenset(kind for name in output.functions if (kind := case.job.functions[name].kind) is not None)


def is_purpose_open(case: Case, function: str) -> bool:
    """Whether nobody says what a press is for, and what it works does not tell: a lamp may light the way or
    call for help, an alarm's input may set or unset; a gate's own input says what it does.
    """
    given = case.job.functions.get(function)
    if given is None or given.kind is not None:
        return False
    loads = [load for output in case.outputs_of(function) for load in driven_of(case, output)]
    return not all((moves(load) or load.traits.is_lock) and load.logic is not None for load in loads)


def groups_of(case: Case, output: OutputAt) -> tuple[tuple[str, Group], ...]:
    """Groups with a button for this output."""
    return tuple(
        (name, group)
        for name, group in case.job.groups.items()
        if set(case.job.functions_of(group)) & set(output.functions)
    )


def promises_of(case: Case, functions: Iterable[str]) -> tuple[Promise, ...]:
    """Promises of any of these functions."""
    wanted = set(functions)
    return tuple(promise for promise in case.job.promises if promise.function in wanted)


def holders(group: Group) -> int | None:
    """People or fobs in a group, spares not counted; None if neither names nor a number are given."""
    if group.count is not None:
        return group.count
    return len(group.people) if group.people else None


def switching(case: Case, output: OutputAt, way: str | None) -> tuple[str, ...]:
    """Functions that switch an output of the kind `latch` `on` or `off`; those that do not say with None."""
    return tuple(name for name in output.functions if case.job.functions[name].switches == way)


def known_holders(case: Case, output: OutputAt) -> int | None:
    """Holders of fobs that can press an output; None if one group's number is missing."""
    counts = [holders(group) for _, group in groups_of(case, output)]
    return None if None in counts else sum(count for count in counts if count is not None)


def uses_of(case: Case, output: OutputAt) -> list[float] | None:
    """How likely each holder presses an output in a day or shift; None where a group does not say."""
    shares: list[float] = []
    for _, group in groups_of(case, output):
        given = [group.uses_share[name] for name in output.functions if name in group.uses_share]
        number = holders(group)
        if not given or number is None:
            return None
        for said in given:
            shares += said if isinstance(said, tuple) else [said] * number
    return shares


def presses_per_second(case: Case, output: OutputAt) -> tuple[float, str] | None:
    """Busiest rate of presses of an output, and where it comes from; None if it cannot be told.

    Counted arrivals come first; else the presses of all holders, as if all of them were
    for this output and fell into ten hours, which is on the busy side.
    """
    counted = [
        (number / stretch_s(stretch), f"{number} arrivals {stretch}")
        for traffic in case.job.traffic
        if traffic.function in output.functions
        for stretch, number in traffic.arrivals.items()
        if stretch_s(stretch) > 0
    ]
    if counted:
        return max(counted)
    presses = 0.0
    assumed = False
    for _, group in groups_of(case, output):
        number = holders(group)
        if number is None or (group.presses_per_day is None and number > 5):
            return None
        assumed = assumed or group.presses_per_day is None
        presses += number * (PRESSES_ASSUMED if group.presses_per_day is None else group.presses_per_day)
    people = known_holders(case, output)
    taken = f", {PRESSES_ASSUMED:g} a day taken where none are given" if assumed else ""
    return (
        presses / (BUSY_HOURS * 3600.0),
        f"{presses:g} presses a day of {people} holders{taken}, in {BUSY_HOURS:g} h",
    )


def subjects_of(output: OutputAt, *driven: Driven) -> tuple[Ref, ...]:
    """Names of an output and of what it works."""
    return tuple(dict.fromkeys((OutputRef(output.path), *(load.subject for load in driven))))


def change(output: OutputAt, key: str, value: object) -> Change:
    """An edit of one key of an output."""
    return Change(
        ("premises", output.premises, "receivers", output.receiver, "outputs", output.number, key), value
    )


def alone(group: Group) -> bool:
    """Whether a group is one known person."""
    return holders(group) == 1


def group_text(number: int) -> str:
    """`1 holder`, `4 holders`."""
    return f"{number} holder{'' if number == 1 else 's'}"


def rate_text(presses_per_day: float) -> str:
    """A number of presses as it is said: `6 presses a day`, `4 presses a week`, `1 press a month`.

    >>> rate_text(180.0), rate_text(0.6), rate_text(1.0)
    ('180 presses a day', '4.2 presses a week', '1 press a day')
    """
    for days, name in ((1.0, "day"), (7.0, "week"), (30.4, "month")):
        number = presses_per_day * days
        if number >= 0.95:
            count = f"{number:.2g}" if number < 99.5 else f"{number:.0f}"
            return f"{count} press{'' if round(number, 1) == 1 else 'es'} a {name}"
    return f"{presses_per_day * 365:.2g} presses a year"


def seconds(value: float) -> str:
    """A time as it is said: `300 ms`, `0.5 s`, `20 min`, `24 h`."""
    from farpress.units import write_quantity

    return write_quantity(value, "time")
