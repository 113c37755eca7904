"""A map of reach as a drawing: SVG, and PNG set from it.

The colours are our own: one step of lightness for each step of chance, from deep blue to pale
yellow, so that they read the same in grey and to colour-blind eyes. Lines of equal chance carry
words, walls and places lie on top.
"""

from __future__ import annotations

import base64
import functools
import math
import struct
import zlib
from typing import Final, NamedTuple
from xml.sax.saxutils import escape

import numpy as np
from numpy.typing import NDArray

from farpress.core.reach.field import CONTOURS, ReachMap, contour_lines
from farpress.errors import PaperError
from farpress.papers.drawings.location import label_spots
from farpress.papers.drawings.svg import text_width
from farpress.papers.typesetting.faces import fonts, printable

__all__ = ["Sheet", "map_png", "map_svg", "paper_map_svg", "png_bytes", "reach_colours", "sheet_of"]

_MARKS: Final = ((0.0, "never"), (0.25, ""), (0.5, "5 of 10"), (0.75, ""), (0.9, "9 of 10"), (1.0, ""))
_WIDTH: Final = 900.0
_RIM: Final = 16.0
_TOP: Final = 52.0
_NARROWEST: Final = 560.0
_ROOM: Final = (_WIDTH, 760.0)
_FINER: Final = 4
_DASHES: Final = {0.5: "1 3", 0.9: "5 3"}
_FAMILY: Final = "'Source Sans Pro', 'Source Sans 3', sans-serif"


def map_svg(found: ReachMap) -> str:
    """The map as a drawing of its own, with title and warning; the same map gives the same text."""
    return _map_svg(found, _ROOM, is_bare=False)


class Sheet(NamedTuple):
    """Where the ground lies on the drawing of a map: west and north edge [m], units a metre, distance of the
    ground from the left and upper edge, and width of the drawing [units].
    """

    west_m: float
    north_m: float
    units_per_m: float
    left_units: float
    top_units: float
    wide_units: float


def sheet_of(found: ReachMap) -> Sheet:
    """Where the ground lies on the drawing that `map_svg` makes."""
    x0, x1, y0, y1 = _edges(found.x_m, found.y_m)
    scale = min(_ROOM[0] / (x1 - x0), _ROOM[1] / (y1 - y0))
    return Sheet(x0, y1, scale, _RIM, _TOP, round(max((x1 - x0) * scale, _NARROWEST) + 2 * _RIM))


def paper_map_svg(found: ReachMap, *, room: tuple[float, float]) -> str:
    """The map for a paper that says the rest beside it: ground, walls, places, legend; one unit is a quarter
    of a millimetre.

    Args:
        found: the map.
        room: width and height for the ground itself.
    """
    return _map_svg(found, room, is_bare=True)


def _map_svg(found: ReachMap, room: tuple[float, float], *, is_bare: bool) -> str:
    x0, x1, y0, y1 = _edges(found.x_m, found.y_m)
    scale = min(room[0] / (x1 - x0), room[1] / (y1 - y0))
    wide, deep = (x1 - x0) * scale, (y1 - y0) * scale
    top, rim = (2.0, 2.0) if is_bare else (_TOP, _RIM)
    full_w, full_h = (
        (max(wide, room[0]) + 2 * rim, top + deep + 78.0)
        if is_bare
        else (max(wide, _NARROWEST) + 2 * rim, deep + 142.0)
    )

    def on_sheet(x: float, y: float) -> tuple[float, float]:
        return rim + (x - x0) * scale, top + (y1 - y) * scale

    chance, stands = (
        (_finer(found.chance), np.repeat(np.repeat(found.stands, _FINER, 0), _FINER, 1))
        if is_bare
        else (found.chance, found.stands)
    )
    colours = reach_colours()[np.clip(chance[::-1] * 255.0 + 0.5, 0, 255).astype(np.uint8)]
    colours = np.where(stands[::-1, :, None], colours, np.uint8(232))
    picture = base64.b64encode(png_bytes(colours)).decode()
    title = f"{found.premises} / {found.receiver}: where one press by {found.group} is heard"
    where = f"level {found.level}" if found.level else "on the ground"
    under = f"{where}, fob {found.held}"
    if found.more_aerials_m:
        under += ", the one heard worst at each spot"
    if found.moved:
        under += ", aerial moved for trial"
    if found.offset_db:
        under += f", corrected {found.offset_db:+.0f} dB by readings"
    out = [
        (
            '<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink"'
            f' width="{full_w:.0f}" height="{full_h:.0f}" viewBox="0 0 {full_w:.0f} {full_h:.0f}"'
            f' font-family="{_FAMILY}">'
        ),
        f'<title>{escape(title)}</title><rect width="100%" height="100%" fill="#ffffff"/>',
    ]
    if not is_bare:
        out += [
            (
                f'<text x="{rim}" y="22" font-size="16" font-weight="600"'
                f' fill="#16202c">{escape(printable(title))}</text>'
            ),
            f'<text x="{rim}" y="41" font-size="12.5" fill="#45505d">{escape(printable(under))}</text>',
        ]
    out += [
        (
            f'<image x="{rim}" y="{top:g}" width="{wide:.2f}" height="{deep:.2f}" preserveAspectRatio="none"'
            f' style="image-rendering:auto" href="data:image/png;base64,{picture}"'
            f' xlink:href="data:image/png;base64,{picture}"/>'
        ),
        (
            f'<clipPath id="plan"><rect x="{rim}" y="{top:g}" width="{wide:.2f}"'
            f' height="{deep:.2f}"/></clipPath><g clip-path="url(#plan)">'
        ),
    ]
    for points, is_steel in found.walls:
        path = " ".join(f"{px:.1f},{py:.1f}" for px, py in (on_sheet(*point) for point in points))
        out.append(
            f'<polyline points="{path}" fill="none" stroke="#ffffff" stroke-opacity="0.75" stroke-width="4.6"'
            ' stroke-linejoin="round"/>'
        )
        out.append(
            f'<polyline points="{path}" fill="none" stroke="{"#7a1f2b" if is_steel else "#10161d"}"'
            f' stroke-width="{3.2 if is_steel else 2.2}" stroke-linejoin="round"/>'
        )
    taken: list[tuple[float, float]] = []
    shown = [(name, on_sheet(x, y)) for name, x, y in found.places if x0 <= x <= x1 and y0 <= y <= y1]
    spots = label_spots(shown, 12.5, (rim, rim + wide))
    names = [_box(name, *spot) for (name, _), spot in zip(shown, spots, strict=True)] + [
        (px - 6.0, py - 6.0, px + 6.0, py + 6.0) for _, (px, py) in shown
    ]
    for level, words in CONTOURS.items():
        lines = [
            line
            for line in contour_lines(
                x_m=found.x_m, y_m=found.y_m, values=np.where(found.stands, found.chance, 0.0), level=level
            )
            if len(line) > 5
        ]
        for line in lines:
            path = " ".join(f"{px:.1f},{py:.1f}" for px, py in (on_sheet(*point) for point in line))
            out.append(
                f'<polyline points="{path}" fill="none" stroke="#000000" stroke-width="1.1"'
                f' stroke-dasharray="{_DASHES.get(level, "none")}"/>'
            )
        for line in sorted(lines, key=len, reverse=True)[:2]:
            spot = _label_spot(
                [on_sheet(*point) for point in line],
                text_width(words, 11.5) / 2,
                taken,
                names,
                (rim, top, wide, deep),
            )
            if spot is not None:
                taken.append(spot)
                out.append(_haloed(spot[0], spot[1], words, 11.5, "middle"))
    out += [
        f'<circle cx="{px:.1f}" cy="{py:.1f}" r="4" fill="#ffffff" stroke="#10161d" stroke-width="1.6"/>'
        for _, (px, py) in shown
    ]
    out += [_haloed(x, y, name, 12, anchor) for (name, _), (x, y, anchor) in zip(shown, spots, strict=True)]
    for aerial in (found.aerial_m, *found.more_aerials_m):
        px, py = on_sheet(*aerial[:2])
        mark = f"M{px:.1f} {py:.1f} l-7 -13 h14 z"
        out.append(f'<path d="{mark}" fill="#ffffff" stroke="#10161d" stroke-width="2"/>')
    out.append("</g>")
    says = "Chance of one press"
    if found.worse_of:
        says += ", with doors and vehicles as they stand worst for it"
    is_narrow = is_bare and room[0] < 560.0
    out += _legend((rim, top + deep + 14.0), scale, says, is_bare=is_bare, is_narrow=is_narrow)
    return "\n".join([*out, "</svg>\n"])


def map_png(found: ReachMap, *, dots_per_inch: int = 144) -> bytes:
    """The map as a picture.

    Raises:
        PaperError: the picture could not be set.
    """
    import typst

    source = (
        '#set page(width: auto, height: auto, margin: 0pt)\n#image(bytes(sys.inputs.svg), format: "svg")\n'
    )
    try:
        made = typst.Compiler(
            source.encode(), font_paths=fonts(), sys_inputs={"svg": map_svg(found)}
        ).compile(format="png", ppi=dots_per_inch)
    except typst.TypstError as error:
        raise PaperError(f"The map could not be set as a picture: {error}") from error
    assert isinstance(made, bytes)
    return made


def png_bytes(colours: NDArray[np.uint8]) -> bytes:
    """A picture (rows, columns, 3) from north to south as a PNG file.

    Source: W3C Recommendation PNG, third edition, chunks IHDR, IDAT, IEND (from memory).
    """
    rows, columns, _ = colours.shape
    raw = np.concatenate(
        [np.zeros((rows, 1), dtype=np.uint8), colours.reshape(rows, -1).astype(np.uint8)], axis=1
    ).tobytes()

    def chunk(name: bytes, content: bytes) -> bytes:
        return (
            struct.pack(">I", len(content)) + name + content + struct.pack(">I", zlib.crc32(name + content))
        )

    return (
        b"\x89PNG\r\n\x1a\n"
        + chunk(b"IHDR", struct.pack(">IIBBBBB", columns, rows, 8, 2, 0, 0, 0))
        + chunk(b"IDAT", zlib.compress(raw, 6))
        + chunk(b"IEND", b"")
    )


@functools.cache
def reach_colours() -> NDArray[np.uint8]:
    """256 colours from never (deep blue) to always (pale yellow), even steps of lightness, (256, 3).

    Source: the path through the perceptual space is our choice; Oklab to sRGB after B. Ottosson, 2020 (from
    memory).
    """
    share = np.linspace(0.0, 1.0, 256)
    light = 0.30 + 0.65 * share
    chroma = (
        0.035
        + 0.10 * np.sin(np.pi * np.clip(share, 0.0, 1.0)) ** 0.8 * (0.35 + 0.65 * share)
        + 0.045 * (1.0 - share)
    )
    hue = np.radians(264.0 - 158.0 * share**1.1)
    a, b = chroma * np.cos(hue), chroma * np.sin(hue)
    cone = (
        np.stack(
            [
                light + 0.3963377774 * a + 0.2158037573 * b,
                light - 0.1055613458 * a - 0.0638541728 * b,
                light - 0.0894841775 * a - 1.2914855480 * b,
            ]
        )
        ** 3
    )
    linear = (
        np.array(
            [
                [4.0767416621, -3.3077115913, 0.2309699292],
                [-1.2684380046, 2.6097574011, -0.3413193965],
                [-0.0041960863, -0.7034186147, 1.7076147010],
            ]
        )
        @ cone
    )
    linear = np.clip(linear, 0.0, 1.0)
    coded = np.where(linear <= 0.0031308, 12.92 * linear, 1.055 * linear ** (1 / 2.4) - 0.055)
    return np.asarray(np.round(coded.T * 255.0), dtype=np.uint8)


def _edges(x: NDArray[np.float64], y: NDArray[np.float64]) -> tuple[float, float, float, float]:
    dx, dy = (x[1] - x[0]) / 2.0, (y[1] - y[0]) / 2.0
    return float(x[0] - dx), float(x[-1] + dx), float(y[0] - dy), float(y[-1] + dy)


def _haloed(x: float, y: float, text: str, size: float, anchor: str) -> str:
    shown = escape(printable(text))
    place = f'x="{x:.1f}" y="{y:.1f}" font-size="{size}" text-anchor="{anchor}"'
    return (
        f'<text {place} fill="none" stroke="#ffffff" stroke-width="3.4"'
        f' stroke-linejoin="round">{shown}</text><text {place} fill="#10161d"'
        f' font-weight="600">{shown}</text>'
    )


def _finer(values: NDArray[np.float64]) -> NDArray[np.float64]:
    """Between the middles of the cells in straight lines, so that a map on paper shows no steps that the
    ground does not have.
    """
    for axis in (0, 1):
        count = values.shape[axis]
        places = np.clip((np.arange(count * _FINER) + 0.5) / _FINER - 0.5, 0.0, count - 1.0)
        below = np.minimum(places.astype(np.int64), max(count - 2, 0))
        share = np.expand_dims(places - below, 1 - axis)
        values = (
            np.take(values, below, axis) * (1.0 - share)
            + np.take(values, np.minimum(below + 1, count - 1), axis) * share
        )
    return values


def _box(name: str, x: float, y: float, anchor: str) -> tuple[float, float, float, float]:
    """Left, upper, right and lower end of a name that stands there."""
    wide = text_width(name, 12.5)
    left = x - {"start": 0.0, "middle": 0.5, "end": 1.0}[anchor] * wide
    return left, y - 10.5, left + wide, y + 3.5


def _label_spot(
    line: list[tuple[float, float]],
    half: float,
    taken: list[tuple[float, float]],
    names: list[tuple[float, float, float, float]],
    frame: tuple[float, float, float, float],
) -> tuple[float, float] | None:
    """A point of the line where words fit: inside the frame, away from others and from the names of
    places.
    """
    left, top, wide, deep = frame
    for share in (0.5, 0.3, 0.7, 0.15, 0.85, 0.4, 0.6, 0.02, 0.95):
        x, y = line[int(share * (len(line) - 1))]
        inside = left + half + 4 < x < left + wide - half - 4 and top + 14 < y < top + deep - 10
        if (
            inside
            and all(math.hypot(x - px, (y - py) * 2.0) > 110 for px, py in taken)
            and all(x + half + 3 < a or x - half - 3 > c or y + 2 < b or y - 14 > d for a, b, c, d in names)
        ):
            return x, y - 3.0
    return None


def _legend(
    corner: tuple[float, float], scale: float, says: str, *, is_bare: bool, is_narrow: bool
) -> list[str]:
    left, top = corner
    wide = 270.0 if is_narrow else 300.0
    colours = reach_colours()
    bars = [
        f'<rect x="{left + wide * n / 50:.1f}" y="{top:.1f}" width="{wide / 50 + 0.4:.1f}" height="13"'
        f' fill="rgb({r},{g},{b})"/>'
        for n, (r, g, b) in enumerate(colours[np.linspace(0, 255, 50).astype(int)].tolist())
    ]
    size = 12 if is_bare else 11
    marks = [
        f'<text x="{left + wide * share:.1f}" y="{top + 27:.1f}" font-size="{size}"'
        f' text-anchor="{"start" if share == 0 else "middle"}" fill="#16202c">{words}</text>'
        for share, words in _MARKS
        if words
    ]
    metres = next(
        (step for step in (1, 2, 5, 10, 20, 50, 100, 200, 500, 1000, 2000) if step * scale > 60.0), 5000
    )
    x, y = (left, top + 36.0) if is_narrow else (left + wide + 60.0, top)
    ruler = (
        f'<path d="M{x + 1:.1f} {y:.1f} v10 h{metres * scale:.1f} v-10" fill="none" stroke="#16202c"'
        f' stroke-width="1.4"/><text x="{x + metres * scale / 2:.1f}" y="{y + 24:.1f}" font-size="{size}"'
        f' text-anchor="middle" fill="#16202c">{metres} m</text>'
    )
    lines = (
        f"{says}; reach is no fence and never a safety function.",
        "Triangle: aerial; ring: place; dark red: steel; pale grey: nobody stands there on this level.",
    )
    warning = "".join(
        f'<text x="{left}" y="{top + 46 + 15 * n:.1f}" font-size="11" fill="#45505d">{line}</text>'
        for n, line in enumerate(lines)
    )
    return [*bars, *marks, ruler, *([] if is_bare else [warning])]
