"""Symbols after IEC 60617, drawn from simple shapes: contacts, coils, resistors, fuses, lamps, aerials.

Each takes the sheet and where it stands, and draws so that wires meet it at the named points.
"""

from __future__ import annotations

from typing import Final

from farpress.papers.drawings.svg import DrawingSheet

__all__ = [
    "aerial",
    "battery",
    "changeover",
    "coil",
    "diode",
    "fuse",
    "lamp",
    "load",
    "masking_contact",
    "motor",
    "node",
    "normally_closed_pair",
    "resistor",
    "sounder",
    "terminal",
    "varistor",
    "zero_volt",
]

_SMALL: Final = 3.2


def terminal(sheet: DrawingSheet, x: float, y: float, label: str, *, label_left: bool = True) -> None:
    """A terminal: a small ring with its number."""
    sheet.ring(x, y, _SMALL)
    if label_left:
        sheet.words(x - 7, y + 3.8, label, size=11.6, anchor="end")
    else:
        sheet.words(x + 7, y + 3.8, label, size=11.6)


def node(sheet: DrawingSheet, x: float, y: float) -> None:
    """Two wires that are joined."""
    sheet.ring(x, y, 2.2, filled=True)


def changeover(sheet: DrawingSheet, x: float, y: float, *, form: str, step: float) -> None:
    """A relay contact at rest, its common in the middle row at (x, y); break above, make below, `step` apart.

    Wires leave to the right at x + 62: break at y - step, common at y, make at y + step.
    """
    pivot, tip = x + 40, x + 12
    sheet.line((pivot + 22, y), (pivot, y))
    if form != "normally open":  # break contact: the blade lies on it
        sheet.line((x + 62, y - step), (tip, y - step), (tip, y - step + 8))
        sheet.line((pivot, y), (tip - 4, y - step + 6), weight=1.8)
    else:
        sheet.line((pivot, y), (tip - 2, y - step * 0.45), weight=1.8)
    if form != "normally closed":
        sheet.line(
            (x + 62, y + step), (tip, y + step), (tip, y + step - 10 if form == "changeover" else y + 6)
        )
    node(sheet, pivot, y)


def coil(sheet: DrawingSheet, x: float, y: float, *, height: float = 40.0) -> None:
    """An operating coil between a wire above at (x, y) and one below at (x, y + height)."""
    sheet.line((x, y), (x, y + height / 2 - 9))
    sheet.box(x - 14, y + height / 2 - 9, 28, 18)
    sheet.line((x, y + height / 2 + 9), (x, y + height))


def load(sheet: DrawingSheet, x: float, y: float, *, height: float = 40.0, mark: str = "") -> None:
    """Something that draws power, as a box with a mark, between two wires."""
    sheet.line((x, y), (x, y + height / 2 - 11))
    sheet.box(x - 16, y + height / 2 - 11, 32, 22)
    sheet.words(x, y + height / 2 + 4, mark, size=11.6, anchor="middle")
    sheet.line((x, y + height / 2 + 11), (x, y + height))


def lamp(sheet: DrawingSheet, x: float, y: float, *, height: float = 40.0) -> None:
    """A lamp between two wires."""
    middle, r = y + height / 2, 11.0
    sheet.line((x, y), (x, middle - r))
    sheet.ring(x, middle, r)
    d = r * 0.7071
    sheet.line((x - d, middle - d), (x + d, middle + d))
    sheet.line((x - d, middle + d), (x + d, middle - d))
    sheet.line((x, middle + r), (x, y + height))


def motor(sheet: DrawingSheet, x: float, y: float, *, height: float = 40.0) -> None:
    """A motor between two wires."""
    middle = y + height / 2
    sheet.line((x, y), (x, middle - 13))
    sheet.ring(x, middle, 13)
    sheet.words(x, middle + 4.5, "M", size=13, anchor="middle", bold=True)
    sheet.line((x, middle + 13), (x, y + height))


def sounder(sheet: DrawingSheet, x: float, y: float, *, height: float = 40.0) -> None:
    """A sounder between two wires: half a disc."""
    middle = y + height / 2
    sheet.line((x, y), (x, middle - 6), (x - 4, middle - 6))
    sheet.shape(
        (x - 4, middle - 12),
        (x - 4, middle + 12),
        (x - 14, middle + 8),
        (x - 19, middle),
        (x - 14, middle - 8),
        filled=False,
    )
    sheet.line((x - 4, middle + 6), (x, middle + 6), (x, y + height))


def resistor(
    sheet: DrawingSheet, x: float, y: float, *, label: str, upright: bool = False, length: float = 30.0
) -> None:
    """A resistor in a wire: lying from (x, y) to (x + length, y), or standing from (x, y) down."""
    if upright:
        sheet.box(x - 5, y + length / 2 - 12, 10, 24)
        sheet.line((x, y), (x, y + length / 2 - 12))
        sheet.line((x, y + length / 2 + 12), (x, y + length))
        sheet.words(x + 9, y + length / 2 + 4, label, size=11.6)
    else:
        sheet.box(x + length / 2 - 12, y - 5, 24, 10)
        sheet.line((x, y), (x + length / 2 - 12, y))
        sheet.line((x + length / 2 + 12, y), (x + length, y))
        sheet.words(x + length / 2, y - 8, label, size=11.6, anchor="middle")


def masking_contact(sheet: DrawingSheet, x: float, y: float, *, label: str, above: bool) -> None:
    """A break contact in a wire from (x, y) to (x + 64, y) with a resistor across it, drawn above or below
    the wire.
    """
    side = y - 20 if above else y + 20
    node(sheet, x, y)
    node(sheet, x + 64, y)
    sheet.line((x, y), (x + 15, y))
    normally_closed_pair(sheet, x + 15, y)
    sheet.line((x + 49, y), (x + 64, y))
    sheet.line((x, y), (x, side))
    sheet.box(x + 20, side - 5, 24, 10)
    sheet.line((x, side), (x + 20, side))
    sheet.line((x + 44, side), (x + 64, side), (x + 64, y))
    sheet.words(x + 70, side + 4, label, size=11.6)


def fuse(sheet: DrawingSheet, x: float, y: float, *, label: str) -> None:
    """A fuse in a wire from (x, y) to (x + 40, y)."""
    sheet.box(x + 8, y - 5, 24, 10)
    sheet.line((x, y), (x + 40, y))
    sheet.words(x + 20, y - 8, label, size=11.6, anchor="middle")


def diode(
    sheet: DrawingSheet,
    x: float,
    y: float,
    *,
    height: float = 40.0,
    zener: bool = False,
    plus_above: bool = True,
) -> None:
    """A diode between two wires that blocks the coil's own supply: its bar, the cathode, towards the positive
    wire.
    """
    middle, up = y + height / 2, 1.0 if plus_above else -1.0
    sheet.line((x, y), (x, y + height))
    sheet.shape((x - 7, middle + 6 * up), (x + 7, middle + 6 * up), (x, middle - 6 * up), filled=False)
    sheet.line((x - 7, middle - 6 * up), (x + 7, middle - 6 * up), weight=1.8)
    if zener:
        sheet.line((x + 7, middle - 6 * up), (x + 7, middle - 2 * up), weight=1.8)


def varistor(sheet: DrawingSheet, x: float, y: float, *, height: float = 40.0, rc: bool = False) -> None:
    """A varistor between two wires, or an RC element."""
    middle = y + height / 2
    if rc:
        sheet.box(x - 4, middle - 15, 8, 16)
        sheet.line((x, y), (x, middle - 15))
        sheet.line((x, middle + 1), (x, middle + 6))
        sheet.line((x - 8, middle + 6), (x + 8, middle + 6), weight=1.8)
        sheet.line((x - 8, middle + 10), (x + 8, middle + 10), weight=1.8)
        sheet.line((x, middle + 10), (x, y + height))
        return
    sheet.box(x - 4, middle - 11, 8, 22)
    sheet.line((x - 10, middle + 11), (x - 6, middle + 11), (x + 8, middle - 9))
    sheet.line((x, y), (x, middle - 11))
    sheet.line((x, middle + 11), (x, y + height))


def battery(sheet: DrawingSheet, x: float, y: float) -> None:
    """A battery standing at (x, y), its poles left and right."""
    for offset, tall in ((0, 9), (4, 4.5), (9, 9), (13, 4.5)):
        sheet.line((x + offset, y - tall), (x + offset, y + tall), weight=1.6)


def zero_volt(sheet: DrawingSheet, x: float, y: float) -> None:
    """The common 0 V of a supply: a bar at the end of a wire."""
    sheet.line((x, y - 7), (x, y + 7), weight=2.4)


def aerial(sheet: DrawingSheet, x: float, y: float) -> None:
    """An aerial whose foot stands at (x, y)."""
    sheet.line((x, y), (x, y - 26))
    sheet.line((x - 10, y - 26), (x, y - 12), (x + 10, y - 26))


def normally_closed_pair(sheet: DrawingSheet, x: float, y: float) -> None:
    """A break contact lying in a wire from (x, y) to (x + 34, y)."""
    sheet.line((x, y), (x + 8, y))
    sheet.line((x + 8, y), (x + 27, y - 7), weight=1.8)
    sheet.line((x + 26, y - 10), (x + 26, y), (x + 34, y))
