"""A photograph, scan or PDF page of a floor plan as a picture to be laid under the drawing.

Everything that arrives is looked at before it is unpacked, drawn anew, and loses whatever
else was in the file. Nothing is read off the picture; walls are drawn over it by hand.
"""

from __future__ import annotations

import io
import math
import threading
from dataclasses import dataclass
from typing import Final

from farpress.errors import InputError

__all__ = ["MOST_PIXELS", "PlanPicture", "metres_per_pixel", "read_pdf_page", "read_picture"]

MOST_PIXELS: Final = 40_000_000
"""Largest picture that is unpacked: our choice, an A0 sheet scanned at 150 dpi has 35 million."""

WIDEST_PIXELS: Final = 3600
"""Longest side of the picture that is kept: our choice; a house has a pixel a centimetre then."""

PDF_DPI: Final = 150
"""How finely a PDF page is drawn: our choice."""

_FORMATS: Final = ("PNG", "JPEG", "WEBP", "BMP", "TIFF", "GIF")
_pdf = threading.Lock()  # the PDF library is not made for several threads


@dataclass(frozen=True)
class PlanPicture:
    """A picture of a plan.

    Attributes:
        png: its bytes, drawn anew.
        width, height: its size [pixels].
        pages: of the PDF it came from; 1 for a picture.
    """

    png: bytes
    width: int
    height: int
    pages: int = 1


def read_picture(data: bytes) -> PlanPicture:
    """A picture out of a file.

    Raises:
        InputError: not a picture, too large, or damaged.
    """
    from PIL import Image, ImageOps, UnidentifiedImageError

    try:
        with Image.open(io.BytesIO(data), formats=_FORMATS) as opened:
            if opened.width * opened.height > MOST_PIXELS:
                raise InputError(
                    f"The picture has {opened.width} by {opened.height} pixels; at most"
                    f" {MOST_PIXELS / 1e6:.0f} million are taken (our choice). Save it smaller."
                )
            if opened.width < 8 or opened.height < 8:
                raise InputError(
                    f"The picture has {opened.width} by {opened.height} pixels: too few for a plan."
                )
            opened.draft("RGB", (WIDEST_PIXELS, WIDEST_PIXELS))
            upright = ImageOps.exif_transpose(opened)
            flat = upright.convert("RGBA")
            paper = Image.new("RGB", flat.size, "white")
            paper.paste(flat, mask=flat.getchannel("A"))
    except InputError:
        raise
    except UnidentifiedImageError as error:
        raise InputError(
            "This is not a picture that can be read. PNG, JPEG, WebP, BMP, TIFF and GIF can, and PDF and DXF."
        ) from error
    except Image.DecompressionBombError as error:
        raise InputError(
            f"The picture is far too large: at most {MOST_PIXELS / 1e6:.0f} million pixels are taken (our"
            " choice). Save it smaller."
        ) from error
    except (OSError, ValueError, SyntaxError, MemoryError, ArithmeticError, IndexError) as error:
        raise InputError(f"The picture is damaged or incomplete: {error}.") from error
    return _kept(paper)


def read_pdf_page(data: bytes, *, page: int = 1) -> PlanPicture:
    """A page of a PDF as a picture; pages count from 1.

    Raises:
        InputError: not a PDF, locked, no such page, or the page is too large.
    """
    import pypdfium2

    with _pdf:
        try:
            document = pypdfium2.PdfDocument(data)
        except pypdfium2.PdfiumError as error:
            raise InputError(
                f"The PDF cannot be read ({error}). Is it locked by a password, or incomplete?"
            ) from error
        try:
            count = len(document)
            if not 1 <= page <= count:
                raise InputError(
                    f"The PDF has {count} page{'s' if count != 1 else ''}; there is no page {page}."
                )
            sheet = document[page - 1]
            width, height = sheet.get_size()
            scale = min(PDF_DPI / 72, WIDEST_PIXELS / max(width, height, 1.0))
            if width * height * scale * scale > MOST_PIXELS or width <= 0 or height <= 0:
                raise InputError("The page is too large to be drawn.")
            picture = sheet.render(scale=scale, may_draw_forms=False).to_pil().convert("RGB")
        except pypdfium2.PdfiumError as error:
            raise InputError(f"The page cannot be drawn: {error}.") from error
        finally:
            document.close()
    made = _kept(picture)
    return PlanPicture(made.png, made.width, made.height, count)


def metres_per_pixel(
    *, first_px: tuple[float, float], second_px: tuple[float, float], distance_m: float
) -> float:
    """Scale of a picture from two points of known distance.

    Raises:
        InputError: the points coincide, or the distance is not more than nothing.

    Example:
        >>> metres_per_pixel(first_px=(100, 50), second_px=(400, 450), distance_m=10.0)
        0.02
    """
    apart = math.dist(first_px, second_px)
    if not apart >= 1.0:
        raise InputError(
            "The two points lie on each other. Take two that are far apart: the longer, the truer the scale."
        )
    if not 0.01 <= distance_m <= 10_000:
        raise InputError(
            f"A distance of {distance_m:g} m cannot be the way between them; at least 0.01 m and at most"
            " 10 km."
        )
    return distance_m / apart


def _kept(picture: object) -> PlanPicture:
    from PIL import Image

    assert isinstance(picture, Image.Image)
    picture.thumbnail((WIDEST_PIXELS, WIDEST_PIXELS))
    stream = io.BytesIO()
    picture.save(stream, "PNG", optimize=False, compress_level=6)
    return PlanPicture(stream.getvalue(), picture.width, picture.height)
