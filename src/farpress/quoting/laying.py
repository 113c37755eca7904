"""What is laid: cables and coaxial cables by the piece, their ends, their labels, and holes on the way."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from decimal import Decimal

import numpy as np

from farpress.case.cable_bodies import CableBody
from farpress.case.cables import cables_of
from farpress.case.case import Case
from farpress.core.reach.crossings import crossed_panels, crossed_slabs
from farpress.domain.premises import Premises, Receiver
from farpress.judging.device.mains_cables import carries_mains
from farpress.quoting.needed import NeededItem
from farpress.reach.radio_scene import point_end, scene_of

__all__ = ["is_laid", "metres", "needed_laying"]

_ANY_HZ = 433_920_000.0
"""A scene is made for a frequency; which walls a straight line crosses does not depend on it."""

_TWO = Decimal(2)


def needed_laying(case: Case) -> Iterator[NeededItem]:
    """Every cable that the firm lays, with its labels and core ends; every coaxial cable with its plugs
    and holes.

    Left out: mains (a licensed electrician's), what lies there already, what the job does not describe.
    """
    for premises, house in case.job.premises.items():
        for body in cables_of(case, premises):
            if body.length_m is not None and not carries_mains(case, body):
                yield from _cable(case, body)
        yield from _terminals(case, premises)
        for name, box in house.receivers.items():
            if f"{premises}/{name}" not in case.job.delivery.stands:
                yield from _coax(case, premises, name, house, box)


def is_laid(case: Case, body: CableBody) -> bool:
    """Whether a cable lies there already."""
    drawn = case.job.premises[body.premises].cables.get(body.label)
    runs = (run.run for run in body.runs if run.run is not None)
    return bool(drawn.existing) if drawn is not None else any(bool(run.existing) for run in runs)


def metres(length_m: float) -> Decimal:
    """A length as it was written, without what floats add."""
    return Decimal(repr(length_m))


def _cable(case: Case, body: CableBody) -> Iterator[NeededItem]:
    place = f"{body.label}, {body.near} to {body.far}"
    serves = frozenset(run.at.path for run in body.runs if run.at is not None)
    if any(run.at is None for run in body.runs) or body.is_drawn:
        serves = frozenset()
    if not is_laid(case, body) and body.length_m is not None:
        sheet = body.sheet(case)
        says = sheet.says if sheet is not None else ""
        yield NeededItem(
            body.part, metres(body.length_m), body.premises, place, serves, says, "lay cable", "m"
        )
        yield NeededItem("cable label", _TWO, body.premises, place, serves, task="label cable")
    panels = case.job.premises[body.premises].panels
    ends = sum(
        len({end.thing for end in side} - panels.keys())
        for core in body.conductors
        for side in (core.near, core.far)
    )
    if ends:
        yield NeededItem("connect core", Decimal(ends), body.premises, place, serves, is_task=True)


def _terminals(case: Case, premises: str) -> Iterator[NeededItem]:
    """Terminals in junction boxes that a core ends at."""
    boxes = case.job.premises[premises].junctions
    used = {
        (end.thing, end.name)
        for body in cables_of(case, premises)
        for core in body.conductors
        for end in (*core.near, *core.far)
        if end.thing in boxes
    }
    for box in boxes:
        count = sum(thing == box for thing, _ in used)
        if count:
            yield NeededItem("terminal", Decimal(count), premises, box, task="mount box")


def _coax(case: Case, premises: str, name: str, house: Premises, box: Receiver) -> Iterator[NeededItem]:
    aerial = box.antenna
    if aerial is None or aerial.coax is None:
        return
    serves = frozenset(f"{premises}/{name}/{number}" for number in box.outputs)
    place, part = f"{name} to its aerial", case.equipment.coax_parts.get(aerial.coax.part)
    says = part.says if part is not None else ""
    length = metres(aerial.coax.length_m)
    yield NeededItem(aerial.coax.part, length, premises, place, serves, says, "lay coax", "m")
    plugs = Decimal(aerial.coax.connector_pairs)
    if plugs:
        yield NeededItem("coax plug", plugs, premises, place, serves, f"for {aerial.coax.part}", "end coax")
    for through in _crossed(case, house, box):
        yield NeededItem("make hole", Decimal(1), premises, f"{place}: {through}", serves, is_task=True)


def _crossed(case: Case, house: Premises, box: Receiver) -> Sequence[str]:
    """Walls and slabs between a receiver and its aerial in a straight line, in words."""
    assert box.antenna is not None
    ends = [
        point_end(house, point, level, default_m=0.0)
        for point, level in ((box.at, box.level), (box.antenna.at, box.antenna.level))
    ]
    start, end = (np.array(found.at_m) for found in ends if found is not None)
    scene = scene_of(house, case.equipment, _ANY_HZ).scene
    found: list[str] = []
    if scene.panel_barriers:
        crossed = crossed_panels(panels=scene.panels, from_m=start, to_m=end).crossed[0]
        found += [
            barrier.says
            for barrier, hit in zip(scene.panel_barriers, crossed, strict=True)
            if hit and barrier is not None
        ]
    if scene.slab_barriers:
        slabs = crossed_slabs(
            heights_m=scene.slab_heights_m, outlines=scene.slab_outlines, from_m=start, to_m=end
        ).crossed[0]
        found += [barrier.says for barrier, hit in zip(scene.slab_barriers, slabs, strict=True) if hit]
    return found
