"""Pictures and PDF pages of a plan: looked at before they are unpacked, drawn anew."""

from __future__ import annotations

import io

import pytest
from PIL import Image
from PIL.PngImagePlugin import PngInfo

from farpress.errors import InputError
from farpress.plans.picture import WIDEST_PIXELS, metres_per_pixel, read_pdf_page, read_picture


def _png(width: int, height: int, **options: object) -> bytes:
    stream = io.BytesIO()
    Image.new("RGB", (width, height), "white").save(stream, "PNG", **options)
    return stream.getvalue()


def test_whatever_else_was_in_a_picture_is_gone() -> None:
    """A remark of the camera or of a person does not come along."""
    remark = PngInfo()
    remark.add_text("Comment", "taken at home")

    assert b"taken at home" in _png(50, 40, pnginfo=remark)
    assert b"taken at home" not in read_picture(_png(50, 40, pnginfo=remark)).png


def test_a_large_picture_is_kept_smaller() -> None:
    """Its longest side, in proportion."""
    made = read_picture(_png(WIDEST_PIXELS * 2, 200))

    assert (made.width, made.height) == (WIDEST_PIXELS, 100)


def test_a_page_of_a_pdf_is_drawn_and_a_page_that_is_not_there_is_told() -> None:
    """The PDF is one of a single page, set by typst."""
    import typst

    pdf = typst.compile(b"#set page(width: 100mm, height: 60mm)\nGround floor")
    made = read_pdf_page(pdf)

    assert (made.pages, made.width) == (1, pytest.approx(100 / 25.4 * 150, abs=2))
    with pytest.raises(InputError, match="no page 2"):
        read_pdf_page(pdf, page=2)


def test_the_scale_comes_from_two_points() -> None:
    """A wall of 4.2 m that is 300 by 400 pixels away: 500 pixels."""
    assert metres_per_pixel(first_px=(10, 10), second_px=(310, 410), distance_m=4.2) == pytest.approx(0.0084)
    with pytest.raises(InputError):
        metres_per_pixel(first_px=(10, 10), second_px=(10, 10), distance_m=4.2)
