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
    for place in range(text.count_chars()):
        letter = chr(raw.FPDFText_GetUnicode(text.raw, place))
        drawn, matrix = raw.FPDFText_GetTextObject(text.raw, place), raw.FS_MATRIX()
        if (
            letter.isspace()
            or (drawn and raw.FPDFTextObj_GetTextRenderMode(drawn) in (1, 2))
            or not raw.FPDFText_GetMatrix(text.raw, place, ctypes.byref(matrix))
        ):
            continue
        left, right, low, high = (ctypes.c_double() for _ in range(4))
        raw.FPDFText_GetCharBox(text.raw, place, left, right, low, high)
        box = tuple(round(one.value, 1) for one in (left, low, right, high))
        if box in seen or right.value <= left.value:
            continue
        seen.add(box)
        size = raw.FPDFText_GetFontSize(text.raw, place) * math.hypot(matrix.c, matrix.d)
        one = Word(letter, size, left.value, low.value, right.value, high.value, matrix.f)
        before = found[-1] if found else None
        if (
            before is not None
            and abs(before.base - one.base) < 0.2
            and abs(before.size - one.size) < 0.2
            and -1.6 < one.left - before.right < 0.6 * size
        ):
            found[-1] = Word(
                before.text + letter,
                size,
                before.left,
                min(before.low, one.low),
                max(before.right, one.right),
                max(before.high, one.high),
                one.base,
            )
        else:
            found.append(one)
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
