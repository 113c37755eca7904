"""Resistors at the end of supervised lines: where one sits, which it is, and how it is put elsewhere."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, Final

from farpress.case.case import Case
from farpress.domain.finding import Change
from farpress.domain.parts import Loop
from farpress.domain.terminals import panel_terminal
from farpress.errors import InputError
from farpress.phrases import called
from farpress.units import write_quantity

__all__ = ["LINE_PLACES", "LineEnd", "line_end", "line_ends_at"]

LINE_PLACES: Final = ("far end", "panel", "between")
"""Where the resistor of a line may sit; at the far end it watches all of the cable."""


@dataclass(frozen=True)
class LineEnd:
    """A supervised line.

    Attributes:
        terminal: of the panel that it begins at.
        panel, name: the panel, and its input or zone.
        place: where its resistor sits; the far end where nobody says otherwise.
        loop: how it is supervised; None if nobody says.
        path: keys that lead to the loop in the job file; None where the panel's part says it.
    """

    terminal: str
    panel: str
    name: str
    place: str
    loop: Loop | None
    path: tuple[str | int, ...] | None


def line_ends_at(case: Case, premises: str) -> Iterator[LineEnd]:
    """Every line of the panels of a premises that is supervised, or may be."""
    for panel, entry in case.job.premises[premises].panels.items():
        sheet = case.equipment.panels[f"{premises}/{panel}"].sheet
        here = ("premises", premises, "panels", panel)
        for name in dict.fromkeys((*(sheet.inputs or {}), *entry.zones)):
            zone, given = entry.zones.get(name), (sheet.inputs or {}).get(name)
            own = (entry.inputs or {}).get(name)
            loop, path = None, None
            if zone is not None and zone.loop is not None:
                loop, path = zone.loop, (*here, "zones", name, "loop")
            elif own is not None and own.loop is not None:
                loop, path = own.loop, (*here, "inputs", name, "loop")
            elif given is not None and given.loop is not None:
                loop = given.loop
            elif given is None:
                loop = sheet.zone_loop
            terminal = panel_terminal(sheet, name) if given is not None else called("zone", name)
            place = (zone.resistor if zone is not None else None) or LINE_PLACES[0]
            yield LineEnd(f"{panel}.{terminal}", panel, name, place, loop, path)


def line_end(case: Case, premises: str, terminal: str, *, place: str, ohm: float | None) -> list[Change]:
    """Put the resistor of a line somewhere, and say which it is.

    Args:
        case: the job.
        premises: its name.
        terminal: of the panel, where the line begins.
        place: one of `LINE_PLACES`.
        ohm: seen at rest [ohm]; None: as it is.

    Raises:
        InputError: no line begins there, there is no such place, or its value is not the job's to change.
    """
    lines = {row.terminal: row for row in line_ends_at(case, premises)}
    if terminal not in lines:
        raise InputError(
            f"No line of a panel begins at '{terminal[:60]}'. Lines begin at {', '.join(lines) or 'none'}."
        )
    if place not in LINE_PLACES:
        raise InputError(f"The resistor sits at one of {', '.join(LINE_PLACES)}, not '{place[:40]}'.")
    line = lines[terminal]
    zones = case.job.premises[premises].panels[line.panel].zones
    here = ("premises", premises, "panels", line.panel, "zones")
    wanted: dict[str, Any] = {} if place == line.place else {"resistor": place}
    changes = []
    if ohm is not None and (line.loop is None or line.loop.normal_ohm != ohm):
        written = write_quantity(ohm, "resistance")
        if line.path is not None:
            changes.append(Change((*line.path, "normal"), written))
        elif line.loop is None:
            wanted["loop"] = {"scheme": "single end-of-line", "normal": written}
        else:
            raise InputError(
                f"The resistor of {terminal} is the one that the part of {line.panel} says,"
                f" {write_quantity(line.loop.normal_ohm or 0.0, 'resistance')}. Another one is entered under"
                " Job, Alarm, in the loop of this input."
            )
    if not wanted:
        return changes
    if line.name in zones:
        return [*changes, *(Change((*here, line.name, key), value) for key, value in wanted.items())]
    if zones:
        return [*changes, Change((*here, line.name), wanted)]
    return [*changes, Change(here, {line.name: wanted})]
