"""Read a PDF with readers that are not ours: pypdfium2 in this process, poppler beside it."""

from __future__ import annotations

import io
import subprocess
import tempfile
from pathlib import Path

import pikepdf
import pypdfium2
import pypdfium2.raw as raw

from helpers.kinds import need

__all__ = ["pages_of", "poppler_facts", "poppler_text", "qr_codes", "smallest_letters", "tags_of", "told_by"]


def pages_of(pdf: bytes) -> list[str]:
    """Text of each page, spaces made single, places to break left out."""
    document = pypdfium2.PdfDocument(pdf)
    found = []
    for page in document:
        text = page.get_textpage()
        found.append(" ".join(text.get_text_bounded().replace("\u200b", "").replace("\ufffe", "").split()))
        text.close()
        page.close()
    document.close()
    return found


def smallest_letters(pdf: bytes) -> float:
    """Size of the smallest visible letter [points], letters of drawings as they are scaled on the page
    included.
    """
    import ctypes
    import math

    document, found = pypdfium2.PdfDocument(pdf), math.inf
    for page in document:
        text = page.get_textpage()
        for place in range(text.count_chars()):
            matrix = raw.FS_MATRIX()
            if chr(raw.FPDFText_GetUnicode(text.raw, place)).isspace() or not raw.FPDFText_GetMatrix(
                text.raw, place, ctypes.byref(matrix)
            ):
                continue
            found = min(found, raw.FPDFText_GetFontSize(text.raw, place) * math.hypot(matrix.c, matrix.d))
        text.close()
        page.close()
    document.close()
    return found


def tags_of(pdf: bytes) -> set[str]:
    """Kinds of the tags on the first page, as PDFium finds them; empty if the file is not tagged."""
    document = pypdfium2.PdfDocument(pdf)
    found: set[str] = set()
    if raw.FPDFCatalog_IsTagged(document.raw):
        page = document[0]
        tree = raw.FPDF_StructTree_GetForPage(page.raw)
        waiting = [
            raw.FPDF_StructTree_GetChildAtIndex(tree, one)
            for one in range(raw.FPDF_StructTree_CountChildren(tree))
        ]
        while waiting:
            element = waiting.pop()
            if not element:
                continue
            size = raw.FPDF_StructElement_GetType(element, None, 0)
            if size > 0:
                import ctypes

                buffer = ctypes.create_string_buffer(size)
                raw.FPDF_StructElement_GetType(element, buffer, size)
                found.add(buffer.raw.decode("utf-16-le").rstrip("\0"))
            waiting += [
                raw.FPDF_StructElement_GetChildAtIndex(element, one)
                for one in range(max(raw.FPDF_StructElement_CountChildren(element), 0))
            ]
        raw.FPDF_StructTree_Close(tree)
        page.close()
    document.close()
    return found


def poppler_facts(pdf: bytes) -> dict[str, str]:
    """What pdfinfo says: "Tagged", "Pages", "Page size" ..."""
    said = _run("pdfinfo", pdf, [])
    return {
        name.strip(): value.strip() for name, _, value in (line.partition(":") for line in said.splitlines())
    }


def poppler_text(pdf: bytes) -> str:
    """What pdftotext reads, spaces made single."""
    return " ".join(_run("pdftotext", pdf, ["-enc", "UTF-8"], ["-"]).replace("\u200b", "").split())


def qr_codes(pdf: bytes, *, dots_per_inch: int = 200) -> list[str]:
    """Texts of the QR codes of every page, read from its picture by zxing."""
    import zxingcpp

    document = pypdfium2.PdfDocument(pdf)
    found: list[str] = []
    for page in document:
        picture = page.render(scale=dots_per_inch / 72, grayscale=True).to_pil()
        found += [one.text for one in zxingcpp.read_barcodes(picture)]
        page.close()
    document.close()
    return sorted(found)


def _run(command: str, pdf: bytes, before: list[str], after: list[str] | None = None) -> str:
    need("witness")
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "paper.pdf"
        path.write_bytes(pdf)
        done = subprocess.run([command, *before, str(path), *(after or [])], capture_output=True, check=True)
    return done.stdout.decode("utf-8")


def told_by(pdf: bytes) -> dict[str, object]:
    """What a document says of itself, as pikepdf reads it: language, marked or not, PDF/UA and PDF/A,
    and its dates.
    """
    with pikepdf.open(io.BytesIO(pdf)) as document:
        root, xmp = document.Root, document.open_metadata()
        return {
            "language": str(root.Lang),
            "is marked": bool(root.MarkInfo.Marked),
            "PDF/UA": xmp.get("pdfuaid:part"),
            "PDF/A": xmp.get("pdfaid:part"),
            "dates": [str(xmp[name]) for name in xmp if name.endswith("Date")],
        }
