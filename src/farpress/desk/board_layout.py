"""Where the boxes, terminals and cores of a wiring drawing lie: boxes in two columns, cores in lanes between.

A core never runs through a box: it leaves its terminal into the channel, goes up or down in a lane of its
own, and on to its other terminals. Plain geometry, in pixels.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Final

__all__ = ["BoxToLay", "Laid", "LaidBox", "LaidEnd", "LaidRow", "Strand", "laid"]

BOX: Final = 216
"""Width of a box."""
HEAD: Final = 30
"""Height of its name."""
ROW: Final = 22
"""Least height of a terminal."""
PITCH: Final = 17
"""Between two cores at one terminal."""
GAP: Final = 20
"""Between two boxes."""
LANE: Final = 9
"""Between two lanes."""
SHORE: Final = 132
"""Between the boxes and the first lane: what is written at a core stands there."""
EDGE: Final = 8
"""Around everything."""


@dataclass(frozen=True)
class BoxToLay:
    """A box to be laid: its name, its terminals, and whether it stands on the left."""

    thing: str
    terminals: Sequence[str]
    is_left: bool


@dataclass(frozen=True)
class LaidRow:
    """A terminal in its box: name, where its row begins, its height, and the middle of it."""

    terminal: str
    y: float
    height: float

    @property
    def middle(self) -> float:
        """Where its name stands."""
        return self.y + self.height / 2


@dataclass(frozen=True)
class LaidBox:
    """A box in its place."""

    thing: str
    x: float
    y: float
    height: float
    is_left: bool
    rows: tuple[LaidRow, ...]


@dataclass(frozen=True)
class LaidEnd:
    """Where a core leaves a terminal: at the edge of the box."""

    terminal: str
    x: float
    y: float
    is_left: bool


@dataclass(frozen=True)
class Strand:
    """A core in its lane.

    Attributes:
        ends: in the order they were given.
        lane_x: where it goes up and down.
        path: of the whole of it.
    """

    ends: tuple[LaidEnd, ...]
    lane_x: float
    path: str


@dataclass
class Laid:
    """Everything in its place."""

    width: float
    height: float
    boxes: list[LaidBox] = field(default_factory=list)
    strands: list[Strand | None] = field(default_factory=list)


def laid(boxes: Sequence[BoxToLay], cores: Sequence[tuple[str, Sequence[str]]]) -> Laid:
    """Lay everything out.

    Args:
        boxes: in the order they stand from above.
        cores: of each the cable it lies in and its terminals; those of no box are left out, and a core with
            fewer than two is not drawn: its strand is None.
    """
    there = {terminal for box in boxes for terminal in box.terminals}
    ends = [[end for end in row if end in there] for _, row in cores]
    count: dict[str, int] = {}
    for row in ends:
        for end in row if len(row) > 1 else ():
            count[end] = count.get(end, 0) + 1
    left = _column([box for box in boxes if box.is_left], count, EDGE)
    order = _order([box for box in boxes if not box.is_left], left, ends)
    right = _column(order, count, 0.0)
    rows = {row.terminal: row for box in (*left, *right) for row in box.rows}
    sides = {row.terminal: box.is_left for box in (*left, *right) for row in box.rows}
    taken: dict[str, int] = {}
    ys: list[list[float]] = []
    for row in ends:
        ys.append([])
        for end in row if len(row) > 1 else ():
            number = taken[end] = taken.get(end, 0) + 1
            ys[-1].append(rows[end].middle + PITCH * (number - (count[end] + 1) / 2))
    lanes = _lanes([cable for cable, _ in cores], ys)
    many = max((lane + 1 for lane in lanes if lane is not None), default=0)
    begins = EDGE + BOX + SHORE
    right_x = begins + LANE * max(many, 1) + SHORE
    made = Laid(
        right_x + BOX + EDGE,
        max((box.y + box.height for box in (*left, *right)), default=0.0) + EDGE,
        [*left, *(LaidBox(box.thing, right_x, box.y, box.height, False, box.rows) for box in right)],
    )
    for row, own, lane in zip(ends, ys, lanes, strict=True):
        if lane is None:
            made.strands.append(None)
            continue
        placed = tuple(
            LaidEnd(end, EDGE + BOX if sides[end] else right_x, y, sides[end])
            for end, y in zip(row, own, strict=True)
        )
        x = begins + LANE * (lane + 0.5)
        path = f"M{x:g} {min(own):g}V{max(own):g}" + "".join(f"M{end.x:g} {end.y:g}H{x:g}" for end in placed)
        made.strands.append(Strand(placed, x, path))
    return made


def _column(boxes: Sequence[BoxToLay], count: Mapping[str, int], x: float) -> list[LaidBox]:
    made, y = [], float(EDGE)
    for box in boxes:
        rows, down = [], y + HEAD
        for terminal in box.terminals:
            height = float(max(ROW, PITCH * count.get(terminal, 0) + 6))
            rows.append(LaidRow(terminal, down, height))
            down += height
        made.append(LaidBox(box.thing, x, y, down - y + 6, box.is_left, tuple(rows)))
        y = down + 6 + GAP
    return made


def _order(
    boxes: Sequence[BoxToLay], left: Sequence[LaidBox], ends: Sequence[Sequence[str]]
) -> list[BoxToLay]:
    """Boxes on the right beside what they are joined to on the left; those joined to nothing stand last."""
    heights = {row.terminal: row.middle for box in left for row in box.rows}
    found: dict[str, list[float]] = {box.thing: [] for box in boxes}
    owner = {terminal: box.thing for box in boxes for terminal in box.terminals}
    for row in ends:
        for end in row:
            if end in owner:
                found[owner[end]] += [heights[other] for other in row if other in heights]
    middle = {thing: sum(ys) / len(ys) if ys else float("inf") for thing, ys in found.items()}
    return sorted(boxes, key=lambda box: middle[box.thing])


def _lanes(cables: Sequence[str], ys: Sequence[Sequence[float]]) -> list[int | None]:
    """The lane of each core; cores of one cable lie side by side, and no two in one lane meet."""
    lanes: list[int | None] = [None] * len(ys)
    busy: list[list[tuple[float, float]]] = []
    groups: dict[str, list[int]] = {}
    for number, (cable, own) in enumerate(zip(cables, ys, strict=True)):
        if own:
            groups.setdefault(cable, []).append(number)
    for members in groups.values():
        low = min(min(ys[number]) for number in members) - PITCH / 2
        high = max(max(ys[number]) for number in members) + PITCH / 2
        first = 0
        while any(
            low < to and begin < high
            for lane in range(first, min(first + len(members), len(busy)))
            for begin, to in busy[lane]
        ):
            first += 1
        for offset, number in enumerate(members):
            while len(busy) <= first + offset:
                busy.append([])
            busy[first + offset].append((low, high))
            lanes[number] = first + offset
    return lanes
