"""Where the parts of one premises are mounted: walls, receivers, aerials, supplies, panels, devices. Black and white.

Takes plain values and gives SVG text; one unit is a quarter of a millimetre.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, Literal

from farpress.papers.drawings import symbols
from farpress.papers.drawings.svg import Sheet, text_width

__all__ = ["LocationPlan", "Mounted", "label_spots", "location_drawing"]

_SIZE: Final = 11.6
_RIM: Final = 110.0
_TOP: Final = 40.0


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


def location_drawing(plan: LocationPlan, *, room: tuple[float, float] = (1040.0, 540.0)) -> str:
    """The drawing as a whole SVG document.

    Args:
        plan: the premises; at least one thing is mounted.
        room: width and height it may take.
    """
    points = [point for wall, _ in plan.walls for point in wall] + [(one.x_m, one.y_m) for one in plan.mounted]
    x0, x1 = min(x for x, _ in points), max(x for x, _ in points)
    y0, y1 = min(y for _, y in points), max(y for _, y in points)
    scale = min((room[0] - 2 * _RIM) / max(x1 - x0, 1.0), (room[1] - _TOP - 80.0) / max(y1 - y0, 1.0))
    width, height = max((x1 - x0) * scale + 2 * _RIM, 560.0), (y1 - y0) * scale + _TOP + 80.0
    left = (width - (x1 - x0) * scale) / 2

    def at(x: float, y: float) -> tuple[float, float]:
        return left + (x - x0) * scale, _TOP + 16 + (y1 - y) * scale

    sheet = Sheet(width, height, title=f"Location drawing of {plan.name}", describes=_in_words(plan))
    sheet.words(12, 24, plan.name, size=18, bold=True)
    for wall, is_steel in plan.walls:
        sheet.line(*(at(*point) for point in wall), weight=2.6 if is_steel else 1.2)
    spots = [at(one.x_m, one.y_m) for one in plan.mounted]
    for one, (x, y) in zip(plan.mounted, spots, strict=True):
        _mark(sheet, one.kind, x, y)
    for one, (x, y, anchor) in zip(plan.mounted, label_spots([(one.name, spot) for one, spot in zip(plan.mounted, spots, strict=True)], _SIZE, (4.0, width - 4.0)), strict=True):
        sheet.words(x, y, one.name, size=_SIZE, anchor=anchor, bold=one.kind == "receiver", halo=True)
    metres = next((one for one in (1, 2, 5, 10, 20, 50, 100, 200, 500, 1000) if one * scale > 60.0), 2000)
    sheet.line((12, height - 30), (12, height - 24), (12 + metres * scale, height - 24), (12 + metres * scale, height - 30))
    sheet.words(12, height - 8, f"{metres} m; filled square: receiver, triangle: aerial, square: supply or panel, ring: device; thick line: steel", size=_SIZE, slanted=True)
    return sheet.svg()


def label_spots(named: Sequence[tuple[str, tuple[float, float]]], size: float, edges: tuple[float, float]) -> list[tuple[float, float, str]]:
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
        tries = [(x + 9, y + 4, "start", x + 9), (x - 9, y + 4, "end", x - 9 - wide), (x, y - 9, "middle", x - wide / 2), (x, y + size + 7, "middle", x - wide / 2),
                 (x + 9, y - 7, "start", x + 9), (x + 9, y + 15, "start", x + 9), (x - 9, y - 7, "end", x - 9 - wide), (x - 9, y + 15, "end", x - 9 - wide)]
        framed = [(spot, (spot[3], spot[1] - 0.8 * size, spot[3] + wide, spot[1] + 0.25 * size)) for spot in tries]
        others = boxes[:number] + boxes[number + 1 :]
        free = (one for one in framed if edges[0] <= one[1][0] and one[1][2] <= edges[1] and all(one[1][2] < a or one[1][0] > c or one[1][3] < b or one[1][1] > d for a, b, c, d in others))
        inside = (one for one in framed if edges[0] <= one[1][0] and one[1][2] <= edges[1])
        spot, box = next(free, None) or next(inside, framed[0])
        boxes.append(box)
        found.append(spot[:3])
    return found


def _mark(sheet: Sheet, kind: str, x: float, y: float) -> None:
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
    return " ".join(f"{one.kind.capitalize()} {one.name} at {one.x_m:g} m east, {one.y_m:g} m north." for one in plan.mounted)
