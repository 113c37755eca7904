"""Every name in a job that points at something is looked up.

One fault for each wrong name, with the closest known one and what there is. The names
are read off the file's own keys, so a device with a fault of its own is still known here.
Whether what is named *fits* is judged elsewhere.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from farpress.domain.job import Job
from farpress.domain.premises import CableRun, Premises, Receiver
from farpress.errors import Fault
from farpress.jobfile.look_up import Path, Register
from farpress.jobfile.people_and_promises import check_people_and_promises
from farpress.jobfile.source import Source
from farpress.jobfile.spot import Moved
from farpress.jobfile.tree import Node

__all__ = ["check_references"]


def check_references(
    job: Job, tree: Node, source: Source, known: Mapping[str, frozenset[str]], moved: Moved
) -> list[Fault]:
    """Every fault of a name in a job whose form is right.

    Args:
        job: the job; entries with faults of their own may be left out of it.
        tree, source: the file it was read from.
        known: kind of part (and "build") → names in the catalogue.
        moved: lists of the job that are shorter than in the file; usually empty.
    """
    look = Register(tree, source, known, moved)
    for name, part in job.parts.items():
        look.part(("parts", name, "like"), part.like, part.kind, own=False)
        if part.kind == "fob":
            look.part(("parts", name, "cell"), part.cell, "cell")
    _names_fit_paths(job, look)
    for name, house in job.premises.items():
        _premises(look, ("premises", name), name, house)
    check_people_and_promises(job, look)
    return look.faults


def _names_fit_paths(job: Job, look: Register) -> None:
    for name, house in job.premises.items():
        look.plain_name(("premises", name), name)
        for room, dots in (
            ("places", True),
            ("supplies", True),
            ("receivers", True),
            ("devices", False),
            ("panels", False),
        ):
            for key in getattr(house, room):
                look.plain_name(("premises", name, room, key), key, dots=dots)
        both = set(look.keys("premises", name, "devices")) & set(look.keys("premises", name, "panels"))
        for key in sorted(both):
            look.refuse(
                ("premises", name, "panels", key),
                f"'{key}' is a device of these premises already; 'works: {key}.…' could mean either."
                " Rename one",
            )
        for receiver, box in house.receivers.items():
            for number in box.outputs:
                look.plain_name(("premises", name, "receivers", receiver, "outputs", number), number)


def _premises(look: Register, at: Path, name: str, house: Premises) -> None:
    for key, level in house.levels.items():
        look.build((*at, "levels", key, "slab"), level.slab)
    for index, wall in enumerate(house.walls):
        here = (*at, "walls", index)
        look.level((*here, "level"), wall.level, name)
        look.build((*here, "build"), wall.build)
        for number, opening in enumerate(wall.openings):
            look.build((*here, "openings", number, "build"), opening.build)
    for key, place in house.places.items():
        here = (*at, "places", key)
        look.level((*here, "level"), place.level, name)
        for number, device in enumerate(place.sees):
            look.one_of(
                (*here, "sees", number),
                device,
                look.keys("premises", name, "devices"),
                "device",
                f"of {name}",
            )
    for key, supply in house.supplies.items():
        look.part((*at, "supplies", key, "part"), supply.part, "supply")
        if supply.battery is not None:
            look.part((*at, "supplies", key, "battery", "part"), supply.battery.part, "battery")
    for key, box in house.receivers.items():
        _receiver(look, (*at, "receivers", key), name, key, box)
    for room, kind, things in (("devices", "device", house.devices), ("panels", "panel", house.panels)):
        for key, thing in things.items():
            here = (*at, room, key)
            look.part((*here, "part"), thing.part, kind)
            look.level((*here, "level"), thing.level, name)
            _fed(look, here, name, thing.fed)
    for key, loop in house.tamper_loops.items():
        look.one_of(
            (*at, "tamper_loops", key, "panel"),
            loop.panel,
            look.keys("premises", name, "panels"),
            "panel",
            f"of {name}",
        )


def _receiver(look: Register, at: Path, premises: str, name: str, box: Receiver) -> None:
    look.part((*at, "part"), box.part, "receiver")
    look.level((*at, "level"), box.level, premises)
    aerials = [((*at, "antenna"), box.antenna)] + [
        ((*at, "antenna_places", index), one) for index, one in enumerate(box.antenna_places)
    ]
    for here, aerial in aerials:
        if aerial is None:
            continue
        look.part((*here, "part"), aerial.part, "aerial")
        look.level((*here, "level"), aerial.level, premises)
        if aerial.coax is not None:
            look.part((*here, "coax", "part"), aerial.coax.part, "coax")
    _fed(look, at, premises, box.fed)
    numbers = look.keys("premises", premises, "receivers", name, "outputs")
    for number, output in box.outputs.items():
        here = (*at, "outputs", number)
        look.input_of((*here, "works"), output.works, premises)
        for index, works in enumerate(output.with_):
            look.input_of((*here, "with", index), works, premises)
        look.part((*here, "via"), output.via, "relay")
        look.supply((*here, "load_from"), output.load_from, premises)
        if output.interlock is not None:
            look.one_of((*here, "interlock"), output.interlock, numbers, "output", f"of {name}")
            if output.interlock == number:
                look.refuse(
                    (*here, "interlock"),
                    f"output {number} cannot be interlocked with itself; name the other one of the pair",
                )
        _cable(look, here, premises, output.cable)
    for number, entry in box.inputs.items():
        here = (*at, "inputs", number)
        look.output_read((*here, "reads"), entry.reads, premises)
        _cable(look, here, premises, entry.cable)


def _fed(look: Register, at: Path, premises: str, fed: object) -> None:
    if fed is not None:
        look.supply((*at, "fed", "from"), fed.from_, premises)  # type: ignore[attr-defined]
        _cable(look, (*at, "fed"), premises, fed.cable)  # type: ignore[attr-defined]


def _cable(look: Register, at: Path, premises: str, cable: CableRun | None) -> None:
    if cable is None:
        return
    look.part((*at, "cable", "part"), cable.part, "cable")
    if cable.shares_return_with is not None:
        look.one_of(
            (*at, "cable", "shares_return_with"),
            cable.shares_return_with,
            _returns(look, premises, at),
            "output, device or panel",
            f"of {premises}",
        )


def _returns(look: Register, premises: str, at: Path) -> Iterable[str]:
    """Everything whose return core may be shared: outputs (of this receiver by number alone), devices,
    panels, receivers.
    """
    if len(at) > 3 and at[2] == "receivers":
        yield from look.keys("premises", premises, "receivers", str(at[3]), "outputs")
    for receiver in look.keys("premises", premises, "receivers"):
        yield receiver
        for number in look.keys("premises", premises, "receivers", receiver, "outputs"):
            yield f"{receiver}/{number}"
            yield f"{premises}/{receiver}/{number}"
    yield from look.keys("premises", premises, "devices")
    yield from look.keys("premises", premises, "panels")
