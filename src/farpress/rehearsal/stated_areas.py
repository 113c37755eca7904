"""Rules about alarm areas: set with somebody inside, set while something stands open."""

from __future__ import annotations

from collections.abc import Iterator

from farpress.case.areas import area_path, panel_path, state_paths
from farpress.case.behaviour import prevents_setting
from farpress.case.case import Case
from farpress.case.driven import driven_of
from farpress.case.rules import areas_named, things_named
from farpress.core.rehearsal import watches
from farpress.core.rehearsal.model import StateModel, Variable, join
from farpress.domain.job import Rule
from farpress.domain.zones import AlarmArea
from farpress.phrases import listed
from farpress.rehearsal.panels import BAD
from farpress.rehearsal.searched import SearchedCheck
from farpress.rehearsal.site import Site, input_id, thing_id
from farpress.rehearsal.surrounding import area_id, doors_round, people_round, sees_everybody, stands_open

__all__ = ["open_while_set", "set_on_people"]


def set_on_people(case: Case, rule: Rule) -> Iterator[SearchedCheck]:
    """An alarm that is set while somebody is inside."""
    for path, name, area in areas_named(case, rule):
        if any(
            load.path == path and load.reading.sets and _is_of(area, load.works)
            for output in case.outputs()
            for load in driven_of(case, output)
        ):
            yield _set_on(case, path, name, area)


def _is_of(area: AlarmArea, works: str) -> bool:
    return not area.inputs or works.partition(".")[2] in area.inputs


def _set_on(case: Case, path: str, name: str, area: AlarmArea) -> SearchedCheck:
    state = area_path(case, path, name)
    p, prevented = thing_id(state), tuple(area.set_prevented_by or ())

    def watch(site: Site) -> StateModel | str:
        if state not in site.things:
            return f"{state} is not in the model"
        inside = f"{p}_st and {area_id(path, name)}_in and {p}_here"
        return join([_set_here(case, site, state, area), StateModel(bad={BAD: inside})])

    def unknown(site: Site) -> str:
        del site
        if area.set_prevented_by is not None:
            return ""
        return (
            f"What keeps {name} from being set while somebody is inside is not said; ask the alarm company,"
            " and write 'set_prevented_by'."
        )

    return SearchedCheck(
        f"{path}: {name}",
        f"{name} is set with somebody inside",
        tuple(
            output
            for output in case.outputs()
            if any(load.path == path and _is_of(area, load.works) for load in driven_of(case, output))
        ),
        watch,
        False,
        "RULE-20",
        "set with somebody inside",
        unknown=unknown,
        softens=(
            f"{listed(prevented)} keeps it from being set, but not on somebody who sits still behind a closed"
            " door; a switch of those inside does."
            if prevented and not sees_everybody(area)
            else ""
        ),
        taken=(f"whoever goes into {name} works the person-in switch",) if sees_everybody(area) else (),
        surroundings=lambda site: people_round(case, path, name),
        matters=lambda site: ((f"{name} is set", f"{p}_st"),),
    )


def _set_here(case: Case, site: Site, path: str, area: AlarmArea) -> StateModel:
    """The state that a panel was set by an input of this area, the whole of it: `p_here`.

    A part set is allowed where people may be inside while it is part set; a whole set of a panel that is part
    set counts unless the panel refuses it. The keypad sets the whole.
    """
    p = thing_id(path)  # the area's own, or the panel's
    may_stay = area.people_inside == "while part set"
    refuses = may_stay and case.equipment.panels[panel_path(path)].sheet.full_from_part is False
    pieces = []
    for output in site.outputs:
        for load in driven_of(case, output):
            if path in state_paths(case, load) and load.reading.sets:
                here = _is_of(area, load.works) and not (load.reading.is_part and may_stay)
                when = f"{input_id(output.premises, load.works)}_rise{f' and not {p}_st' if refuses else ''}"
                pieces.append(f"if {when}:\n    {p}_here = {int(here)}")
    pieces.append(f"if {p}_by == 2 and {p}_going:\n    {p}_here = 1")
    return StateModel((Variable(f"{p}_here"),), (), (), ("\n".join(pieces),))


def open_while_set(case: Case, rule: Rule) -> Iterator[SearchedCheck]:
    """Something that stands open, or is unlocked, while an alarm is set."""
    for panel in dict.fromkeys(area_path(case, path, name) for path, name, _ in areas_named(case, rule)):
        for path in things_named(case, rule):
            if path not in case.equipment.panels and path.partition("/")[0] == panel.partition("/")[0]:
                yield _open_while(case, panel, path)


def _open_while(case: Case, panel: str, path: str) -> SearchedCheck:
    p, name, what = thing_id(panel), panel.partition("/")[2], path.partition("/")[2]

    def watch(site: Site) -> StateModel | str:
        thing = site.things.get(path)
        if panel not in site.things:
            return f"{panel} is not in the model"
        if thing is None or (thing.kind != "leaf" and not thing.load.traits.is_lock):
            return f"{path} is no leaf and no lock in the model"
        return watches.both(BAD, f"{p}_st", stands_open(thing))

    def matters(site: Site) -> tuple[tuple[str, str], ...]:
        return ((f"{name} is set", f"{p}_st"), (f"{what} opens", stands_open(site.things[path])))

    def doors(site: Site) -> StateModel:
        return (
            doors_round(site, panel, path) if "open door" in prevents_setting(case, panel) else StateModel()
        )

    return SearchedCheck(
        f"{panel} and {path}",
        f"{what} is open while {name} is set",
        tuple(
            output
            for output in case.outputs()
            if any({panel, path} & set(state_paths(case, load)) for load in driven_of(case, output))
        ),
        watch,
        False,
        "RULE-21",
        "open while set",
        surroundings=doors,
        matters=matters,
    )
