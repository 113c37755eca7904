"""Things to be fixed: receivers, supplies, aerials, relays, small parts, fobs and their labels."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from farpress.case.cables import runs
from farpress.case.case import Case, OutputAt
from farpress.case.driven import holders
from farpress.domain.job import Group
from farpress.domain.parts import Loop
from farpress.quoting.needed import NeededItem
from farpress.units import write_quantity, write_share

__all__ = ["needed_things", "outputs_of_group"]

_ONE = Decimal(1)

_SUPPRESSION = {
    "diode": "suppression diode",
    "zener": "suppression diode with Zener diode",
    "rc": "RC element",
    "varistor": "varistor",
}


def needed_things(case: Case) -> Iterator[NeededItem]:
    """Everything that is fixed, put in or handed out, but cables.

    What the job says stands there already (`delivery`, `stands`) is left out; devices and panels come only
    where it says that the firm delivers them.
    """
    stands, delivers = set(case.job.delivery.stands), set(case.job.delivery.delivers)
    for premises, house in case.job.premises.items():
        for name in house.supplies:
            if f"{premises}/{name}" not in stands:
                yield from _supply(case, premises, name)
        for name, supply in house.supplies.items():
            for branch, given in supply.branches.items():
                if given.fuse_a is not None and f"{premises}/{name}" not in stands:
                    fuse = f"fuse {write_quantity(given.fuse_a, 'current')}"
                    yield NeededItem(fuse, _ONE, premises, f"{name}, branch {branch}", task="fit small part")
        for name in house.receivers:
            yield from _receiver(case, premises, name, is_new=f"{premises}/{name}" not in stands)
        for kind, task, things in (
            ("devices", "mount device", case.equipment.devices),
            ("panels", "mount panel", case.equipment.panels),
        ):
            for name in getattr(house, kind):
                path = f"{premises}/{name}"
                if path in delivers:
                    part = things[path]
                    serves = _working(case, premises, name)
                    article = part.name or f"{name} (own values)"
                    yield NeededItem(article, _ONE, premises, name, serves, part.says, task)
        for name, box in house.junctions.items():
            yield NeededItem("junction box", _ONE, premises, name, says=box.says, task="mount box")
        for name in house.diodes:
            yield NeededItem("diode", _ONE, premises, name, task="fit small part")
        yield from _separation_relays(case, premises)
        yield from _resistors(case, premises)
    for output in case.outputs():
        yield from _at_output(output)
    yield from _fobs(case)


def outputs_of_group(case: Case, group: Group) -> frozenset[str]:
    """Paths of the outputs that a group's buttons press."""
    return frozenset(
        path
        for name in case.job.functions_of(group)
        if name in case.job.functions
        for path in case.job.functions[name].paths
    )


def _supply(case: Case, premises: str, name: str) -> Iterator[NeededItem]:
    path, given = f"{premises}/{name}", case.job.premises[premises].supplies[name]
    part = case.equipment.supplies[path]
    rated = f", rated {write_quantity(given.rated_a, 'current')}" if given.rated_a is not None else ""
    article = f"{part.name}{rated}" if part.name else f"{name} (own values)"
    yield NeededItem(article, _ONE, premises, name, says=part.says, task="mount supply")
    battery = case.equipment.batteries.get(path)
    if battery is not None:
        hours = given.battery.capacity_ah if given.battery is not None else None
        other = f", {hours:g} Ah" if hours is not None else ""  # what is given there wins over the part
        article = f"{battery.name}{other}" if battery.name else f"battery of {name} (own values)"
        yield NeededItem(article, _ONE, premises, name, says=battery.says, task="fit battery")
    solar = given.solar
    if solar is not None:
        watts = "" if solar.power_w is None else f" {write_quantity(solar.power_w, 'power')}"
        yield NeededItem(f"solar panel{watts}", _ONE, premises, name, task="mount supply")


def _receiver(case: Case, premises: str, name: str, *, is_new: bool) -> Iterator[NeededItem]:
    path = f"{premises}/{name}"
    part, box = case.equipment.receivers[path], case.job.premises[premises].receivers[name]
    serves = frozenset(f"{path}/{number}" for number in box.outputs)
    if is_new:
        article = part.name or f"{name} (own values)"
        yield NeededItem(article, _ONE, premises, name, serves, part.says, "mount receiver")
        if box.antenna is not None:
            aerial = case.equipment.aerial_parts.get(box.antenna.part)
            says = aerial.says if aerial is not None else ""
            yield NeededItem(
                box.antenna.part, _ONE, premises, f"{name}, aerial", serves, says, "mount aerial"
            )


def _separation_relays(case: Case, premises: str) -> Iterator[NeededItem]:
    """Relays that keep the motors of one contact apart; they stand at their device in a job file."""
    for name, device in case.job.premises[premises].devices.items():
        if device.separation_relay:
            motors = case.equipment.devices[f"{premises}/{name}"].sheet.motors or 2
            yield NeededItem(
                f"separation relay, {motors} pairs of contacts",
                _ONE,
                premises,
                name,
                _working(case, premises, name),
                "one pair of contacts for each motor, where it is not there already",
                "fit relay",
            )


def _working(case: Case, premises: str, device: str) -> frozenset[str]:
    """Paths of the outputs that work a device or panel."""
    return frozenset(
        output.path
        for output in case.outputs()
        if output.premises == premises and device in {works.partition(".")[0] for works in output.works}
    )


def _at_output(output: OutputAt) -> Iterator[NeededItem]:
    given, serves = output.output, frozenset([output.path])
    place = f"{output.receiver}/{output.number}"
    if given.via:
        yield NeededItem(given.via, _ONE, output.premises, place, serves, task="fit relay")
    if given.suppression in _SUPPRESSION:
        part = _SUPPRESSION[str(given.suppression)]
        yield NeededItem(part, _ONE, output.premises, place, serves, task="fit small part")
    if given.limits_inrush:
        yield NeededItem("inrush limiter", _ONE, output.premises, place, serves, task="fit small part")


def _resistors(case: Case, premises: str) -> Iterator[NeededItem]:
    """Resistors of supervised loops that a receiver's contact works; those of other zones are not ours."""
    for run in runs(case, premises):
        if run.loop is not None and run.at is not None:
            for ohm in _ohms(run.loop):
                share = run.loop.tolerance_share
                size = f" {write_share(share)}" if share is not None else ""
                yield NeededItem(
                    f"resistor {write_quantity(ohm, 'resistance')}{size}",
                    _ONE,
                    premises,
                    f"{run.at.receiver}/{run.at.number} at {run.target}",
                    frozenset([run.at.path]),
                    task="fit small part",
                )


def _ohms(loop: Loop) -> tuple[float, ...]:
    """Resistors of a loop by its scheme; the wire alone has none."""
    if loop.scheme in ("closed", "open"):
        return ()
    given = (loop.normal_ohm, None if loop.scheme == "single end-of-line" else loop.alarm_ohm)
    return tuple(ohm for ohm in given if ohm)


def _fobs(case: Case) -> Iterator[NeededItem]:
    premises = next(iter(case.job.premises)) if len(case.job.premises) == 1 else ""
    for name, group in case.job.groups.items():
        serves = outputs_of_group(case, group)
        part = case.equipment.fobs.get(name)
        number = (holders(group) or 0) + group.spares
        if number:
            says, pieces = part.says if part is not None else "", Decimal(number)
            spare = f", {group.spares} spare" if group.spares else ""
            yield NeededItem(group.fob, pieces, premises, f"{name}{spare}", serves, says, "learn fob")
            yield NeededItem(
                "fob label", pieces, premises, name, serves, "weatherproof label with its code", "label fob"
            )
