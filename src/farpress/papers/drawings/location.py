"""Where the parts of one premises are mounted: walls, receivers, aerials, supplies, panels, devices. Black
and white.

Takes plain values and gives SVG text; one unit is a quarter of a millimetre.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, Literal

from farpress.papers.drawings import symbols
from farpress.papers.drawings.svg import DrawingSheet, text_width

__all__ = ["LocationPlan", "Mounted", "callouts", "label_spots", "location_drawing"]

_SIZE: Final = 11.6
_TOP: Final = 40.0
_FOOT: Final = 76.0
_STEP: Final = 19.0
_LONGEST: Final = 230.0


@dataclass(frozen=True)
class Mounted:
    """Something mounted at a point of the plan [m]; its name says the level where that matters."""

    kind: Literal["receiver", "aerial", "supply", "panel", "device"]
    name: str
    x_m: float
    y_m: float


@dataclass(frozen=True)
class LocationPlan:
    """One premises: its name, walls as (points [m], is steel), and what is mounted."""

    name: str
    walls: tuple[tuple[tuple[tuple[float, float], ...], bool], ...]
    mounted: tuple[Mounted, ...]


def location_drawing(
    plan: LocationPlan,
    *,
    room: tuple[float, float] = (1020.0, 560.0),
    least_wide: float = 640.0,
    explains: bool = True,
) -> str:
    """The drawing as a whole SVG document: names stand beside the plan, each with a line to its mark, so that
    none hides another.

    Args:
        plan: the premises; at least one thing is mounted.
        room: width and height it may take; more names than go beside it make it higher.
        least_wide: it is never narrower.
        explains: what the marks mean stands below.
    """
    points = [point for wall, _ in plan.walls for point in wall] + [
        (mounted.x_m, mounted.y_m) for mounted in plan.mounted
    ]
    x0, x1 = min(x for x, _ in points), max(x for x, _ in points)
    y0, y1 = min(y for _, y in points), max(y for _, y in points)
    by_side = _sides(plan.mounted)
    columns = [
        max((min(text_width(mounted.name, _SIZE), _LONGEST) for mounted in side), default=0.0) + 60.0
        for side in by_side
    ]
    tall = max(room[1] - _TOP - _FOOT, _STEP * max(map(len, by_side)))
    scale = min((room[0] - sum(columns)) / max(x1 - x0, 1.0), tall / max(y1 - y0, 1.0))
    deep = max((y1 - y0) * scale, _STEP * max(map(len, by_side)))
    width, height = max((x1 - x0) * scale + sum(columns), least_wide), deep + _TOP + _FOOT
    left = columns[0] + (width - sum(columns) - (x1 - x0) * scale) / 2
    base = _TOP + 8 + (deep + (y1 - y0) * scale) / 2

    def on_sheet(x: float, y: float) -> tuple[float, float]:
        return left + (x - x0) * scale, base - (y - y0) * scale

    sheet = DrawingSheet(width, height, title=f"Location drawing of {plan.name}", describes=_in_words(plan))
    sheet.words(12, 24, plan.name, size=18, bold=True)
    for wall, is_steel in plan.walls:
        sheet.line(*(on_sheet(*point) for point in wall), weight=2.8 if is_steel else 1.2)
    for side, (edge, inward) in zip(
        by_side, ((columns[0] - 30.0, 1.0), (width - columns[1] + 30.0, -1.0)), strict=True
    ):
        for mounted, y in zip(
            side,
            callouts(
                [on_sheet(mounted.x_m, mounted.y_m)[1] for mounted in side],
                _STEP,
                (_TOP + 8, _TOP + 8 + deep),
            ),
            strict=True,
        ):
            sheet.line(
                (edge + 8 * inward, y),
                (edge + 22 * inward, y),
                on_sheet(mounted.x_m, mounted.y_m),
                weight=0.6,
            )
            _mark(sheet, mounted.kind, edge, y)
            sheet.words(
                edge - 11 * inward,
                y + 4,
                mounted.name,
                size=_SIZE,
                anchor="end" if inward > 0 else "start",
                bold=mounted.kind == "receiver",
                room=_LONGEST,
            )
    _marks(sheet, [(mounted.kind, on_sheet(mounted.x_m, mounted.y_m)) for mounted in plan.mounted])
    metres = next((step for step in (1, 2, 5, 10, 20, 50, 100, 200, 500, 1000) if step * scale > 60.0), 2000)
    sheet.line(
        (12, height - 44),
        (12, height - 38),
        (12 + metres * scale, height - 38),
        (12 + metres * scale, height - 44),
    )
    marks = (
        " Filled square: receiver; triangle: aerial; square: panel, with a dot: supply; ring: device; dot: in"
        " the same spot as another; thick line: steel."
    )
    told = f"{metres} m.{marks if explains else ''}"
    sheet.lines(12, height - 22, told, size=_SIZE, room=width - 24)
    return sheet.svg()


def callouts(wanted: Sequence[float], step: float, ends: tuple[float, float]) -> list[float]:
    """Heights for names in a column, in the order given, each as near to where it is wanted as its neighbours
    allow.

    Args:
        wanted: heights, growing.
        step: least distance of two.
        ends: highest and lowest place; it must have room for all of them.
    """
    heaps: list[list[float]] = []  # sum of wanted heights of the first name of a heap, names in it
    for height in wanted:
        heaps.append([height, 1.0])
        while (
            len(heaps) > 1 and heaps[-2][0] / heaps[-2][1] + step * heaps[-2][1] > heaps[-1][0] / heaps[-1][1]
        ):
            last, count = heaps.pop()
            heaps[-1] = [heaps[-1][0] + last - count * step * heaps[-1][1], heaps[-1][1] + count]
    places = [total / count + step * number for total, count in heaps for number in range(int(count))]
    low = ends[0] + step / 2
    for number, place in enumerate(places):
        places[number] = low = max(place, low)
        low += step
    high = ends[1] - step / 2
    for number in range(len(places) - 1, -1, -1):
        places[number] = high = min(places[number], high)
        high -= step
    return places


def label_spots(
    named: Sequence[tuple[str, tuple[float, float]]], size: float, edges: tuple[float, float]
) -> list[tuple[float, float, str]]:
    """Where each name stands: x, baseline, anchor; on the first side of its mark where it lies on no other.

    Args:
        named: name and place of its mark.
        size: of the letters.
        edges: left and right end of the drawing.
    """
    boxes = [(x - 6.0, y - 6.0, x + 6.0, y + 6.0) for _, (x, y) in named]
    found = []
    for number, (name, (x, y)) in enumerate(named):
        wide = text_width(name, size)
        tries = [
            (x + 9, y + 4, "start", x + 9),
            (x - 9, y + 4, "end", x - 9 - wide),
            (x, y - 9, "middle", x - wide / 2),
            (x, y + size + 7, "middle", x - wide / 2),
            (x + 9, y - 7, "start", x + 9),
            (x + 9, y + 15, "start", x + 9),
            (x - 9, y - 7, "end", x - 9 - wide),
            (x - 9, y + 15, "end", x - 9 - wide),
        ]
        framed = [
            (spot, (spot[3], spot[1] - 0.8 * size, spot[3] + wide, spot[1] + 0.25 * size)) for spot in tries
        ]
        others = boxes[:number] + boxes[number + 1 :]
        free = (
            label
            for label in framed
            if edges[0] <= label[1][0]
            and label[1][2] <= edges[1]
            and all(
                label[1][2] < a or label[1][0] > c or label[1][3] < b or label[1][1] > d
                for a, b, c, d in others
            )
        )
        inside = (label for label in framed if edges[0] <= label[1][0] and label[1][2] <= edges[1])
        spot, box = next(free, None) or next(inside, framed[0])
        boxes.append(box)
        found.append(spot[:3])
    return found


def _sides(mounted: Sequence[Mounted]) -> tuple[list[Mounted], list[Mounted]]:
    """Half of them to the left, half to the right, each from north to south."""
    across = sorted(mounted, key=lambda device: (device.x_m, device.y_m, device.name))
    half = (len(across) + 1) // 2
    left, right = (
        sorted(part, key=lambda device: (-device.y_m, device.x_m, device.name))
        for part in (across[:half], across[half:])
    )
    return left, right


def _marks(sheet: DrawingSheet, spots: Sequence[tuple[str, tuple[float, float]]]) -> None:
    """Marks where they belong; what would hide another is a dot with a white rim."""
    drawn: list[tuple[float, float]] = []
    for kind, (x, y) in spots:
        if all(abs(x - a) > 9 or abs(y - b) > 9 for a, b in drawn):
            _mark(sheet, kind, x, y)
            drawn.append((x, y))
    for _, (x, y) in spots:
        if (x, y) not in drawn:
            sheet.ring(x, y, 3.4, weight=0.1)
            sheet.ring(x, y, 2.2, filled=True)


def _mark(sheet: DrawingSheet, kind: str, x: float, y: float) -> None:
    if kind == "receiver":
        sheet.box(x - 5, y - 5, 10, 10, fill="#000")
    elif kind == "aerial":
        sheet.shape((x, y + 5), (x - 5, y - 5), (x + 5, y - 5), filled=False)
    elif kind == "device":
        sheet.ring(x, y, 4.5)
    else:
        sheet.box(x - 5, y - 5, 10, 10)
        if kind == "supply":
            symbols.node(sheet, x, y)


def _in_words(plan: LocationPlan) -> str:
    return " ".join(
        f"{mounted.kind.capitalize()} {mounted.name} at {mounted.x_m:g} m east, {mounted.y_m:g} m north."
        for mounted in plan.mounted
    )
