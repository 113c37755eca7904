"""Names in functions, groups, promises, rules, readings, roads and traffic."""

from __future__ import annotations

import re
from collections.abc import Iterable
from zoneinfo import ZoneInfo, available_timezones

from farpress.domain.job import Function, Job, Promise, Rule
from farpress.jobfile.look_up import Path, Register

__all__ = ["check_people_and_promises"]

_STRETCH = re.compile(r"([01][0-9]|2[0-3]):[0-5][0-9]-(([01][0-9]|2[0-3]):[0-5][0-9]|24:00)\Z")


def check_people_and_promises(job: Job, look: Register) -> None:
    """Add a fault for every name that is not there."""
    for name, function in job.functions.items():
        _function(look, ("functions", name), function)
    functions, premises = look.keys("functions"), look.keys("premises")
    for group_name, group in job.groups.items():
        here: Path = ("groups", group_name)
        look.part((*here, "fob"), group.fob, "fob")
        for number in group.buttons:
            for at, pressed in look.texts((*here, "buttons", number)):
                look.one_of(at, pressed, functions, "function")
        for index, person in enumerate(group.people):
            look.one_of(
                (*here, "people", index),
                person,
                look.keys("people"),
                "person",
                hint="People are described under 'people'.",
            )
        for key in group.visits_per_day:
            look.one_of((*here, "visits", key), key, premises, "premises")
    for index, promise in enumerate(job.promises):
        _promise(job, look, ("promises", index), promise)
    for index, rule in enumerate(job.rules):
        _rule(job, look, ("rules", index), rule)
    for index, reading in enumerate(job.readings):
        here = ("readings", index)
        if look.receiver((*here, "receiver"), reading.receiver):
            look.place((*here, "place"), reading.place, [reading.receiver.split("/")[0]])
        if reading.heard is not None and reading.of is not None and reading.heard > reading.of:
            look.refuse(
                (*here, "heard"),
                f"{reading.heard} of {reading.of} presses cannot have been heard; 'of' is the number of"
                " presses tried",
            )
        if reading.heard is not None and reading.of is None:
            look.refuse(
                (*here, "heard"), f"{reading.heard} presses were heard, but of how many? Write 'of' beside it"
            )
    for index, road in enumerate(job.roads):
        for end, name in enumerate(road.between):
            look.one_of(
                ("roads", index, "between", end),
                name,
                (*premises, *job.starts),
                "premises",
                hint="" if job.starts else "A place that is none, as an office, stands under 'starts'.",
            )
    on_road = {name for road in job.roads for name in road.between}
    for index, name in enumerate(job.starts):
        if name in premises:
            look.refuse(
                ("starts", index), f"'{name}' is a premises of the job; a round can begin there without this"
            )
        elif name not in on_road:
            look.refuse(
                ("starts", index),
                f"No road leads to '{name[:60]}'; give the way from there to at least one premises under"
                " 'roads'",
            )
    if job.time_zone is not None and not _is_zone(job.time_zone):
        look.one_of(
            ("time_zone",),
            job.time_zone,
            sorted(available_timezones()),
            "time zone",
            hint="Names are those of the IANA database.",
        )
    for index, traffic in enumerate(job.traffic):
        here = ("traffic", index)
        known = look.one_of((*here, "function"), traffic.function, functions, "function")
        look.place((*here, "place"), traffic.place, _houses(job, look, traffic.function if known else None))
        for stretch in traffic.arrivals:
            if not _STRETCH.match(stretch) or stretch[:5] >= stretch[6:]:
                look.refuse(
                    (*here, "arrivals", stretch),
                    f"'{stretch[:60]}' is no stretch of a day; write it like '07:40-07:55', the earlier time"
                    " first",
                )


def _is_zone(name: str) -> bool:
    try:
        ZoneInfo(name)
    except (KeyError, ValueError, OSError):
        return False
    return True


def _function(look: Register, at: Path, function: Function) -> None:
    look.output((*at, "output"), function.output)
    for index, path in enumerate(function.outputs):
        look.output((*at, "outputs", index), path)


def _promise(job: Job, look: Register, at: Path, promise: Promise) -> None:
    hint = ""
    if promise.to in look.keys("people"):
        groups = [name for name, group in job.groups.items() if promise.to in group.people]
        hint = f"'{promise.to}' is a person; a promise is made to a group" + (
            f", here '{groups[0]}'." if groups else " that holds fobs."
        )
    look.one_of((*at, "to"), promise.to, look.keys("groups"), "group", hint=hint)
    known = look.one_of((*at, "function"), promise.function, look.keys("functions"), "function")
    look.place((*at, "from"), promise.from_, _houses(job, look, promise.function if known else None))


def _rule(job: Job, look: Register, at: Path, rule: Rule) -> None:
    functions, groups, people = look.keys("functions"), look.keys("groups"), look.keys("people")
    things, places = [], []
    for house in look.keys("premises"):
        for room in ("devices", "panels", "receivers"):
            for name in look.keys("premises", house, room):
                things += [name, f"{house}/{name}"]
        for receiver in look.keys("premises", house, "receivers"):
            things += [f"{house}/{receiver}/{number}" for number in look.outputs(house, receiver)]
        for name in look.keys("premises", house, "places"):
            places += [name, f"{house}/{name}"]
    organisations = {group.organisation for group in job.groups.values()} | {
        person.organisation for person in job.people.values()
    }
    for index, name in enumerate(rule.of):
        look.one_of(
            (*at, "of", index), name, (*functions, *things, *groups, *people), "function, device or output"
        )
    for index, name in enumerate(rule.by):
        look.one_of(
            (*at, "by", index),
            name,
            (*groups, *people, *sorted(name for name in organisations if name), *functions),
            "group or person",
        )
    for index, name in enumerate(rule.from_):
        look.one_of((*at, "from", index), name, (*places, *things), "place or device")


def _houses(job: Job, look: Register, function: str | None) -> Iterable[str]:
    """The premises that a function works at; all where that is not known."""
    found = (
        [path.split("/")[0] for path in job.functions[function].paths] if function in job.functions else []
    )
    return [house for house in found if house in look.keys("premises")] or look.keys("premises")
