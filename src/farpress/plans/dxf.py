"""Lines of a floor plan out of a DXF drawing, layer by layer, in metres.

Blocks are followed, arcs become short pieces. What a layer's lines are built of is the
user's to say; a wall drawn by both its faces comes as two lines, and one has to go.
"""

from __future__ import annotations

import io
import itertools
import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any, Final

from farpress.errors import InputError

__all__ = ["MOST_LINES", "DxfDrawing", "chains_of", "read_dxf"]

MOST_LINES: Final = 60_000
"""Our choice: a large floor has some thousands."""

MOST_DEPTH: Final = 8
"""Blocks within blocks that are followed: our choice."""

UNITS_M: Final[dict[int, tuple[str, float]]] = {
    1: ("inches", 0.0254),
    2: ("feet", 0.3048),
    4: ("millimetres", 0.001),
    5: ("centimetres", 0.01),
    6: ("metres", 1.0),
    14: ("decimetres", 0.1),
}
"""Code of the drawing's unit in its header → name and metres (DXF reference, header variable INSUNITS)."""

Line = tuple[float, float, float, float]


@dataclass(frozen=True)
class DxfDrawing:
    """Lines of a drawing.

    Attributes:
        layers: name → lines x1, y1, x2, y2 in drawing units.
        unit: name of the unit in its header; empty where it says none.
        unit_m: one drawing unit [m]; None where the header says none, and somebody has to.
        width, height: of everything, in drawing units.
        left, low: lower left corner of everything, in drawing units.
    """

    layers: dict[str, tuple[Line, ...]]
    unit: str
    unit_m: float | None
    left: float
    low: float
    width: float
    height: float


def read_dxf(data: bytes) -> DxfDrawing:
    """Read a drawing.

    Raises:
        InputError: it is no DXF, it is damaged, it has no lines, or far too many.
    """
    from ezdxf import recover
    from ezdxf.lldxf.const import DXFError

    try:
        document, _ = recover.read(io.BytesIO(data))
    except (
        DXFError,
        OSError,
        ValueError,
        KeyError,
        IndexError,
        TypeError,
        AttributeError,
        UnicodeError,
        RecursionError,
    ) as error:
        raise InputError(
            f"This is no drawing that can be read: {error}. Save it as DXF (ASCII); DWG is not read here."
        ) from error
    layers: dict[str, list[Line]] = {}
    count = 0
    for layer, line in _lines(document.modelspace(), "0", 0):
        if not all(math.isfinite(number) and abs(number) < 1e9 for number in line):
            continue
        count += 1
        if count > MOST_LINES:
            raise InputError(
                f"The drawing has more than {MOST_LINES} lines. Leave only the layers of the walls in it and"
                " save it again."
            )
        layers.setdefault(layer, []).append(line)
    if not layers:
        raise InputError("There is no line, polyline or arc in the drawing's model space.")
    everything = [line for lines in layers.values() for line in lines]
    xs, ys = [x for line in everything for x in line[::2]], [y for line in everything for y in line[1::2]]
    unit, unit_m = UNITS_M.get(int(document.header.get("$INSUNITS", 0)), ("", None))
    return DxfDrawing(
        {name: tuple(lines) for name, lines in sorted(layers.items())},
        unit,
        unit_m,
        min(xs),
        min(ys),
        max(xs) - min(xs),
        max(ys) - min(ys),
    )


def _lines(entities: Iterable[Any], inherited: str, depth: int) -> Iterator[tuple[str, Line]]:
    """Every straight piece with its layer; lines of a block on layer 0 lie on the layer of its insert."""
    for entity in entities:
        kind = entity.dxftype()
        layer = entity.dxf.get("layer", "0")
        layer = inherited if layer == "0" else layer
        if kind == "LINE":
            yield layer, (entity.dxf.start.x, entity.dxf.start.y, entity.dxf.end.x, entity.dxf.end.y)
        elif kind in ("LWPOLYLINE", "POLYLINE", "ARC", "CIRCLE", "ELLIPSE", "SPLINE"):
            yield from ((layer, line) for line in _pieces(entity))
        elif kind == "INSERT" and depth < MOST_DEPTH:
            try:
                inside = list(entity.virtual_entities())
            except (ValueError, TypeError, AttributeError, ZeroDivisionError):
                continue
            yield from _lines(inside, layer, depth + 1)


def _pieces(entity: Any) -> Iterator[Line]:
    from ezdxf import path

    try:
        way = path.make_path(entity)
        points = list(way.flattening(distance=max(_size(way) / 200, 1e-6), segments=4))
    except (TypeError, ValueError, AttributeError, ZeroDivisionError):
        return
    for first, second in itertools.pairwise(points):
        yield (first.x, first.y, second.x, second.y)


def _size(way: Any) -> float:
    from ezdxf import path

    box = path.bbox([way], fast=True)
    return float(max(box.size.x, box.size.y)) if box.has_data else 1.0


def chains_of(
    lines: Iterable[Line], *, unit_m: float, left: float, low: float, shortest_m: float = 0.05
) -> list[list[tuple[float, float]]]:
    """Lines in metres, those that meet end to end joined into one, each rounded to the centimetre.

    Args:
        lines: in drawing units.
        unit_m: one drawing unit [m].
        left, low: the corner that becomes 0, 0, in drawing units.
        shortest_m: lines shorter than this are left out [m].

    Example:
        >>> chains_of([(0, 0, 4, 0), (4, 0, 4, 3)], unit_m=1.0, left=0, low=0)
        [[(0.0, 0.0), (4.0, 0.0), (4.0, 3.0)]]
    """
    pieces: list[tuple[tuple[float, float], tuple[float, float]]] = []
    seen: set[frozenset[tuple[float, float]]] = set()
    for x1, y1, x2, y2 in lines:
        first = (round((x1 - left) * unit_m, 2), round((y1 - low) * unit_m, 2))
        second = (round((x2 - left) * unit_m, 2), round((y2 - low) * unit_m, 2))
        ends = frozenset((first, second))
        if math.dist(first, second) < shortest_m or ends in seen:
            continue
        seen.add(ends)
        pieces.append((first, second))
    lines_at: dict[tuple[float, float], list[int]] = {}
    for index, piece in enumerate(pieces):
        for end in piece:
            lines_at.setdefault(end, []).append(index)
    left_over = set(range(len(pieces)))
    chains: list[list[tuple[float, float]]] = []
    for index in range(len(pieces)):
        if index not in left_over:
            continue
        left_over.discard(index)
        chain = list(pieces[index])
        for backwards in (False, True):
            while True:
                end = chain[0] if backwards else chain[-1]
                following = [line for line in lines_at[end] if line in left_over]
                if len(lines_at[end]) != 2 or not following:
                    break
                left_over.discard(following[0])
                first, second = pieces[following[0]]
                other = second if first == end else first
                chain.insert(0, other) if backwards else chain.append(other)
        chains.append(_straightened(chain))
    return chains


def _straightened(chain: list[tuple[float, float]]) -> list[tuple[float, float]]:
    """Without points in the middle of a straight piece."""
    kept = [chain[0]]
    for before, point, after in zip(chain, chain[1:], chain[2:]):
        turn = (point[0] - before[0]) * (after[1] - point[1]) - (point[1] - before[1]) * (after[0] - point[0])
        if abs(turn) > 1e-3:
            kept.append(point)
    return [*kept, chain[-1]]
