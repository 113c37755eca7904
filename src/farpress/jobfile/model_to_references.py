"""The third step of reading: every name in a job that points at something is looked up.

One fault for each wrong name, with the closest known one and what there is. The names
are read off the file's own keys, so a device with a fault of its own is still known here.
Whether what is named *fits* is judged elsewhere.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from zoneinfo import ZoneInfo, available_timezones

from farpress.dates import ALL_DAY, stretch_of, stretch_s
from farpress.domain.job import Function, Group, Job, Promise, Reading, Rule, Traffic
from farpress.domain.premises import WORKS_NOTHING, Aerial, CableRun, Fed, Output, Premises, Receiver
from farpress.errors import Fault
from farpress.jobfile.names_there import Known, NamesThere, Path
from farpress.jobfile.node import Node
from farpress.jobfile.source import Source
from farpress.jobfile.tree_to_model import Checked
from farpress.jobfile.wired_names import check_branch, check_wires

__all__ = ["model_to_references"]

_CLOCK = r"([01][0-9]|2[0-3]):[0-5][0-9](:[0-5][0-9])?"
_STRETCH = re.compile(rf"{_CLOCK}-({_CLOCK}|24:00)\Z")


def model_to_references(checked: Checked, tree: Node, source: Source, known: Known) -> list[Fault]:
    """Every fault of a name in a job; none where nothing of it can be read.

    Args:
        checked: the job; entries with faults of their own may be left out of it.
        tree, source: the file it was read from.
        known: what the catalogue has.
    """
    job = checked.readable
    if job is None:
        return []
    names = NamesThere(tree, source, known, checked.moved)
    for name, part in job.parts.items():
        names.part(("parts", name, "like"), part.like, part.kind)
        _not_like_itself(names, job, name)
        if part.kind == "fob":
            names.part(("parts", name, "cell"), part.cell, "cell")
    _names_fit_paths(job, names)
    for name, premises in job.premises.items():
        _premises(names, ("premises", name), name, premises)
    for name, function in job.functions.items():
        _function(job, names, ("functions", name), function)
    for name, group in job.groups.items():
        _group(names, ("groups", name), group)
    for index, promise in enumerate(job.promises):
        _promise(job, names, ("promises", index), promise)
    for index, rule in enumerate(job.rules):
        _rule(job, names, ("rules", index), rule)
    for name, story in job.stories.items():
        things, _ = names.things_and_places()
        for thing in story.ends:
            names.one_of(("stories", name, "ends", thing), thing, things, "device, panel or output")
    for index, reading in enumerate(job.readings):
        _reading(names, ("readings", index), reading)
    _roads(job, names)
    _time_zone(job, names)
    for index, traffic in enumerate(job.traffic):
        _traffic(job, names, ("traffic", index), traffic)
    _delivery(names, job)
    return names.faults


def _delivery(names: NamesThere, job: Job) -> None:
    """What stands there or is delivered is something of the job, and not both."""
    for key, rooms, noun in (
        ("stands", ("receivers", "supplies"), "receiver or supply"),
        ("delivers", ("devices", "panels"), "device or panel"),
    ):
        there = [
            f"{premises}/{name}"
            for premises in names.keys("premises")
            for room in rooms
            for name in names.keys("premises", premises, room)
        ]
        for index, path in enumerate(getattr(job.delivery, key)):
            names.one_of(("delivery", key, index), path, there, noun, hint="Write premises/name.")


def _not_like_itself(names: NamesThere, job: Job, name: str) -> None:
    """An own part may be like another one, and not like itself by a way round; its fellow in the catalogue is
    another one.
    """
    kind = job.parts[name].kind
    way, following = [name], job.parts[name].like
    while following is not None and following in job.parts and following not in way:
        way.append(following)
        following = job.parts[following].like
    if following == name and name not in names.known.get(kind, ()):
        by_way = f" by way of {', '.join(map(repr, way[1:]))}" if way[1:] else ""
        names.refuse(
            ("parts", name, "like"),
            f"'{name}' is like itself{by_way}. Name a part of the catalogue, or leave 'like' away",
        )


def _names_fit_paths(job: Job, names: NamesThere) -> None:
    for name, premises in job.premises.items():
        names.plain_name(("premises", name), name)
        others = [other for other in job.premises if other != name]
        names.one_of(("premises", name, "on_plan_of"), premises.on_plan_of, others, "premises")
        for room, dots in (
            ("places", True),
            ("supplies", True),
            ("receivers", True),
            ("devices", False),
            ("panels", False),
        ):
            for key in getattr(premises, room):
                names.plain_name(("premises", name, room, key), key, dots=dots)
        both = set(names.keys("premises", name, "devices")) & set(names.keys("premises", name, "panels"))
        for key in sorted(both):
            names.refuse(
                ("premises", name, "panels", key),
                f"'{key}' is a device of these premises already; 'works: {key}.…' could mean either."
                " Rename one",
            )
        for receiver_name, receiver in premises.receivers.items():
            for number in receiver.outputs:
                names.plain_name(("premises", name, "receivers", receiver_name, "outputs", number), number)


def _premises(names: NamesThere, path: Path, name: str, premises: Premises) -> None:
    devices, panels = names.keys(*map(str, path), "devices"), names.keys(*map(str, path), "panels")
    for key, level in premises.levels.items():
        names.build((*path, "levels", key, "slab"), level.slab)
    for key, mount in premises.mounts.items():
        names.plain_name((*path, "mounts", key), key)
        names.level((*path, "mounts", key, "level"), mount.level, name)
    for index, wall in enumerate(premises.walls):
        names.level((*path, "walls", index, "level"), wall.level, name)
        names.build((*path, "walls", index, "build"), wall.build)
        for number, opening in enumerate(wall.openings):
            names.build((*path, "walls", index, "openings", number, "build"), opening.build)
    for key, place in premises.places.items():
        names.level((*path, "places", key, "level"), place.level, name)
        for number, device in enumerate(place.sees):
            names.one_of((*path, "places", key, "sees", number), device, devices, "device", f"of {name}")
        for what, hidden in place.hidden_by.items():
            names.build((*path, "places", key, "hidden_by", what, "build"), hidden.build)
    for key, source in premises.interference.items():
        for number, box in enumerate(source.at):
            here = (*path, "interference", key, "at", number)
            names.one_of(here, box, premises.receivers, "receiver", f"of {name}")
    for key, supply in premises.supplies.items():
        names.part((*path, "supplies", key, "part"), supply.part, "supply")
        others = [other for other in premises.supplies if other != key]
        names.one_of((*path, "supplies", key, "instead"), supply.instead, others, "supply", f"of {name}")
        if supply.battery is not None:
            names.part((*path, "supplies", key, "battery", "part"), supply.battery.part, "battery")
        _fed(names, (*path, "supplies", key), name, supply.fed)
    _no_loop_of_supplies(names, path, premises)
    for key, receiver in premises.receivers.items():
        _receiver(names, (*path, "receivers", key), name, key, receiver)
    for room, kind, things in (("devices", "device", premises.devices), ("panels", "panel", premises.panels)):
        for key, thing in things.items():
            names.part((*path, room, key, "part"), thing.part, kind)
            names.level((*path, room, key, "level"), thing.level, name)
            _fed(names, (*path, room, key), name, thing.fed, from_panel=room == "devices")
    for key, panel in premises.panels.items():
        for zone_name, zone in panel.zones.items():
            here = (*path, "panels", key, "zones", zone_name)
            names.plain_name(here, zone_name)
            _cable(names, here, name, zone.cable)
        for area_name, area in panel.areas.items():
            for number, pin in enumerate(area.inputs):
                names.input_of(
                    (*path, "panels", key, "areas", area_name, "inputs", number), f"{key}.{pin}", name
                )
            for number, zone_name in enumerate(area.zones):
                here = (*path, "panels", key, "areas", area_name, "zones", number)
                names.one_of(here, zone_name, panel.zones, "zone", f"of {key}")
    for key, waiting in premises.devices.items():
        for number, device in enumerate(waiting.waits_for):
            where = (*path, "devices", key, "waits_for", number)
            names.one_of(where, device, [name for name in devices if name != key], "device", f"of {name}")
        for struck in waiting.strikes:
            where = (*path, "devices", key, "strikes", struck)
            names.one_of(where, struck, [name for name in devices if name != key], "device", f"of {name}")
        _only_with(
            names, (*path, "devices", key), waiting.only_with, [name for name in devices if name != key]
        )
    for key, lane in premises.one_lanes.items():
        for number, device in enumerate(lane.lights):
            names.one_of((*path, "one_lanes", key, "lights", number), device, devices, "device", f"of {name}")
    for key, lock in premises.gate_locks.items():
        for way in ("enter_by", "leave_by"):
            for number, gate in enumerate(getattr(lock, way)):
                where = (*path, "gate_locks", key, way, number)
                names.one_of(where, gate, devices, "device", f"of {name}")
    for index, turns in enumerate(premises.together):
        for number, device in enumerate(turns.of):
            names.one_of((*path, "together", index, "of", number), device, devices, "device", f"of {name}")
        for number, device in enumerate(turns.with_):
            names.one_of((*path, "together", index, "with", number), device, devices, "device", f"of {name}")
    for key, loop in premises.tamper_loops.items():
        names.one_of((*path, "tamper_loops", key, "panel"), loop.panel, panels, "panel", f"of {name}")
    check_wires(names, path, name, premises)


def _only_with(names: NamesThere, path: Path, only_with: tuple[str, ...], others: list[str]) -> None:
    """Each thing that another one runs with is a device here, or of another premises."""
    for number, thing in enumerate(only_with):
        house, _, device = thing.rpartition("/")
        where = (*path, "only_with", number)
        if house:
            names.one_of(where, device, names.keys("premises", house, "devices"), "device", f"of {house}")
        else:
            names.one_of(where, thing, others, "device", "here")


def _no_loop_of_supplies(names: NamesThere, path: Path, premises: Premises) -> None:
    """No supply may be fed by itself, by whatever way round: nothing would come into the circle."""
    told: set[str] = set()
    for key in premises.supplies:
        way = [key]
        while (feed := premises.supplies[way[-1]].fed) is not None and feed.from_ in premises.supplies:
            if feed.from_ in way:
                break
            way.append(feed.from_)
        if feed is None or feed.from_ != key or told & set(way):
            continue
        told |= set(way)
        round_ = " from ".join(f"'{supply}'" for supply in (*way, key))
        names.refuse(
            (*path, "supplies", key, "fed", "from"),
            f"{round_}: this circle of supplies feeds itself, and nothing comes into it. One of them hangs on"
            " the mains, a battery or another supply: name that, or leave its 'fed' away",
        )


def _receiver(names: NamesThere, path: Path, premises: str, name: str, receiver: Receiver) -> None:
    names.part((*path, "part"), receiver.part, "receiver")
    names.level((*path, "level"), receiver.level, premises)
    _aerial(names, (*path, "antenna"), premises, receiver.antenna)
    for index, aerial in enumerate(receiver.antenna_places):
        _aerial(names, (*path, "antenna_places", index), premises, aerial)
    _fed(names, path, premises, receiver.fed)
    for number, output in receiver.outputs.items():
        _output(names, (*path, "outputs", number), premises, name, output)
    for signal, told in receiver.signals.items():
        here = (*path, "signals", signal)
        names.input_of((*here, "works"), told.works, premises)
        if names.supply((*here, "load_from"), told.load_from, premises) and told.load_from is not None:
            check_branch(names, (*here, "load_from"), premises, told.load_from, told.load_branch)
        names.one_of((*here, "tells"), told.tells, names.keys("people"), "person")
        _cable(names, here, premises, told.cable)
    for number, entry in receiver.inputs.items():
        names.output_read((*path, "inputs", number, "reads"), entry.reads, premises)
        there, whose = names.outputs(premises, name), f"of {name}"
        if entry.works != WORKS_NOTHING:
            names.one_of((*path, "inputs", number, "works"), entry.works, there, "output", whose)
        _cable(names, (*path, "inputs", number), premises, entry.cable)


def _aerial(names: NamesThere, path: Path, premises: str, aerial: Aerial | None) -> None:
    if aerial is None:
        return
    names.part((*path, "part"), aerial.part, "aerial")
    names.level((*path, "level"), aerial.level, premises)
    if aerial.coax is not None:
        names.part((*path, "coax", "part"), aerial.coax.part, "coax")


def _output(names: NamesThere, path: Path, premises: str, receiver: str, output: Output) -> None:
    number = str(path[-1])
    names.output_there(path, premises, receiver, number)
    names.input_of((*path, "works"), output.works, premises)
    for index, works in enumerate(output.with_):
        names.input_of((*path, "with", index), works, premises)
    names.part((*path, "via"), output.via, "relay")
    if names.supply((*path, "load_from"), output.load_from, premises) and output.load_from is not None:
        check_branch(names, (*path, "load_from"), premises, output.load_from, output.load_branch)
    if output.interlock is not None:
        outputs = names.outputs(premises, receiver)
        names.one_of((*path, "interlock"), output.interlock, outputs, "output", f"of {receiver}")
        if output.interlock == number:
            names.refuse(
                (*path, "interlock"),
                f"output {number} cannot be interlocked with itself; name the other one of the pair",
            )
    _cable(names, path, premises, output.cable)


def _fed(names: NamesThere, path: Path, premises: str, fed: Fed | None, *, from_panel: bool = False) -> None:
    if fed is not None:
        if from_panel and fed.from_.partition(".")[0] in names.keys("premises", premises, "panels"):
            names.panel_output((*path, "fed", "from"), fed.from_, premises)
        elif names.supply((*path, "fed", "from"), fed.from_, premises):
            check_branch(names, (*path, "fed", "from"), premises, fed.from_, fed.branch)
        _cable(names, (*path, "fed"), premises, fed.cable)


def _cable(names: NamesThere, path: Path, premises: str, cable: CableRun | None) -> None:
    if cable is None:
        return
    names.part((*path, "cable", "part"), cable.part, "cable")
    if cable.shares_return_with is not None:
        names.one_of(
            (*path, "cable", "shares_return_with"),
            cable.shares_return_with,
            _returns(names, premises, path),
            "output, device or panel",
            f"of {premises}",
        )


def _returns(names: NamesThere, premises: str, path: Path) -> Iterable[str]:
    """Everything whose return core may be shared: outputs (of this receiver by number alone), devices,
    panels, receivers.
    """
    if len(path) > 3 and path[2] == "receivers":
        yield from names.outputs(premises, str(path[3]))
    for receiver in names.keys("premises", premises, "receivers"):
        yield receiver
        for number in names.outputs(premises, receiver):
            yield f"{receiver}/{number}"
            yield f"{premises}/{receiver}/{number}"
    yield from names.keys("premises", premises, "devices")
    yield from names.keys("premises", premises, "panels")


def _function(job: Job, names: NamesThere, path: Path, function: Function) -> None:
    names.output((*path, "output"), function.output)
    for index, output in enumerate(function.outputs):
        names.output((*path, "outputs", index), output)
    for place, works in names.texts((*path, "works")):
        names.input_wished(place, works)
    if function.hours is not None and stretch_s(function.hours) <= 0.0:
        message = f"'{function.hours[:60]}' is no stretch of time; write it as '06:00-20:00', in quotes"
        names.refuse((*path, "hours"), message)
    answered = function.answered_hours
    if answered is not None and answered != ALL_DAY and stretch_s(answered) <= 0.0:
        message = (
            f"'{answered[:60]}' is no stretch of time; write it as '08:00-17:00', in quotes, or '{ALL_DAY}'"
        )
        names.refuse((*path, "answered_hours"), message)


def _group(names: NamesThere, path: Path, group: Group) -> None:
    names.part((*path, "fob"), group.fob, "fob")
    for number in group.buttons:
        for place, pressed in names.texts((*path, "buttons", number)):
            names.one_of(place, pressed, names.keys("functions"), "function")
    for index, person in enumerate(group.people):
        names.one_of(
            (*path, "people", index),
            person,
            names.keys("people"),
            "person",
            hint="People are described under 'people'.",
        )
    for key in group.uses_share:
        names.one_of((*path, "uses", key), key, names.keys("functions"), "function")
    for key in group.visits_per_day:
        if "/" in key:
            names.receiver((*path, "visits", key), key)
        else:
            names.one_of((*path, "visits", key), key, names.keys("premises"), "premises")


def _promise(job: Job, names: NamesThere, path: Path, promise: Promise) -> None:
    hint = ""
    if promise.to in names.keys("people"):
        groups = [name for name, group in job.groups.items() if promise.to in group.people]
        held = f", here '{groups[0]}'." if groups else " that holds fobs."
        hint = f"'{promise.to}' is a person; a promise is made to a group{held}"
    names.one_of((*path, "to"), promise.to, names.keys("groups"), "group", hint=hint)
    known = names.one_of((*path, "function"), promise.function, names.keys("functions"), "function")
    seen_from = _premises_of(job, names, promise.function if known else None)
    names.place((*path, "from"), promise.from_, seen_from)


def _rule(job: Job, names: NamesThere, path: Path, rule: Rule) -> None:
    functions, groups, people = names.keys("functions"), names.keys("groups"), names.keys("people")
    things, places = names.things_and_places()
    organisations = {group.organisation for group in job.groups.values()} | {
        person.organisation for person in job.people.values()
    }
    firms = sorted(name for name in organisations if name)
    for index, name in enumerate(rule.of):
        there = (*functions, *things, *groups, *people)
        names.one_of((*path, "of", index), name, there, "function, device or output")
    for index, name in enumerate(rule.by):
        there = (*groups, *people, *firms, *functions)
        names.one_of((*path, "by", index), name, there, "group or person")
    if rule.hours is not None and stretch_of(rule.hours) is None:
        message = f"'{rule.hours[:60]}' is no stretch of time; write it as '06:00-20:00', in quotes"
        names.refuse((*path, "hours"), message)
    for index, name in enumerate(rule.from_):
        names.one_of((*path, "from", index), name, (*places, *things), "place or device")


def _reading(names: NamesThere, path: Path, reading: Reading) -> None:
    if names.receiver((*path, "receiver"), reading.receiver):
        names.place((*path, "place"), reading.place, [reading.receiver.split("/")[0]])
        _hidden_there(names, path, reading)
    if reading.heard is None:
        return
    if reading.of is None:
        message = f"{reading.heard} presses were heard, but of how many? Write 'of' beside it"
        names.refuse((*path, "heard"), message)
    elif reading.heard > reading.of:
        names.refuse(
            (*path, "heard"),
            f"{reading.heard} of {reading.of} presses cannot have been heard; 'of' is the number of"
            " presses tried",
        )


def _hidden_there(names: NamesThere, path: Path, reading: Reading) -> None:
    """What was there at a reading is something that hides its place."""
    premises, _, place = f"{reading.receiver.split('/')[0]}/{reading.place}".rpartition("/")
    hides = names.keys("premises", premises.split("/")[-1], "places", place, "hidden_by")
    for number, name in enumerate(reading.there):
        names.one_of((*path, "there", number), name, hides, "thing under 'hidden_by'", f"of {reading.place}")


def _roads(job: Job, names: NamesThere) -> None:
    premises = names.keys("premises")
    hint = "" if job.starts else "A place that is none, as an office, stands under 'starts'."
    for index, road in enumerate(job.roads):
        for end, name in enumerate(road.between):
            path = ("roads", index, "between", end)
            names.one_of(path, name, (*premises, *job.starts), "premises", hint=hint)
    on_road = {name for road in job.roads for name in road.between}
    for index, name in enumerate(job.starts):
        if name in premises:
            message = f"'{name}' is a premises of the job; a round can begin there without this"
            names.refuse(("starts", index), message)
        elif name not in on_road:
            names.refuse(
                ("starts", index),
                f"No road leads to '{name[:60]}'; give the way from there to at least one premises under"
                " 'roads'",
            )


def _time_zone(job: Job, names: NamesThere) -> None:
    if job.time_zone is None:
        return
    try:
        ZoneInfo(job.time_zone)
    except (KeyError, ValueError, OSError):
        names.one_of(
            ("time_zone",),
            job.time_zone,
            sorted(available_timezones()),
            "time zone",
            hint="Names are those of the IANA database.",
        )


def _traffic(job: Job, names: NamesThere, path: Path, traffic: Traffic) -> None:
    known = names.one_of((*path, "function"), traffic.function, names.keys("functions"), "function")
    seen_from = _premises_of(job, names, traffic.function if known else None)
    names.place((*path, "place"), traffic.place, seen_from)
    for stretch in traffic.arrivals:
        ends = stretch.split("-")
        if not _STRETCH.match(stretch) or ends[0] >= ends[1]:
            names.refuse(
                (*path, "arrivals", stretch),
                f"'{stretch[:60]}' is no stretch of a day; write it like '07:40-07:55', the earlier time"
                " first",
            )


def _premises_of(job: Job, names: NamesThere, function: str | None) -> Iterable[str]:
    """The premises that a function works at; all where that is not known."""
    pressed = job.functions[function] if function in job.functions else Function()
    works_at = [path.split("/")[0] for path in pressed.paths]
    works_at += [premises for works in pressed.wished for premises in names.premises_with(works)]
    return [name for name in works_at if name in names.keys("premises")] or names.keys("premises")
