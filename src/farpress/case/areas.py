"""Alarm areas that are set and unset each on its own, and which of them an input, a rule or a story means.

An area that has a state of its own is written "premises/panel.area"; a panel without such areas is one by
itself, and written as the panel.
"""

from __future__ import annotations

from collections.abc import Mapping

from farpress.case.case import Case
from farpress.case.driven import Driven
from farpress.domain.zones import AlarmArea

__all__ = [
    "area_path",
    "areas_of",
    "detectors_of",
    "own_areas",
    "panel_path",
    "state_paths",
    "states_of_panel",
]


def state_paths(case: Case, load: Driven) -> tuple[str, ...]:
    """What an input sets, unsets or works: the areas of a panel that name it, all of them where none does;
    else its device or panel.
    """
    areas = own_areas(case, load.path) if load.panel is not None else {}
    pin = load.works.partition(".")[2]
    named = [name for name, area in areas.items() if not area.inputs or pin in area.inputs]
    return tuple(f"{load.path}.{name}" for name in (named or areas)) or (load.path,)


def own_areas(case: Case, path: str) -> Mapping[str, AlarmArea]:
    """Areas of a panel "premises/panel" that have a state each, by name; none where there is but one, or
    where none says which inputs are its own.
    """
    premises, _, name = path.partition("/")
    panel = case.job.premises[premises].panels.get(name)
    areas = panel.areas if panel is not None else {}
    return areas if len(areas) > 1 and any(area.inputs for area in areas.values()) else {}


def states_of_panel(case: Case, path: str) -> tuple[str, ...]:
    """The panel "premises/panel", or its areas where each has a state of its own."""
    return tuple(f"{path}.{name}" for name in own_areas(case, path)) or (path,)


def area_path(case: Case, path: str, name: str) -> str:
    """Where the state of an area of a panel stands: its own, or that of the panel."""
    return f"{path}.{name}" if name in own_areas(case, path) else path


def panel_path(path: str) -> str:
    """The panel "premises/panel" that a state belongs to."""
    premises, _, name = path.partition("/")
    return f"{premises}/{name.partition('.')[0]}"


def areas_of(case: Case, path: str) -> Mapping[str, AlarmArea]:
    """The area that a state is of, or all of its panel where they share one; else the panel itself."""
    premises, _, name = path.partition("/")
    panel, _, area = name.partition(".")
    entry = case.job.premises[premises].panels.get(panel)
    areas = dict(entry.areas) if entry is not None else {}
    return {area: areas[area]} if area in areas else areas or {name: AlarmArea()}


def detectors_of(case: Case, path: str) -> str | None:
    """Where the detectors of a state are, as a panel says it: from the zones of its area, if every
    zone is named by an area and tells when; else what its panel says.
    """
    premises, _, name = path.partition("/")
    panel, _, area = name.partition(".")
    sheet = case.equipment.panels[panel_path(path)].sheet
    entry = case.job.premises[premises].panels.get(panel)
    if entry is None or area not in entry.areas:
        return sheet.detectors
    told = {entry.zones[zone].told for zone in entry.areas[area].zones}
    listed = {zone for own in entry.areas.values() for zone in own.zones}
    if not told or None in told or set(entry.zones) - listed:  # a zone of no area may tell of any
        return sheet.detectors
    if "after the entry time" not in told:
        return "no entry route"
    return "entry route and others" if told & {"while set", "at any time"} else "entry route only"
