"""Parts of a job in the words of the papers: outputs, inputs, cables, places, builds.

Only words; nothing is judged and nothing made up: what is not known stays None.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any, Final

from farpress.case.case import Case, OutputAt
from farpress.case.driven import Driven, driven_of
from farpress.domain.finding import Finding
from farpress.domain.panel_reads import panel_reading
from farpress.domain.parts import DeviceInput, PanelInput, Part
from farpress.domain.premises import CableRun, Output
from farpress.judging.air.chance_words import short_of
from farpress.papers.typesetting.paper import Cell
from farpress.phrases import listed
from farpress.sources import Citation, Mark
from farpress.units import write_quantity

__all__ = [
    "after_power_words",
    "cable_words",
    "contact_words",
    "function_words",
    "heard_words",
    "input_words",
    "level_of",
    "loop_ohm_cell",
    "mode_words",
    "place_words",
    "protection_words",
    "quantity",
    "sheet_cell",
    "terminal_words",
    "works_words",
]

_LOOP: Final = Citation(
    "length, there and back, by the largest permitted resistance of the conductor (IEC 60228)",
    mark=Mark.COMPUTED,
)

_LOGIC = {
    "start": "start input: open, stop, close, stop in turn",
    "open only": "open-only input",
    "partial open": "partial-open input",
    "close": "close input",
    "stop": "stop input",
    "up": "up",
    "down": "down",
    "on": "on",
    "safety": "safety input",
    "release": "release",
    "set": "set input",
    "unset": "unset input",
}


def heard_words(heard: Finding | None, wanted: float) -> str:
    """The chance that a press is heard, as its finding says it in a sentence: never certain, and never as if
    enough where it falls short.

    Args:
        heard: the finding, its value in per cent.
        wanted: the share promised.
    """
    return "not known" if heard is None or heard.value is None else short_of(heard.value / 100.0, wanted)


def quantity(value: float | None, kind: str) -> str | None:
    """A quantity as a person writes it; None where it is not known."""
    return None if value is None else write_quantity(value, kind)


def sheet_cell(part: Part[Any] | None, name: str, kind: str) -> Cell | None:
    """A value of a part's sheet with its source; None where the part or the value is not known."""
    value = getattr(part.sheet, name) if part is not None else None
    return (
        Cell(write_quantity(value, kind), "", part.cite(name))
        if part is not None and value is not None
        else None
    )


def mode_words(output: Output) -> str:
    """Mode and time of an output: "pulse of 4 s, a further press starts it anew"."""
    if output.traits.told:
        return f"{output.traits.told}{_later(output)}"
    length = (
        f"pulse of {write_quantity(output.for_s, 'time')}"
        if output.for_s is not None
        else "pulse, length not given"
    )
    further = "starts it anew" if output.retrigger else "does not lengthen it"
    return f"{length}; a further press {further}{_later(output)}"


def _later(output: Output) -> str:
    """What begins or ends later than the press, to be added; empty where nothing does."""
    words = []
    if output.delay_s:
        words.append(f"begins {write_quantity(output.delay_s, 'time')} after the press")
    if output.stays_s and not output.traits.wants_length:
        words.append(f"ends {write_quantity(output.stays_s, 'time')} after it is let go or switched off")
    return f"; {', '.join(words)}" if words else ""


def after_power_words(case: Case, output: OutputAt) -> str | None:
    """State of an output after the power returns; None where nobody says."""
    if output.output.after_power_return is not None:
        return {"off": "off", "as before": "as before", "unknown": None}[output.output.after_power_return]
    if not output.output.traits.keeps_state:
        return None
    part = case.equipment.receivers.get(output.receiver_path)
    known = part.sheet.toggle_after_power_return if part is not None else None
    return None if known in (None, "unknown") else known


def contact_words(case: Case, output: OutputAt) -> str:
    """Contact of an output and its rating: "make contact, 2 A 24 V"."""
    part = case.equipment.receivers.get(output.receiver_path)
    form = (
        "make contact (normally open)"
        if output.output.contact == "normally open"
        else "break contact (normally closed)"
    )
    if part is None:
        return form
    rating = [
        text
        for text in (
            quantity(part.sheet.contact_rated_a, "current"),
            quantity(part.sheet.contact_rated_v, "voltage"),
        )
        if text
    ]
    return f"{form}, {' '.join(rating)}" if rating else f"{form}, rating not known"


def protection_words(output: OutputAt) -> str:
    """What protects a contact and its coil."""
    words = []
    if output.output.via:
        words.append(f"through {output.output.via}")
    if output.output.suppression not in (None, "none"):
        words.append(
            {"diode": "diode", "zener": "diode and Zener diode", "rc": "RC element", "varistor": "varistor"}[
                str(output.output.suppression)
            ]
            + " across the coil"
        )
    if output.output.limits_inrush:
        words.append("inrush limiter")
    if output.output.interlock:
        words.append(f"interlocked with output {output.output.interlock}")
    return ", ".join(words) or "none"


def works_words(case: Case, output: OutputAt) -> str:
    """What an output works: "gate, open-only input"."""
    return "; ".join(terminal_words(load) for load in driven_of(case, output)) or "nothing"


def terminal_words(load: Driven) -> str:
    """Device and terminal by function: "gate: open-only input"."""
    name = load.works.partition(".")[0]
    return f"{name}: {input_words(load.input) or load.works.partition('.')[2]}"


def input_words(given: DeviceInput | None) -> str:
    """What an input does, in words."""
    if isinstance(given, PanelInput) and given.reads is not None:
        return panel_reading(given.reads).says
    return _LOGIC[given.logic] if given is not None and given.logic is not None else ""


def function_words(case: Case, name: str) -> str:
    """What a press of a function does, for somebody who presses: "open gate: opens the gate"."""
    devices = listed(
        dict.fromkeys(works.partition(".")[0] for output in case.outputs_of(name) for works in output.works)
    )
    return f"{name} ({devices})"


def cable_words(run: CableRun | None) -> str | None:
    """A cable: "cable-6x0.22, 31 m, cores 1 and 2"; None where none is described."""
    if run is None:
        return None
    return (
        f"{run.part}, {write_quantity(run.length_m, 'length')}{f', cores {run.cores}' if run.cores else ''}"
    )


def loop_ohm_cell(case: Case, run: CableRun | None) -> Cell | None:
    """Resistance there and back as a meter shows it at 20 degC, with its source; None where not known."""
    from farpress.case.cores import metered_ohm

    ohm = metered_ohm(case, run)
    part = case.equipment.cables.get(run.part) if run is not None else None
    if ohm is None:
        return None
    return Cell(
        write_quantity(ohm, "resistance"), "", (_LOOP, *(part.cite("area_mm2") if part is not None else ()))
    )


def place_words(point: Iterable[float] | None) -> str | None:
    """A point of the plan: "(17.5, 23.0, 1.8) m"; None where it is not given."""
    return f"({', '.join(f'{metres:g}' for metres in point)}) m" if point is not None else None


def level_of(level: str | None) -> str:
    """A level's name; "outside" where there is none."""
    return level or "outside"
