"""Look over the pages of a PDF as a reader would: words on words, words beyond the frame, letters too small,
pages nearly empty.

Boxes of letters come from PDFium, not from the typesetter.
"""

from __future__ import annotations

import ctypes
import math
from dataclasses import dataclass

import pypdfium2
import pypdfium2.raw as raw

__all__ = ["Word", "layout_faults", "words_of"]

MM = 72 / 25.4
FRAME_MM = {"left": 14.0, "right": 8.0, "upright": 8.0}
SMALLEST_PT = 6.95
NEARLY_EMPTY = 0.12
"""Share of the last page below which a paper wastes it, its head included."""


@dataclass
class Word:
    """Letters of one size that stand side by side on one line: text, box, baseline [points from the lower
    left corner].
    """

    text: str
    size: float
    left: float
    low: float
    right: float
    high: float
    base: float


def layout_faults(pdf: bytes, *, smallest: float = SMALLEST_PT) -> list[str]:
    """What is wrong with the pages, in words; empty for a clean paper."""
    document = pypdfium2.PdfDocument(pdf)
    faults = []
    for number, page in enumerate(document, 1):
        width, height = page.get_size()
        words = words_of(page)
        left, right, edge = FRAME_MM["left"] * MM, width - FRAME_MM["right"] * MM, FRAME_MM["upright"] * MM
        faults += [
            f"page {number}: '{one.text}' beyond the frame"
            for one in words
            if one.left < left or one.right > right or one.low < edge or one.high > height - edge
        ]
        faults += [
            f"page {number}: '{one.text}' in {one.size:.2f} pt" for one in words if one.size < smallest
        ]
        faults += [f"page {number}: '{one.text}' on '{other.text}'" for one, other in _clashes(words)]
        body = [one for one in words if one.low > 20 * MM and one.high < height - 20 * MM]
        heads = [one for one in body if 12.4 < one.size < 12.8]
        faults += [
            f"page {number}: heading '{one.text}' at the foot"
            for one in heads
            if not any(other.base < one.base - 8 for other in body)
        ]
        if (
            number == len(document) > 1
            and height - min((one.low for one in body), default=height) < NEARLY_EMPTY * height
        ):
            faults.append(f"page {number}: nearly empty")
        page.close()
    document.close()
    return faults


def words_of(page: pypdfium2.PdfPage) -> list[Word]:
    """The words of a page; rims drawn round letters and the second letter of a ligature are left out."""
    text, found, seen = page.get_textpage(), list[Word](), set[tuple[float, ...]]()
    handle, matrix, sides = text.raw, raw.FS_MATRIX(), [ctypes.c_double() for _ in range(4)]
    to_matrix, to_sides = ctypes.byref(matrix), [ctypes.byref(side) for side in sides]
    for place in range(text.count_chars()):
        letter = chr(raw.FPDFText_GetUnicode(handle, place))
        if letter.isspace():
            continue
        drawn = raw.FPDFText_GetTextObject(handle, place)
        if (drawn and raw.FPDFTextObj_GetTextRenderMode(drawn) in (1, 2)) or not raw.FPDFText_GetMatrix(
            handle, place, to_matrix
        ):
            continue
        raw.FPDFText_GetCharBox(handle, place, *to_sides)
        left, right, low, high = (side.value for side in sides)
        box = (round(left, 1), round(low, 1), round(right, 1), round(high, 1))
        if box in seen or right <= left:
            continue
        seen.add(box)
        size, base = raw.FPDFText_GetFontSize(handle, place) * math.hypot(matrix.c, matrix.d), matrix.f
        before = found[-1] if found else None
        if (
            before is not None
            and abs(before.base - base) < 0.2
            and abs(before.size - size) < 0.2
            and -max(1.6, 0.25 * size) < left - before.right < 0.6 * size  # a slanted f leans over a comma
        ):
            before.text += letter
            before.size, before.base = size, base
            before.low, before.right = min(before.low, low), max(before.right, right)
            before.high = max(before.high, high)
        else:
            found.append(Word(letter, size, left, low, right, high, base))
    text.close()
    return found


def _clashes(words: list[Word], *, slack: float = 0.8) -> list[tuple[Word, Word]]:
    ordered, found = sorted(words, key=lambda one: one.left), []
    for place, one in enumerate(ordered):
        for other in ordered[place + 1 :]:
            if other.left > one.right - slack:
                break
            across = min(one.right, other.right) - other.left
            if (
                across > slack
                and min(one.high, other.high) - max(one.low, other.low) > slack
                and one.text != other.text
            ):
                found.append((one, other))
    return found
