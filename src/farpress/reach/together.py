"""The reach of one group's fob to every receiver that it works, in one map: the weakest link counts."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from farpress.case.case import Case
from farpress.domain.job import Promise
from farpress.errors import InputError
from farpress.reach.ask import MapRequest, reach_map
from farpress.reach.maps_together import weakest_of
from farpress.reach.radio_link import Radio, radio_of

__all__ = ["ReachTogether", "groups_that_work", "reach_together"]

ANYBODY: Final = MapRequest()
"""The first group, in the hand, by one press."""


@dataclass(frozen=True)
class ReachTogether:
    """One level with all receivers that a group works.

    Attributes:
        receivers, group: who is heard by whom.
        chance: that the receiver that hears worst hears one of the presses asked for, (ny, nx).
        margin_db: least mean level over the needed one, (ny, nx) [dB].
        kept: share of the group's promises that would be kept from there, by their number of presses and
            their chance as computed, without its doubt; None where it has no promise here.
        promises: how many these are.
        stands: whether somebody can stand there, (ny, nx).
        notes: what is uncertain, in words.
    """

    receivers: tuple[str, ...]
    group: str
    chance: NDArray[np.float64]
    margin_db: NDArray[np.float64]
    kept: NDArray[np.float64] | None
    promises: int
    stands: NDArray[np.bool_]
    notes: tuple[str, ...]


def reach_together(
    case: Case,
    premises: str,
    *,
    level: str | None,
    cells: int | tuple[int, int] = 120,
    request: MapRequest = ANYBODY,
    receiver: str | None = None,
    radio: Radio | None = None,
) -> ReachTogether:
    """The map of every receiver that a group works, or of one of them.

    Args:
        case: the job.
        premises, level, cells, radio: as for `reach_map`.
        request: whose fob (the first group that works a receiver here, if None), hold, area, presses.
        receiver: only this one, with the promises that it alone has to hear.

    Raises:
        InputError: as for `reach_map`; where one receiver lacks a value no map is drawn, for it could be
            the one that hears worst.
    """
    radio = radio or radio_of(case)
    house = case.job.premises[premises]
    found = groups_that_work(case, premises, receiver)
    group = request.group or next(iter(found), None)
    if group is None:
        raise InputError(f"No group has a function of {premises} on a button yet: give one a button.")
    heard = [receiver] if receiver else found.get(group, [])
    if not heard:
        raise InputError(f"'{group[:60]}' works no receiver of {premises}; choose another group.")
    promises = _promises(case, premises, group, heard)
    wanted = tuple({int(promise.within_presses) for promise, _ in promises})
    asked = replace(request, group=group, within=wanted)
    maps = {
        name: reach_map(case, premises, name, level=level, cells=cells, request=asked, radio=radio)
        for name in house.receivers
        if name in heard
    }
    weakest = weakest_of(list(maps.values()))
    kept = [
        np.logical_and.reduce(
            [maps[name].within[int(promise.within_presses)] >= promise.at_least_share for name in names]
        )
        for promise, names in promises
    ]
    return ReachTogether(
        tuple(maps),
        group,
        weakest.chance,
        weakest.margin_db,
        np.mean(kept, axis=0) if kept else None,
        len(promises),
        weakest.stands,
        weakest.notes,
    )


def groups_that_work(case: Case, premises: str, receiver: str | None = None) -> dict[str, list[str]]:
    """Group → the receivers of a premises that a button of it works, in the order of the job."""
    house = case.job.premises[premises]
    found: dict[str, list[str]] = {}
    for name, group in case.job.groups.items():
        paths = [
            path
            for function in case.job.functions_of(group)
            for path in (case.job.functions[function].paths if function in case.job.functions else ())
        ]
        works = [
            box
            for box in house.receivers
            if receiver in (None, box) and any(path.startswith(f"{premises}/{box}/") for path in paths)
        ]
        if works:
            found[name] = works
    return found


def _promises(
    case: Case, premises: str, group: str, heard: list[str]
) -> list[tuple[Promise, tuple[str, ...]]]:
    """The group's promises that these receivers have to hear, each with those of them that it needs."""
    found = []
    for promise in case.job.promises:
        needs = {
            output.receiver
            for output in case.outputs_of(promise.function)
            if output.premises == premises and output.receiver in heard
        }
        if promise.to == group and needs:
            found.append((promise, tuple(sorted(needs))))
    return found
