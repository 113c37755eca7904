"""What moves by itself round the things of a job: people, workers, vehicles between gates, the clock.

Each part is read from the job; it stands in the model of a rule that speaks of it, and in a played story.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator
from typing import Final

from farpress.case.areas import area_path, areas_of, panel_path
from farpress.case.behaviour import hours_kept, prevents_setting
from farpress.case.case import Case
from farpress.core.rehearsal import surroundings as parts
from farpress.core.rehearsal.model import StateModel, Variable, join
from farpress.dates import stretch_of
from farpress.domain.parts import DeviceSheet
from farpress.domain.zones import AlarmArea
from farpress.rehearsal.panels import BAD
from farpress.rehearsal.presses import word
from farpress.rehearsal.site import ModelledThing, Site, not_closed, off_hours, thing_id

__all__ = [
    "OUTSIDE",
    "area_id",
    "clock_round",
    "doors_round",
    "drawn_round",
    "everything_round",
    "lock_id",
    "lock_round",
    "people_round",
    "sees_everybody",
    "stands_open",
    "worker_round",
]

OUTSIDE: Final = f"{BAD}_outside"
"""Signal that the clock stands outside the hours of a rule."""

_ISOLATES: Final = frozenset({"lockable", "not lockable"})


def everything_round(case: Case, site: Site) -> StateModel:
    """All that moves by itself round the things of a model, for a story in words."""
    functions = [case.job.functions[name].hours for output in site.outputs for name in output.functions]
    hours = [text for text in (*functions, *(rule.hours for rule in case.job.rules)) if text]
    made: list[StateModel] = [clock_round(case, site, also=tuple(hours))]
    for path, thing in site.things.items():
        if thing.kind == "panel":
            made += [people_round(case, panel_path(path), name) for name in areas_of(case, path)]
            for other in site.things:
                if other != path and "open door" in prevents_setting(case, path):
                    made.append(doors_round(site, path, other))
        else:
            made.append(worker_round(path, thing.load.sheet))
    for premises, house in case.job.premises.items():
        for name, lock in house.gate_locks.items():
            gates = [f"{premises}/{gate}" for gate in (*lock.enter_by, *lock.leave_by)]
            if all(gate in site.things and site.things[gate].kind == "leaf" for gate in gates):
                made.append(lock_round(case, premises, name))
    return join(made)


def drawn_round(case: Case, site: Site, events: Collection[str]) -> Iterator[tuple[str, str, str, str]]:
    """Name, what it is, state and condition of what a story moves round the things of a model."""
    for path, thing in site.things.items():
        d, name = thing_id(path), path.partition("/")[2]
        if thing.kind == "panel":
            for area in areas_of(case, path):
                inside = f"{area_id(panel_path(path), area)}_in"
                if f"{area_id(panel_path(path), area)}_comes" in events:
                    yield f"{panel_path(path)}: {area}", "area", "somebody inside", inside
        elif f"{d}_work" in events:
            yield f"{path}: work", "work on it", "worked on", f"{d}_worker and not {d}_isolated"
            yield f"{path}: work", "work on it", f"worked on, {name} isolated", f"{d}_worker and {d}_isolated"
    for premises, house in case.job.premises.items():
        for name in house.gate_locks:
            count = f"{lock_id(premises, name)}_n"
            if any(event.startswith(f"{lock_id(premises, name)}_in_") for event in events):
                yield f"{premises}/{name}", "lock", "one vehicle", f"{count} == 1"
                yield f"{premises}/{name}", "lock", "more than one vehicle", f"{count} > 1"


def area_id(path: str, name: str) -> str:
    """Identifier of an area in a model."""
    return f"a_{word(path)}_{word(name)}"


def sees_everybody(area: AlarmArea) -> bool:
    """Whether what keeps an area from being set notices whoever is inside, and not only who moves."""
    return "person-in switch" in (area.set_prevented_by or ())


def people_round(case: Case, path: str, name: str) -> StateModel:
    """Who goes into an area of a panel and leaves it."""
    notices = sees_everybody(areas_of(case, path)[name])
    state = thing_id(area_path(case, path, name))
    return parts.people_in(area_id(path, name), state, says=name, notices=notices)


def doors_round(site: Site, panel: str, path: str) -> StateModel:
    """A panel that is not set while something stands open, as its end contact told before the press."""
    thing = site.things.get(path)
    if thing is None or (thing.kind != "leaf" and not thing.load.traits.is_lock):
        return StateModel()
    before, refused = re.sub(r"_c\b", "_was", stands_open(thing)), f"{thing_id(panel)}_refused"
    return StateModel((Variable(refused, passing=True),), (), (), (f"if {before}:\n    {refused} = 1",))


def stands_open(thing: ModelledThing) -> str:
    """Whether a leaf or lock lets somebody through, or something else is fed or runs, as an expression."""
    if thing.kind == "leaf":
        return not_closed(thing.path)
    return f"not ({thing.active})" if thing.load.sheet.fails == "unlocked" else f"({thing.active})"


def worker_round(path: str, sheet: DeviceSheet) -> StateModel:
    """Somebody who works on a device, with its isolator."""
    return parts.worker_at(
        thing_id(path),
        says=path.partition("/")[2],
        isolates=sheet.isolator in _ISOLATES,
        stays_off=sheet.isolator == "lockable",
    )


def lock_id(premises: str, name: str) -> str:
    """Identifier of a lock of gates in a model."""
    return f"k_{word(premises)}_{word(name)}"


def lock_round(case: Case, premises: str, name: str) -> StateModel:
    """The vehicles between the gates of a lock."""
    lock = case.job.premises[premises].gate_locks[name]
    kept = lock.second_kept_out_by or ()

    def gates(names: tuple[str, ...]) -> dict[str, str]:
        return {thing_id(f"{premises}/{gate}"): gate for gate in names}

    return parts.vehicles_between(
        lock_id(premises, name),
        gates(lock.enter_by),
        gates(lock.leave_by),
        says=name,
        notices="loop inside" in kept,
        one_an_opening="closes behind each" in kept,
    )


def clock_round(
    case: Case, site: Site, hours: tuple[str, ...] = (), *, also: tuple[str, ...] = ()
) -> StateModel:
    """The clock on the wall, with the hours of a rule, those that switch outputs off, and further ones."""
    kept = {off_hours(output): hours_kept(case, output) for output in site.outputs}
    outside = {signal: _stretches(texts) for signal, texts in kept.items() if texts}
    if hours:
        outside[OUTSIDE] = _stretches(hours)
    every = (*outside.values(), _stretches(also))
    moments = [moment for stretches in every for stretch in stretches for moment in stretch]
    return parts.clock_of_day(moments, outside) if moments else StateModel()


def _stretches(texts: tuple[str, ...]) -> tuple[tuple[int, int], ...]:
    return tuple(stretch for text in texts if (stretch := stretch_of(text)) is not None)
