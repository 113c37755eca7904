"""Drawings for the papers, from the wiring and reach tasks; every drawing says in words what it shows."""

from __future__ import annotations

import re
from html import unescape
from typing import Final

from farpress.errors import InputError
from farpress.papers.paper import Block, Drawing, Text
from farpress.papers.reach_map import map_svg
from farpress.tasks import wiring_drawings
from farpress.tasks.paper_data.basis import Basis
from farpress.tasks.radio_link import Radio
from farpress.tasks.reach import MapRequest, reach_map

__all__ = ["block_diagrams", "reach_maps", "terminal_drawings"]

_WIDE_MM: Final = (243.0, 138.0)
"""Room for one drawing on the smaller of the sheets set across, its caption left out."""

_UPRIGHT_MM: Final = (174.0, 210.0)
"""Room for one drawing on the smaller of the upright sheets."""

_HALF_MM: Final = (174.0, 102.0)
"""Room for one of two."""

MAP_CELLS: Final = 72
"""Of a map along its longer side; enough for contours on paper, quick enough for a pack. Our choice."""

MOST_MAPS: Final = 12
"""More maps than anybody looks at; our choice, the command for reach draws any."""


def block_diagrams(basis: Basis) -> tuple[Block, ...]:
    """The whole installation as blocks, one drawing for each premises."""
    found = wiring_drawings.block_diagrams(basis.case)
    return tuple(_drawing(svg, f"{premises}: supplies, receivers and what they work", _UPRIGHT_MM) for premises, svg in found.items()) or (Text("Nothing to draw yet: no receiver is described."),)


def terminal_drawings(basis: Basis) -> tuple[Block, ...]:
    """The terminals of each receiver."""
    found = wiring_drawings.terminal_drawings(basis.case)
    return tuple(_drawing(svg, f"Terminals of {path}", _WIDE_MM) for path, svg in found.items()) or (Text("Nothing to draw yet: no receiver is described."),)


def reach_maps(basis: Basis) -> tuple[Block, ...]:
    """A map for each receiver and each level from which it is promised; what cannot be drawn says why."""
    radio, blocks = Radio.of(basis.case), list[Block]()
    wanted = _levels(basis)
    for premises, receiver, level in wanted[:MOST_MAPS]:
        where = f"{premises}/{receiver}, {level or 'open ground'}"
        try:
            found = reach_map(basis.case, premises, receiver, level=level or None, cells=MAP_CELLS, request=MapRequest(compile_it=True), radio=radio)
        except InputError as error:
            blocks.append(Text(f"{where}: {error}"))
            continue
        blocks.append(_drawing(map_svg(found), f"Chance that one press is heard at {where}, fob of {found.group} {found.held}", _UPRIGHT_MM if len(found.y_m) > 1.2 * len(found.x_m) else _HALF_MM))
    if len(wanted) > MOST_MAPS:
        blocks.append(Text(f"{len(wanted) - MOST_MAPS} further maps are left out; the command for reach draws them."))
    return tuple(blocks) or (Text("No map: nothing is promised from a place that is drawn."),)


def _levels(basis: Basis) -> list[tuple[str, str, str]]:
    found: dict[tuple[str, str, str], None] = {}
    for promise in basis.case.job.promises:
        for at in basis.case.outputs_of(promise.function):
            key = basis.case.place(promise.from_, at.premises)
            if key is not None and key[0] == at.premises:
                found.setdefault((at.premises, at.receiver, basis.case.job.premises[key[0]].places[key[1]].level or ""))
    return sorted(found, key=lambda one: (*one[:2], one[2] != "", one[2]))


def _drawing(svg: str, caption: str, room_mm: tuple[float, float]) -> Drawing:
    box = re.search(r'viewBox="[-\d.]+ [-\d.]+ ([\d.]+) ([\d.]+)"', svg)
    width, height = (float(box[1]), float(box[2])) if box is not None else (1.0, 1.0)
    words = re.search(r"<desc[^>]*>(.*?)</desc>", svg, re.DOTALL)
    share = min(1.0, room_mm[1] / (room_mm[0] * height / width)) if width and height else 1.0
    alt = unescape(words[1]).strip() if words is not None else ""
    return Drawing(svg, alt or caption, caption, share)
