"""What would mend a way that is too weak, each with the chance it would give.

Only what can be computed is offered; the best comes first.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from farpress.case.case import Case, OutputAt, promise_id
from farpress.core.reach.scene import PathEnd
from farpress.domain.finding import Change, Remedy
from farpress.domain.job import Promise
from farpress.domain.premises import Place
from farpress.reach.aerial_edits import aerial_edits
from farpress.reach.gaps import GapKind
from farpress.reach.mountable import MountedAt, mount_near
from farpress.reach.outside_wall import COAX, outside_the_wall
from farpress.reach.radio_link import Radio, radio_of
from farpress.reach.radio_receiver import AerialAt
from farpress.reach.radio_scene import place_end, point_end

__all__ = ["remedies_for"]

_LEAST = 0.01
_MOST = 4
_NEAR_M = 10.0
_BESIDE_M = 2.0
_ABOUT_THE_AERIAL = (GapKind.AERIAL_GAIN, GapKind.AERIAL_MISSING)
"""What is not known of today's aerial is not known of a second one of its kind either."""


def remedies_for(
    radio: Radio, promise: Promise, output: OutputAt, place: Place, place_path: str, share: float
) -> tuple[Remedy, ...]:
    """Up to four remedies after which the promise is kept, the best first.

    An edit is offered only where no other promise at this receiver is lost.
    """
    presses = int(promise.within_presses)
    found: list[tuple[float, Remedy]] = []
    for does, aerial, pressed_in_hand, changes in _ideas(radio, output, place):
        link = radio.link(
            group=promise.to,
            premises=output.premises,
            receiver=output.receiver,
            place=place,
            place_path=place_path,
            pressed="in hand" if pressed_in_hand else None,
            aerial=aerial,
        )
        better = link.share(presses)
        if better is None or better < share + _LEAST:
            continue
        if better < promise.at_least_share or (
            changes and _lost_by(radio, output, aerial) - {promise_id(promise)}
        ):
            continue  # half a cure, or one that another promise pays for, is no advice
        found.append((better, Remedy(does, f"{_whole(better)} instead of {_whole(share)}", changes)))
    found.sort(key=lambda idea: -idea[0])
    return tuple(remedy for _, remedy in found[:_MOST])


def _lost_by(radio: Radio, output: OutputAt, aerial: AerialAt) -> frozenset[str]:
    """Promises at a receiver that are kept with its aerial as it is, and not with another one."""
    return radio.case.found(_all_lost_by, output.premises, output.receiver, aerial)


def _all_lost_by(case: Case, premises: str, receiver: str, aerial: AerialAt) -> frozenset[str]:
    return frozenset(
        promise_id(promise)
        for promise in case.job.promises
        if _is_lost(case, promise, premises, receiver, aerial)
    )


def _is_lost(case: Case, promise: Promise, premises: str, receiver: str, aerial: AerialAt) -> bool:
    location = case.place(promise.from_, premises)
    paths = {other.receiver_path for other in case.outputs_of(promise.function)}
    if location is None or location[0] != premises or f"{premises}/{receiver}" not in paths:
        return False
    shares = []
    for hung in (None, aerial):
        link = radio_of(case).link(
            group=promise.to,
            premises=premises,
            receiver=receiver,
            place=case.job.premises[premises].places[location[1]],
            place_path="/".join(location),
            aerial=hung,
        )
        shares.append(link.share(int(promise.within_presses)))
    before, after = shares
    wanted = promise.at_least_share
    return before is not None and before >= wanted and (after is None or after < wanted)


def _whole(share: float) -> str:
    percent = 100.0 * share
    if 1.0 <= percent < 99.5:
        return f"{percent:.0f} %"
    return f"{percent:.1f} %" if percent < 99.95 else "more than 99.9 %"


def _ideas(
    radio: Radio, output: OutputAt, place: Place
) -> Iterator[tuple[str, AerialAt, bool, tuple[Change, ...]]]:
    """What is done, the aerial it means, whether the fob is taken into the hand, and the edits."""
    premises, receiver, box = output.premises, output.receiver, output.box
    here = radio.aerial(premises, receiver)
    root = ("premises", premises, "receivers", receiver)
    for aerial in box.antenna_places:
        point = ", ".join(f"{number:g}" for number in aerial.at)
        coax = f" with {aerial.coax.length_m:g} m of {aerial.coax.part}" if aerial.coax is not None else ""
        yield (
            f"Aerial {aerial.part} at ({point}){coax}",
            radio.aerial_at(premises, receiver, aerial),
            False,
            aerial_edits(radio.case, premises, receiver, aerial),
        )
    if here.is_shut_in:
        outside = replace(
            here,
            behind_db=0.0,
            lines=(),
            gaps=tuple(gap for gap in here.gaps if gap.kind is not GapKind.HOUSING),
            is_shut_in=False,
        )
        yield (
            "Aerial of the same gain outside the steel housing, on the spot, with short coax",
            outside,
            False,
            (),
        )
    outside_wall = outside_the_wall(radio.case, output, place) if here.end is not None else None
    if outside_wall is not None:
        x, y = outside_wall.at[:2]
        length = outside_wall.coax.length_m if outside_wall.coax is not None else 0.0
        yield (
            f"Aerial {outside_wall.part} outside, on the wall at ({x:.1f}, {y:.1f}) with {length:g} m of"
            f" {COAX}",
            radio.aerial_at(premises, receiver, outside_wall),
            False,
            aerial_edits(radio.case, premises, receiver, outside_wall),
        )
    if place.pressed != "in hand":
        out = "window open, " if place.pressed == "in car" else ""
        yield (
            f"Pressed in the hand, {out}not {place.pressed.removeprefix('in ')}: tell the users",
            here,
            True,
            (),
        )
    if here.end is not None:
        x, y, z = here.end.at_m
        raised = replace(
            here, end=PathEnd((x, y, z + 1.0), here.end.over_ground_m + 1.0, here.end.is_outdoors)
        )
        key = (*root, "antenna", "at") if box.antenna is not None else (*root, "at")
        if not radio.case.found(_is_under_an_edge, premises, here.end):
            yield (
                "Aerial 1 m higher" if box.antenna is not None else "Receiver 1 m higher",
                raised,
                False,
                (Change(key, [x, y, z + 1.0]),),
            )
        start = place_end(output.house, place)
        if math.dist(start.at_m, here.end.at_m) < _NEAR_M:
            return
        for mount in _mounts_between(radio.case, output, start, here.end):
            second = AerialAt(
                point_end(output.house, mount.at, mount.level, default_m=None),
                here.gain_dbi,
                0.0,
                "aerial of a second receiver",
                gaps=tuple(gap for gap in here.gaps if gap.kind in _ABOUT_THE_AERIAL),
            )
            yield f"A second receiver nearer by, {mount.says}", second, False, ()


def _mounts_between(case: Case, output: OutputAt, start: PathEnd, end: PathEnd) -> list[MountedAt]:
    """Where something can be mounted half-way and nearer, no farther off than a quarter of the way."""
    apart = math.dist(start.at_m[:2], end.at_m[:2])
    found = []
    for share in (0.5, 0.75, 1.0):
        x, y = (end.at_m[k] + share * (start.at_m[k] - end.at_m[k]) for k in (0, 1))
        mount = case.found(_mount_near, output.premises, x, y, apart / 4.0)
        if mount is not None and math.dist(mount.at[:2], end.at_m[:2]) > _BESIDE_M:
            found.append(mount)
    return list(dict.fromkeys(found))


def _mount_near(case: Case, premises: str, x: float, y: float, within_m: float) -> MountedAt | None:
    return mount_near(case.job.premises[premises], x, y, within_m=within_m)


def _is_under_an_edge(case: Case, premises: str, end: PathEnd) -> bool:
    """Whether 1 m more would take the aerial over the upper edge of a wall near by: through a ceiling or a
    roof.
    """
    panels = radio_of(case).plan(premises).scene.panels
    x, y, z = end.at_m
    for start, stop, top in zip(panels.start_m, panels.end_m, panels.top_m):
        along = stop - start
        share = float(
            np.clip(
                ((x - start[0]) * along[0] + (y - start[1]) * along[1]) / max(float(along @ along), 1e-12),
                0.0,
                1.0,
            )
        )
        if z < top <= z + 1.0 and math.dist((x, y), tuple(start + share * along)) < _NEAR_M:
            return True
    return False
