"""Which parts and builds a job asks for, and where in its file each name stands."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import NamedTuple

from farpress.domain.job import Job
from farpress.domain.premises import Aerial, CableRun, Premises, Receiver

__all__ = ["Asked", "Keys", "Where", "asked_builds", "asked_parts"]

Keys = tuple[str | int, ...]
"""Keys that lead to a place in the job file; numbers count the entries of a list from 0."""

Where = Callable[[Keys], str]
"""Path of keys in the job file → a place in words, as "line 31"."""


class Asked(NamedTuple):
    """One name of a part or build, as asked for.

    Attributes:
        kind: kind of part, or "build".
        name: as written.
        path: keys that lead there.
    """

    kind: str
    name: str
    path: Keys


def asked_parts(job: Job) -> Iterator[Asked]:
    """Every part named in a job, in the order of its file; own parts are not looked into."""
    for place, house in job.premises.items():
        yield from _of_premises(house, ("premises", place))
    for name, group in job.groups.items():
        yield Asked("fob", group.fob, ("groups", name, "fob"))


def _of_premises(house: Premises, path: Keys) -> Iterator[Asked]:
    for name, supply in house.supplies.items():
        here = (*path, "supplies", name)
        if supply.part is not None:
            yield Asked("supply", supply.part, (*here, "part"))
        if supply.battery is not None and supply.battery.part is not None:
            yield Asked("battery", supply.battery.part, (*here, "battery", "part"))
    for name, receiver in house.receivers.items():
        yield from _of_receiver(receiver, (*path, "receivers", name))
    for name, device in house.devices.items():
        here = (*path, "devices", name)
        if device.part is not None:
            yield Asked("device", device.part, (*here, "part"))
        yield from _cable(device.fed.cable if device.fed else None, (*here, "fed", "cable"))
    for name, panel in house.panels.items():
        here = (*path, "panels", name)
        if panel.part is not None:
            yield Asked("panel", panel.part, (*here, "part"))
        yield from _cable(panel.fed.cable if panel.fed else None, (*here, "fed", "cable"))


def _of_receiver(receiver: Receiver, path: Keys) -> Iterator[Asked]:
    if receiver.part is not None:
        yield Asked("receiver", receiver.part, (*path, "part"))
    if receiver.antenna is not None:
        yield from _aerial(receiver.antenna, (*path, "antenna"))
    for index, aerial in enumerate(receiver.antenna_places):
        yield from _aerial(aerial, (*path, "antenna_places", index))
    yield from _cable(receiver.fed.cable if receiver.fed else None, (*path, "fed", "cable"))
    for number, output in receiver.outputs.items():
        here = (*path, "outputs", number)
        if output.via is not None:
            yield Asked("relay", output.via, (*here, "via"))
        yield from _cable(output.cable, (*here, "cable"))
    for signal, told in receiver.signals.items():
        yield from _cable(told.cable, (*path, "signals", signal, "cable"))
    for number, reading in receiver.inputs.items():
        yield from _cable(reading.cable, (*path, "inputs", number, "cable"))


def _aerial(aerial: Aerial, path: Keys) -> Iterator[Asked]:
    yield Asked("aerial", aerial.part, (*path, "part"))
    if aerial.coax is not None:
        yield Asked("coax", aerial.coax.part, (*path, "coax", "part"))


def _cable(cable: CableRun | None, path: Keys) -> Iterator[Asked]:
    if cable is not None:
        yield Asked("cable", cable.part, (*path, "part"))


def asked_builds(job: Job) -> Iterator[Asked]:
    """Every build named in a job: slabs, walls, and what fills their openings."""
    for place, house in job.premises.items():
        path = ("premises", place)
        for name, level in house.levels.items():
            if level.slab is not None:
                yield Asked("build", level.slab, (*path, "levels", name, "slab"))
        for index, wall in enumerate(house.walls):
            here = (*path, "walls", index)
            yield Asked("build", wall.build, (*here, "build"))
            for number, opening in enumerate(wall.openings):
                if opening.build is not None:
                    yield Asked("build", opening.build, (*here, "openings", number, "build"))
