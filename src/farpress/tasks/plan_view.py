"""What the plan shows of the radio: reach over an area, the budget at a point, every place of every promise.

One aerial may be moved for the look, without a change of the job. It judges nothing.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from farpress.core.reach.direct import PathEnd
from farpress.domain.job import Promise
from farpress.domain.premises import Place, Premises
from farpress.errors import InputError
from farpress.tasks.case import Case, promise_id
from farpress.tasks.radio_link import Radio, RadioLink
from farpress.tasks.radio_receiver import AerialAt
from farpress.tasks.radio_scene import HAND_M, ground_height_m

__all__ = ["Area", "PlaceShare", "PlanView", "ReachGrid"]

MOST_CELLS: Final = 40_000
"""Our choice: 200 by 200."""


@dataclass(frozen=True)
class Area:
    """A rectangle of the plan, cut into cells.

    Attributes:
        left_m, low_m, right_m, high_m: its edges on the plan [m].
        columns, rows: number of cells.
    """

    left_m: float
    low_m: float
    right_m: float
    high_m: float
    columns: int
    rows: int

    def checked(self) -> Area:
        """This area.

        Raises:
            InputError: it is empty, endless, or has too many cells.
        """
        edges = (self.left_m, self.low_m, self.right_m, self.high_m)
        if not all(math.isfinite(edge) and abs(edge) <= 20_000 for edge in edges) or self.right_m <= self.left_m or self.high_m <= self.low_m:
            raise InputError("The area needs a left edge below its right one and a lower edge below its upper one, in metres on the plan.")
        if not (self.columns >= 1 and self.rows >= 1 and self.columns * self.rows <= MOST_CELLS):
            raise InputError(f"A map has at least one cell and at most {MOST_CELLS}.")
        return self


@dataclass(frozen=True)
class ReachGrid:
    """Share of presses heard, cell by cell.

    Attributes:
        area: what it covers.
        shares: (rows, columns) from the lower left, in the middle of each cell; NaN where it cannot be said.
        gaps: what has to be known before it can be said.
        group: whose fob.
        presses: within how many.
    """

    area: Area
    shares: NDArray[np.float64]
    gaps: tuple[str, ...]
    group: str
    presses: int


@dataclass(frozen=True)
class PlaceShare:
    """One promise at its place: how sure it is, and how sure it shall be."""

    promise: str
    place: str
    share: float | None
    doubt: float | None
    at_least: float
    gaps: tuple[str, ...] = ()


class PlanView:
    """The radio of one state of a job; what was computed once is kept."""

    def __init__(self, case: Case) -> None:
        """Look at a case."""
        self.case = case
        self._radio = Radio(case)

    def grid(
        self, *, premises: str, receiver: str, area: Area, level: str | None = None, aerial_at: tuple[float, ...] | None = None, group: str | None = None,
        presses: int = 2, cancelled: Callable[[], bool] | None = None,
    ) -> ReachGrid:
        """Reach over an area.

        Args:
            premises, receiver: who listens.
            area: where; cells count from the lower left.
            level: storey that the fob is on where that storey is; elsewhere it is out of doors.
            aerial_at: where its aerial is to be thought of; None for where it is.
            group: whose fob; None for the first group that works this receiver.
            presses: within how many presses.
            cancelled: asked between rows; true stops the work with what is there.

        Raises:
            InputError: no such receiver, or nobody has a fob for it.
        """
        area = area.checked()
        house, radio, aerial = self._moved(premises, receiver, aerial_at)
        whose = group or self.group_of(premises, receiver)
        if whose is None:
            raise InputError(f"No group has a fob that works {receiver}. Give a button of a group one of its functions first.")
        xs = area.left_m + (np.arange(area.columns) + 0.5) * (area.right_m - area.left_m) / area.columns
        ys = area.low_m + (np.arange(area.rows) + 0.5) * (area.high_m - area.low_m) / area.rows
        shares = np.full((area.rows, area.columns), np.nan)
        gaps: tuple[str, ...] = ()
        for row, y in enumerate(ys):
            if cancelled is not None and cancelled():
                break
            for column, x in enumerate(xs):
                link = self._link(radio, house, premises, receiver, whose, float(x), float(y), level, aerial)
                share = link.share(presses)
                if share is not None:
                    shares[row, column] = share
                elif not gaps:
                    gaps = link.gaps
        return ReachGrid(area, shares, gaps, whose, presses)

    def budget(
        self, *, premises: str, receiver: str, x_m: float, y_m: float, level: str | None = None, aerial_at: tuple[float, ...] | None = None,
        group: str | None = None,
    ) -> RadioLink:
        """The budget from a point of the plan, line by line.

        Raises:
            InputError: no such receiver, or nobody has a fob for it.
        """
        house, radio, aerial = self._moved(premises, receiver, aerial_at)
        whose = group or self.group_of(premises, receiver)
        if whose is None:
            raise InputError(f"No group has a fob that works {receiver}. Give a button of a group one of its functions first.")
        return self._link(radio, house, premises, receiver, whose, x_m, y_m, level, aerial)

    def places(self, *, premises: str, receiver: str, aerial_at: tuple[float, ...] | None = None) -> tuple[PlaceShare, ...]:
        """Every promise that this receiver has to hear, at its place."""
        house, radio, aerial = self._moved(premises, receiver, aerial_at)
        found = []
        for promise in self.case.job.promises:
            place = self._place_of(promise, premises, receiver)
            if place is None:
                continue
            link = radio.link(group=promise.to, premises=premises, receiver=receiver, place=house.places[place], place_path=f"{premises}/{place}", aerial=aerial)
            presses = round(promise.within_presses)
            found.append(PlaceShare(promise_id(promise), place, link.share(presses), link.doubt(presses), promise.at_least_share, link.gaps))
        return tuple(found)

    def group_of(self, premises: str, receiver: str) -> str | None:
        """The first group that works a receiver."""
        for name, group in self.case.job.groups.items():
            for function in self.case.job.functions_of(group):
                listed = self.case.job.functions.get(function)
                if listed is not None and any(path.startswith(f"{premises}/{receiver}/") for path in listed.paths):
                    return name
        return next(iter(self.case.job.groups), None)

    def _place_of(self, promise: Promise, premises: str, receiver: str) -> str | None:
        for one in self.case.outputs_of(promise.function):
            if one.premises == premises and one.receiver == receiver:
                at = self.case.place(promise.from_, premises)
                return at[1] if at is not None and at[0] == premises else None
        return None

    def _moved(self, premises: str, receiver: str, aerial_at: tuple[float, ...] | None) -> tuple[Premises, Radio, AerialAt | None]:
        """The premises, the radio, and the aerial to listen with where it is thought elsewhere."""
        house = self.case.job.premises.get(premises)
        box = house.receivers.get(receiver) if house is not None else None
        if house is None or box is None:
            raise InputError(f"There is no receiver {receiver} in {premises}.")
        if aerial_at is None:
            return house, self._radio, None
        if len(aerial_at) not in (2, 3) or not all(math.isfinite(one) and abs(one) <= 10_000 for one in aerial_at):
            raise InputError("An aerial stands at x, y and height, in metres on the plan.")
        if box.antenna is not None:
            at = aerial_at if len(aerial_at) == 3 else (*aerial_at, *box.antenna.at[2:])
            return house, self._radio, self._radio.aerial_at(premises, receiver, box.antenna.model_copy(update={"at": at}), is_present=True)
        at = aerial_at if len(aerial_at) == 3 else (*aerial_at, *box.at[2:])
        moved = house.model_copy(update={"receivers": {**house.receivers, receiver: box.model_copy(update={"at": at})}})
        job = self.case.job.model_copy(update={"premises": {**self.case.job.premises, premises: moved}})
        return moved, Radio(Case(job, self.case.equipment, self.case.fingerprint, self.case.folder)), None

    def _link(
        self, radio: Radio, house: Premises, premises: str, receiver: str, group: str, x: float, y: float, level: str | None, aerial: AerialAt | None
    ) -> RadioLink:
        inside = _covers(house, level, x, y) if level is not None else False
        floor = house.levels[level].floor_m if inside and level is not None else ground_height_m(house, x, y)
        end = PathEnd((x, y, floor + HAND_M["in hand"]), HAND_M["in hand"], not inside)
        return radio.link(group=group, premises=premises, receiver=receiver, place=Place(at=(x, y)), place_path="", fob_end=end, aerial=aerial)


def _covers(house: Premises, level: str, x: float, y: float) -> bool:
    """Whether a storey lies over a point: within its outline, or the rectangle round its walls."""
    storey = house.levels.get(level)
    if storey is None:
        return False
    outline = [point[:2] for point in storey.outline or ()]
    if len(outline) < 3:
        points = [point for wall in house.walls if wall.level == level for point in wall.along]
        if not points:
            return False
        left, right = min(point[0] for point in points), max(point[0] for point in points)
        low, high = min(point[1] for point in points), max(point[1] for point in points)
        return left <= x <= right and low <= y <= high
    inside = False
    for (x1, y1), (x2, y2) in zip(outline, outline[1:] + outline[:1]):
        if (y1 > y) != (y2 > y) and x < x1 + (y - y1) * (x2 - x1) / (y2 - y1):
            inside = not inside
    return inside
