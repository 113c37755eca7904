"""Lines of a drawing, layer by layer: drawings made here with ezdxf, lengths worked out by hand."""

from __future__ import annotations

import io
import math

import ezdxf
import pytest

from farpress.errors import InputError
from farpress.plans.dxf import chains_of, read_dxf


def _bytes(document: object) -> bytes:
    stream = io.StringIO()
    document.write(stream)  # type: ignore[attr-defined]
    return stream.getvalue().encode("utf-8")


def _drawing(units: int = 4) -> object:
    document = ezdxf.new(setup=True)
    document.header["$INSUNITS"] = units
    return document


def test_lines_come_by_layer_in_metres() -> None:
    """A room of 4 by 3 m drawn in millimetres, from a corner that is not the origin."""
    document = _drawing()
    space = document.modelspace()  # type: ignore[attr-defined]
    document.layers.add("WALLS")  # type: ignore[attr-defined]
    space.add_lwpolyline(
        [(1000, 2000), (5000, 2000), (5000, 5000), (1000, 5000)], close=True, dxfattribs={"layer": "WALLS"}
    )
    found = read_dxf(_bytes(document))

    assert (found.unit, found.unit_m) == ("millimetres", 0.001)
    assert chains_of(found.layers["WALLS"], unit_m=0.001, left=found.left, low=found.low) == [
        [(0.0, 0.0), (4.0, 0.0), (4.0, 3.0), (0.0, 3.0), (0.0, 0.0)]
    ]


def test_lines_of_a_block_lie_on_the_layer_of_its_insert_turned_and_scaled() -> None:
    """A wall of 1 m in a block, inserted twice as large and turned by 90 degrees."""
    document = _drawing(6)
    block = document.blocks.new("WALL")  # type: ignore[attr-defined]
    block.add_line((0, 0), (1, 0), dxfattribs={"layer": "0"})
    document.layers.add("CONCRETE")  # type: ignore[attr-defined]
    document.modelspace().add_blockref(
        "WALL", (10, 10), dxfattribs={"layer": "CONCRETE", "rotation": 90, "xscale": 2, "yscale": 2}
    )  # type: ignore[attr-defined]
    found = read_dxf(_bytes(document))
    x1, y1, x2, y2 = found.layers["CONCRETE"][0]

    assert (x1, y1) == pytest.approx((10, 10))
    assert (x2, y2) == pytest.approx((10, 12))


def test_an_arc_becomes_short_pieces_of_about_its_length() -> None:
    """A quarter circle of radius 2 m has a length of pi metres."""
    document = _drawing(6)
    document.modelspace().add_arc((0, 0), 2, 0, 90)  # type: ignore[attr-defined]
    found = read_dxf(_bytes(document))
    length = sum(math.dist(one[:2], one[2:]) for one in found.layers["0"])

    assert length == pytest.approx(math.pi, rel=0.01)


def test_a_drawing_without_a_unit_says_so() -> None:
    """Somebody has to say how long one unit is."""
    document = _drawing(0)
    document.modelspace().add_line((0, 0), (1, 0))  # type: ignore[attr-defined]

    assert read_dxf(_bytes(document)).unit_m is None


def test_points_in_the_middle_of_a_straight_wall_are_left_out() -> None:
    """Three pieces in one line are one wall of two points; a twin drawn over it is not a second wall."""
    lines = [(0, 0, 1, 0), (1, 0, 2, 0), (2, 0, 5, 0), (5, 0, 2, 0)]

    assert chains_of(lines, unit_m=1.0, left=0, low=0) == [[(0.0, 0.0), (5.0, 0.0)]]


@pytest.mark.parametrize(
    "data", [b"", b"hello", b"\x00" * 200, b"0\nSECTION\n2\nENTITIES\n0\nENDSEC\n0\nEOF\n"]
)
def test_what_is_no_drawing_is_refused_in_words(data: bytes) -> None:
    """Never an error of the library."""
    with pytest.raises(InputError):
        read_dxf(data)
