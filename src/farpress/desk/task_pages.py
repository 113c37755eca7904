"""The pages of a job by task: which entries stand on each, and which of their fields are always shown.

Every other field is one step away, and shown as soon as it has a value.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

__all__ = ["INLINE", "TASKS", "TOP_FIELDS", "JobTask", "always_shown", "asked_first", "singular"]


@dataclass(frozen=True)
class JobTask:
    """One page.

    Attributes:
        name: in its address.
        title: of the page.
        says: what it is for, in a sentence.
        tables: of the job, at its top; with a star for each of the premises, as "*.receivers".
        help: another page that does some of it by drawing or counting: its name and what it does there.
    """

    name: str
    title: str
    says: str
    tables: tuple[str, ...]
    help: tuple[str, str] | None = None


TASKS: Final = (
    JobTask(
        "customer",
        "Customer",
        "Who it is for, where, and what stands on every paper.",
        ("details", "premises"),
        ("plan", "Draw levels and walls"),
    ),
    JobTask(
        "people",
        "People and buttons",
        "What a press is for, who holds which fob, and what each of its buttons does.",
        ("functions", "groups", "people"),
        ("keys", "Issue, learn and take back single fobs"),
    ),
    JobTask(
        "promises",
        "Places and promises",
        "From where it must work, for whom, and how surely.",
        ("*.places", "promises"),
        ("plan", "Draw places, walls and receivers"),
    ),
    JobTask(
        "receivers",
        "Receivers and outputs",
        "What hears a press, and what each of its outputs does and works.",
        ("*.receivers",),
        ("plan", "Move receivers and aerials, see their reach"),
    ),
    JobTask("devices", "Devices", "What is moved, opened, lit or sounded.", ("*.devices",)),
    JobTask(
        "alarm", "Alarm", "The panel, its inputs, outputs, zones and areas.", ("*.panels", "*.tamper_loops")
    ),
    JobTask("supplies", "Supplies", "What feeds it, for how long without mains.", ("*.supplies",)),
    JobTask(
        "cables",
        "Cables",
        "Cables drawn core by core, junction boxes, diodes, ducts.",
        ("*.cables", "*.junctions", "*.diodes", "*.ways"),
        ("meter", "Touch two terminals, move a core, try a break"),
    ),
    JobTask("parts", "Parts", "Parts of your own, from their data sheets.", ("parts",)),
    JobTask(
        "rules",
        "Rules",
        "What must never happen, and how the register grows.",
        ("rules", "stories", "register"),
    ),
    JobTask(
        "traffic",
        "Traffic and readings",
        "Busy hours, ways between premises, what was measured on site.",
        ("readings", "traffic", "roads", "*.interference"),
        ("proving", "Trials of every promise"),
    ),
)

TOP_FIELDS: Final = ("job", "region", "grade", "time_zone")
"""Keys at the top of the file that are values themselves."""

INLINE: Final[dict[str, tuple[str, ...]]] = {
    "receivers": ("outputs", "inputs"),
    "panels": ("inputs", "outputs", "zones", "areas"),
    "devices": ("inputs",),
    "supplies": ("branches",),
}
"""Table → tables inside it whose entries stand below it, each with a form of its own."""

ALWAYS: Final[dict[str, str]] = {
    "details": "customer address responsible_person installer prepared_by telephone issue date",
    "premises": "address surroundings noise_floor noise_bursts open_hours",
    "functions": "kind output says answered_by",
    "groups": "fob count people spares kept presses organisation pool owner",
    "people": "role organisation age",
    "places": "at level pressed sees",
    "promises": "to function from within at_least importance",
    "receivers": (
        "part at level housing fed/from fed/cable/part fed/cable/length fed/cable/cores learn_access"
        " noise_floor"
    ),
    "receivers.outputs": (
        "kind for works with contact via load_from suppression after_power_return interlock cable/part"
        " cable/length cable/cores cable/shares_return_with"
    ),
    "receivers.inputs": "reads works cable/part cable/length cable/cores cable/shares_return_with",
    "devices": (
        "part device at level fed/from fed/cable/part fed/cable/length current voltage_min travel"
        " escape_route opens_by_hand"
    ),
    "devices.inputs": "wants min_pulse max_pulse voltage current",
    "panels": "part at level fed/from fed/cable/part fed/cable/length grade entry exit",
    "panels.inputs": (
        "reads logic wants min_pulse response loop/scheme loop/normal loop/alarm loop/pull_up loop/supply"
        " loop/window"
    ),
    "panels.outputs": "form reads saturation current_max",
    "panels.zones": "holds contacts resistor loop/scheme cable/part cable/length",
    "panels.areas": "inputs zones people_inside set_prevented_by",
    "supplies": "part at fuse standby other_load battery/part battery/capacity battery/changed fed/from",
    "supplies.branches": "fuse says",
    "cables": "part length label existing way warmest to",
    "junctions": "at level says",
    "diodes": "from to",
    "ways": "warmest divided mains",
    "rules": "never of by from for distance says",
    "readings": "receiver place level heard of held housing says",
    "traffic": "function place passage",
    "roads": "between takes",
    "register": "fobs growth churn lost delete_within leavers_deleted",
    "interference": "at noise bursts hours days when telegram every senders",
    "tamper_loops": "panel",
    "parts.receiver": (
        "like source relays sensitivity supply voltage_min voltage_max current_idle current_per_relay"
        " contact_rated contact_rated_voltage contact_make contact_min pulse_min pulse_max capacity dropout"
    ),
    "parts.fob": "like source buttons erp erp_sd pocket_loss car_loss telegram repeat cut_off cell code",
    "parts.cell": "like source capacity voltage end usable self_discharge",
    "parts.supply": "like source supply voltage rated fuse source_resistance charge",
    "parts.battery": "like source voltage capacity end",
    "parts.cable": "like source cores area resistance rated",
    "parts.coax": "like source",
    "parts.aerial": "like source gain",
    "parts.relay": "like source coil_voltage coil_current coil_min_voltage contact_rated contact_min",
    "parts.device": (
        "like source device supply voltage voltage_min current pull_in coil fails escape_route travel"
    ),
    "parts.panel": "like source grade supply voltage voltage_min current",
}
"""Table, with the table around it where there is one; of parts the kind → fields that are always shown."""

NEEDED: Final[dict[str, str]] = {
    "premises": "address surroundings",
    "functions": "kind output",
    "groups": "fob count kept",
    "people": "role",
    "places": "at level pressed",
    "promises": "to function from within at_least",
    "receivers": "part at level fed/from fed/cable/part fed/cable/length",
    "receivers.outputs": "kind for works",
    "receivers.inputs": "reads works",
    "devices": "part at level",
    "devices.inputs": "wants",
    "panels": "part at fed/from fed/cable/part fed/cable/length",
    "panels.inputs": "reads logic wants",
    "panels.outputs": "form",
    "panels.zones": "holds",
    "panels.areas": "people_inside",
    "supplies": "part at battery/part standby",
    "supplies.branches": "fuse",
    "cables": "part length",
    "junctions": "at",
    "diodes": "from to",
    "ways": "warmest",
    "rules": "never of for says",
    "readings": "receiver place level heard of held",
    "traffic": "function place",
    "roads": "between takes",
    "interference": "noise when",
    "tamper_loops": "panel",
    "parts": "like source",
}
"""Table → what is asked when an entry is added; the rest is asked in its place afterwards."""

_SINGULAR: Final = {
    "premises": "premises",
    "functions": "function",
    "people": "person",
    "groups": "group",
    "promises": "promise",
    "rules": "rule",
    "readings": "reading",
    "parts": "part",
    "roads": "way",
    "traffic": "busy hour",
    "levels": "level",
    "walls": "wall",
    "places": "place",
    "supplies": "supply",
    "receivers": "receiver",
    "outputs": "output",
    "inputs": "input",
    "devices": "device",
    "panels": "panel",
    "zones": "zone",
    "areas": "area",
    "cables": "cable",
    "junctions": "junction box",
    "diodes": "diode",
    "ways": "duct",
    "branches": "branch",
    "tamper_loops": "tamper loop",
    "steel": "steel object",
    "openings": "opening",
    "antenna_places": "other place for the aerial",
    "interference": "source of noise",
    "together": "turn",
    "details": "customer and papers",
    "register": "how the register grows",
}


def singular(table: str) -> str:
    """What one entry of a table is called."""
    return _SINGULAR.get(table, table.replace("_", " "))


def always_shown(table: str, around: str = "", kind: str = "") -> tuple[str, ...]:
    """Names of the fields of an entry that are always shown.

    Args:
        table: the entry is in.
        around: the table that this one is inside, if any.
        kind: of a part.
    """
    return _found(ALWAYS, table, around, kind)


def asked_first(table: str, around: str = "") -> tuple[str, ...]:
    """Names of the fields that are asked when an entry is added; as for `always_shown`."""
    return _found(NEEDED, table, around, "")


def _found(rows: dict[str, str], table: str, around: str, kind: str) -> tuple[str, ...]:
    keys = (f"{table}.{kind}", f"{around}.{table}", table)
    return next((tuple(rows[key].split()) for key in keys if key in rows), ())
