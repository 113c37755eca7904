"""Drawings for the papers, from the wiring and reach tasks; every drawing says in words what it shows."""

from __future__ import annotations

import re
from dataclasses import replace
from html import unescape
from typing import Final

from farpress.case.case import Case, OutputAt
from farpress.errors import InputError
from farpress.papers.builders.basis import Basis
from farpress.papers.drawings.location import LocationPlan, Mounted, location_drawing
from farpress.papers.drawings.reach_map import paper_map_svg
from farpress.papers.typesetting.paper import Block, Drawing, Drawings, Text
from farpress.reach.ask import MapRequest, reach_map
from farpress.reach.radio_link import radio_of
from farpress.wiring import drawings as wiring_drawings

__all__ = [
    "block_diagrams",
    "located",
    "location_drawings",
    "output_drawing",
    "reach_maps",
    "terminal_drawings",
]

_SMALL: Final = (460.0, 420.0)
"""Room of a drawing beside others: our choice, three of them side by side on a usual screen."""

_WIDE_MM: Final = (243.0, 138.0)
"""Room for one drawing on the smaller of the sheets set across, its caption left out."""

_UPRIGHT_MM: Final = (174.0, 210.0)
"""Room for one drawing on the smaller of the upright sheets."""

_PAIR_MM: Final = (84.0, 210.0)
"""Room for one of two side by side."""

_NARROW, _BROAD = (322.0, 660.0), (664.0, 330.0)
"""Room for the map itself, in units of the drawing."""

UNIT_MM: Final = 0.25
"""Of the drawings; none is set much larger than it was drawn, so that letters of one paper are of one
size."""

MAP_CELLS: Final = 72
"""Of a map along its longer side; enough for contours on paper, quick enough for a pack. Our choice."""

MOST_MAPS: Final = 12
"""More maps than anybody looks at; our choice, the command for reach draws any."""


def block_diagrams(basis: Basis) -> tuple[Block, ...]:
    """The whole installation as blocks, one drawing for each premises."""
    found = wiring_drawings.block_sheets(basis.case)
    return tuple(
        _drawing(
            svg,
            f"{premises}: supplies, receivers and what they"
            f" work{f' ({number} of {len(sheets)})' if len(sheets) > 1 else ''}",
            _WIDE_MM,
        )
        for premises, sheets in found.items()
        if basis.case.job.premises[premises].receivers
        for number, svg in enumerate(sheets, 1)
    ) or (Text("Nothing to draw yet: no receiver is described."),)


def location_drawings(basis: Basis) -> tuple[Block, ...]:
    """Where receivers, aerials, supplies, panels and devices are mounted, premises by premises."""
    return tuple(
        _drawing(svg, f"{premises}: where everything is mounted, as planned", _WIDE_MM)
        for premises, svg in located(basis.case).items()
    ) or (Text("Nothing is placed on a plan yet."),)


def located(case: Case, *, small: bool = False) -> dict[str, str]:
    """Premises → its location drawing as SVG; those where nothing is placed are left out.

    Args:
        case: the job.
        small: to be looked at beside others.
    """
    plans = [plan for premises in case.job.premises if (plan := _location(case, premises)).mounted]
    if small:
        return {
            plan.name: location_drawing(plan, room=_SMALL, least_wide=_SMALL[0], explains=False)
            for plan in plans
        }
    return {plan.name: location_drawing(plan) for plan in plans}


def _location(case: Case, premises: str) -> LocationPlan:
    house = case.job.premises[premises]
    walls = [
        (
            tuple((point[0], point[1]) for point in wall.along),
            bool((build := case.equipment.builds.get(wall.build)) is not None and build.is_steel),
        )
        for wall in house.walls
    ]
    walls += [
        ((*((point[0], point[1]) for point in box.outline), (box.outline[0][0], box.outline[0][1])), True)
        for box in house.steel
    ]
    mounted = [
        Mounted("receiver", f"{name} ({box.level})" if box.level else name, box.at[0], box.at[1])
        for name, box in house.receivers.items()
    ]
    mounted += [
        Mounted("aerial", f"aerial {name}", box.antenna.at[0], box.antenna.at[1])
        for name, box in house.receivers.items()
        if box.antenna is not None and box.antenna.at[:2] != box.at[:2]
    ]
    for kind, things in (("supply", house.supplies), ("panel", house.panels), ("device", house.devices)):
        mounted += [
            Mounted(kind, name, device.at[0], device.at[1])  # type: ignore[arg-type]
            for name, device in things.items()
            if device.at is not None
        ]
    return LocationPlan(premises, tuple(walls), tuple(mounted))


def terminal_drawings(basis: Basis) -> tuple[Block, ...]:
    """The terminals of each receiver."""
    found = wiring_drawings.terminal_drawings(basis.case, basis.barred)
    return tuple(_drawing(svg, f"Terminals of {path}", _WIDE_MM) for path, svg in found.items()) or (
        Text("Nothing to draw yet: no receiver is described."),
    )


def output_drawing(basis: Basis, output: OutputAt) -> Drawing:
    """The terminals of one output alone, hatched where it is barred."""
    svg = wiring_drawings.output_drawing(basis.case, output, basis.barred.get(output.path, ""))
    return replace(_drawing(svg, "", _UPRIGHT_MM), width_share=1.0)


def reach_maps(basis: Basis) -> tuple[Block, ...]:
    """A map for each receiver and each level from which it is promised, narrow ones side by side; what cannot
    be drawn says why.
    """
    case, wanted = basis.case, _levels(basis)
    blocks, narrow = list[Block](), list[Drawing]()
    for premises, receiver, level in wanted[:MOST_MAPS]:
        where = f"{premises}/{receiver}, {level or 'open ground'}"
        try:
            found = reach_map(
                case,
                premises,
                receiver,
                level=level or None,
                cells=MAP_CELLS,
                request=MapRequest(compile_it=True),
                radio=radio_of(case),
            )
        except InputError as error:
            blocks.append(Text(f"{where}: {error}"))
            continue
        is_narrow = len(found.y_m) > 1.25 * len(found.x_m)
        caption = (
            f"{where}: fob of {found.group}"
            f" {found.held}{f', corrected {found.offset_db:+.0f} dB by readings' if found.offset_db else ''}"
        )
        drawn = _drawing(
            paper_map_svg(found, room=_NARROW if is_narrow else _BROAD),
            caption,
            _PAIR_MM if is_narrow else _UPRIGHT_MM,
        )
        narrow.append(drawn) if is_narrow else blocks.append(drawn)
    blocks += [Drawings(tuple(narrow[start : start + 2])) for start in range(0, len(narrow), 2)]
    if len(wanted) > MOST_MAPS:
        blocks.append(
            Text(f"{len(wanted) - MOST_MAPS} further maps are left out; the command for reach draws them.")
        )
    return tuple(blocks) or (Text("No map: nothing is promised from a place that is drawn."),)


_ON_THE_GROUND_M: Final = 1.0


def _levels(basis: Basis) -> list[tuple[str, str, str]]:
    found: dict[tuple[str, str, str], None] = {}
    for promise in basis.case.job.promises:
        for output in basis.case.outputs_of(promise.function):
            key = basis.case.place(promise.from_, output.premises)
            if key is not None and key[0] == output.premises:
                found.setdefault(
                    (
                        output.premises,
                        output.receiver,
                        basis.case.job.premises[key[0]].places[key[1]].level or "",
                    )
                )
    for premises, receiver, level in tuple(found):
        house = basis.case.job.premises[premises]
        if level and abs(house.levels[level].floor_m) < _ON_THE_GROUND_M:
            found.pop(
                (premises, receiver, ""), None
            )  # the map of this level shows the ground round the house as well
    return sorted(found, key=lambda row: (*row[:2], row[2] != "", row[2]))


def _drawing(svg: str, caption: str, room_mm: tuple[float, float]) -> Drawing:
    box = re.search(r'viewBox="[-\d.]+ [-\d.]+ ([\d.]+) ([\d.]+)"', svg)
    width, height = (float(box[1]), float(box[2])) if box is not None else (1.0, 1.0)
    words = re.search(r"<desc[^>]*>(.*?)</desc>", svg, re.DOTALL)
    share = (
        min(1.0, room_mm[1] / (room_mm[0] * height / width), 1.05 * width * UNIT_MM / room_mm[0])
        if width and height
        else 1.0
    )
    alt = unescape(words[1]).strip() if words is not None else ""
    return Drawing(svg, alt or caption, caption, share)
