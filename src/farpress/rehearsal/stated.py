"""Rules about states of things: leaves, what is worked on, locks of two gates, hours; areas stand beside.

Each becomes a check with what happens round the things it names: people, vehicles and the clock move by
themselves in its model, and in no other one.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from itertools import combinations
from types import MappingProxyType
from typing import Final

from farpress.case.behaviour import hours_kept
from farpress.case.case import Case, OutputAt
from farpress.case.driven import driven_of
from farpress.case.rules import hours_of, locks_named, things_named
from farpress.core.rehearsal import watches
from farpress.core.rehearsal.model import StateModel, Variable
from farpress.domain.job import Rule
from farpress.domain.parts import DeviceSheet
from farpress.domain.premises import GateLock
from farpress.phrases import listed
from farpress.rehearsal.panels import BAD
from farpress.rehearsal.searched import SearchedCheck
from farpress.rehearsal.site import Site, not_closed, off_hours, thing_id
from farpress.rehearsal.stated_areas import open_while_set, set_on_people
from farpress.rehearsal.surrounding import (
    OUTSIDE,
    clock_round,
    lock_id,
    lock_round,
    stands_open,
    worker_round,
)
from farpress.rehearsal.watched import any_of, closed, missing

__all__ = ["STATED", "stated_checks"]


def stated_checks(case: Case, rule: Rule) -> Iterator[SearchedCheck]:
    """The checks of a rule about states of things; none for a rule of another kind."""
    if rule.never in STATED:
        yield from STATED[rule.never](case, rule)


def _worked_by(case: Case, *paths: str) -> tuple[OutputAt, ...]:
    return tuple(
        output for output in case.outputs() if any(load.path in paths for load in driven_of(case, output))
    )


def _no_leaf(site: Site, *paths: str) -> str:
    absent = [path for path in paths if path not in site.things or site.things[path].kind != "leaf"]
    return f"{absent[0]} has no leaf with an end contact in the model" if absent else ""


def _both_open(case: Case, rule: Rule) -> Iterator[SearchedCheck]:
    """Two leaves that do not stand closed at their end contacts at the same time."""
    for first, second in combinations(things_named(case, rule), 2):
        yield _open_together(case, first, second)


def _open_together(case: Case, first: str, second: str) -> SearchedCheck:
    names = [path.partition("/")[2] for path in (first, second)]

    def watch(site: Site) -> StateModel | str:
        return _no_leaf(site, first, second) or watches.both(BAD, not_closed(first), not_closed(second))

    return SearchedCheck(
        f"{first} and {second}",
        f"{listed(names)} are both open, at least a little",
        _worked_by(case, first, second),
        watch,
        False,
        "RULE-19",
        "both open",
        matters=lambda site: tuple(
            (f"{name} opens", not_closed(path)) for name, path in zip(names, (first, second), strict=True)
        ),
    )


def _live(case: Case, rule: Rule) -> Iterator[SearchedCheck]:
    """Something that moves or is fed while somebody works on it."""
    for path in things_named(case, rule):
        device = case.equipment.devices.get(path)
        if device is not None:
            yield _live_at(case, path, device.sheet)


def _live_at(case: Case, path: str, sheet: DeviceSheet) -> SearchedCheck:
    d, name = thing_id(path), path.partition("/")[2]

    def watch(site: Site) -> StateModel | str:
        thing = site.things.get(path)
        if thing is None:
            return f"{path} is not in the model"
        return watches.both(BAD, thing.active, f"{d}_worker and not {d}_isolated")

    def unknown(site: Site) -> str:
        del site
        return (
            f"Whether {name} has an isolator that can be locked is not recorded; look at the place of work."
            if sheet.isolator is None
            else ""
        )

    return SearchedCheck(
        path,
        f"{name} is live while somebody works on it",
        _worked_by(case, path),
        watch,
        False,
        "RULE-22",
        "live while worked on",
        unknown=unknown,
        taken=(f"whoever works on {name} locks its isolator first",) if sheet.isolator == "lockable" else (),
        surroundings=lambda site: worker_round(path, sheet),
        matters=lambda site: ((f"{name} works", site.things[path].active),),
    )


def _two_inside(case: Case, rule: Rule) -> Iterator[SearchedCheck]:
    """More than one vehicle between the gates of a lock."""
    for premises, name, lock in locks_named(case, rule):
        yield _two_in(case, premises, name, lock)


def _two_in(case: Case, premises: str, name: str, lock: GateLock) -> SearchedCheck:
    gates = [f"{premises}/{gate}" for gate in dict.fromkeys((*lock.enter_by, *lock.leave_by))]
    count = f"{lock_id(premises, name)}_n"

    def watch(site: Site) -> StateModel | str:
        return _no_leaf(site, *gates) or StateModel(bad={BAD: f"{count} > 1"})

    def unknown(site: Site) -> str:
        del site
        if lock.second_kept_out_by is not None:
            return ""
        return (
            f"What keeps a second vehicle out of {name} is not said; look for a loop inside, try whether the"
            " gate closes behind each vehicle, and write 'second_kept_out_by'."
        )

    return SearchedCheck(
        f"{premises}/{name}",
        f"more than one vehicle is in {name}",
        _worked_by(case, *gates),
        watch,
        False,
        "RULE-23",
        "more than one inside",
        unknown=unknown,
        surroundings=lambda site: lock_round(case, premises, name),
        matters=lambda site: ((f"a vehicle comes into {name}", f"{count} > 0"),),
    )


def _outside_hours(case: Case, rule: Rule) -> Iterator[SearchedCheck]:
    """Something that begins to work outside its hours."""
    for output, hours in hours_of(case, rule):
        yield _outside(case, output, hours)


def _outside(case: Case, output: OutputAt, hours: tuple[str, ...]) -> SearchedCheck:
    loads = driven_of(case, output)
    what = listed(dict.fromkeys(load.path.partition("/")[2] for load in loads)) or output.path

    def watch(site: Site) -> StateModel | str:
        return missing(site, output) or _begins_outside(case, site, output)

    def unknown(site: Site) -> str:
        del site
        functions = case.job.functions
        silent = [name for name in output.functions if functions[name].hours and not functions[name].hours_by]
        return (
            f"What keeps {listed(silent)} to its hours is not said: a time switch, the panel or people; write"
            " 'hours_by'."
            if silent
            else ""
        )

    return SearchedCheck(
        output.path,
        f"{what} begins to work outside {listed(hours)}",
        (output,),
        watch,
        True,
        "RULE-24",
        "works outside hours",
        unknown=unknown,
        at_hours=True,
        taken=("the story begins at 00:00",),
        surroundings=lambda site: clock_round(case, site, hours),
        matters=lambda site: ((f"{output.path} works", _works(case, site, output)),),
    )


def _begins_outside(case: Case, site: Site, output: OutputAt) -> StateModel:
    panels = [thing_id(thing.path) for thing in site.thing_of(output) if thing.kind == "panel"]
    if not panels:
        return _begun(BAD, f"({_works(case, site, output)})", "and not", "1")
    # set or unset, and not at its keypad
    begun = (_begun(f"{BAD}{place}", f"{p}_going", "!=", f"{p}_by != 2") for place, p in enumerate(panels))
    return any_of(begun)


def _begun(bad: str, works: str, against: str, by_fob: str) -> StateModel:
    """Watch: something works, `against` what it did before, outside the hours and by a fob."""
    was, now = f"{bad}_was", f"{bad}_now"
    return StateModel(
        (Variable(was), Variable(now, passing=True)),
        (),
        (),
        (
            f"{now} = 1 if {works} {against} {was} and {by_fob} and {OUTSIDE} else 0\n{was} = 1 if {works}"
            " else 0",
        ),
        bad={bad: now},
    )


def _works(case: Case, site: Site, output: OutputAt) -> str:
    """Whether what an output works has begun to open, runs, or is fed; else whether its contact is closed."""
    ways = [
        f"{thing_id(thing.path)}_mode == 1" if thing.kind == "leaf" else stands_open(thing)
        for thing in site.thing_of(output)
        if thing.kind != "panel"
    ]
    kept = f" and not {off_hours(output)}" if hours_kept(case, output) else ""
    return " or ".join(ways) or f"{closed(output)}{kept}"


STATED: Final[Mapping[str, Callable[[Case, Rule], Iterator[SearchedCheck]]]] = MappingProxyType(
    {
        "both open": _both_open,
        "set with somebody inside": set_on_people,
        "open while set": open_while_set,
        "live while worked on": _live,
        "more than one inside": _two_inside,
        "works outside hours": _outside_hours,
    }
)
"""Kind of rule, as in a job file → its checks."""
