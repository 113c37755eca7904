"""What is set can be read aloud and archived: the structure as an independent reader finds it.

Witness: pikepdf (qpdf), which knows nothing of the typesetter. The clauses are those of ISO 14289-1:2014
(PDF/UA-1) and ISO 19005-2:2011 (PDF/A-2), named from memory.
"""

from __future__ import annotations

import io
from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from itertools import pairwise

import pikepdf
import pytest

from farpress.papers.typesetting.cards import user_cards_pdf
from farpress.papers.typesetting.compact import packed
from farpress.papers.typesetting.render import paper_pdf
from farpress.papers.typesetting.texts import texts_in
from unit.papers.typesetting.test_cards import CARD
from unit.papers.typesetting.test_paper import HEAD, every_block

DATED = replace(HEAD, day=date(2026, 11, 30))


@pytest.fixture(scope="module", params=["paper", "cards"])
def document(request: pytest.FixtureRequest) -> Iterator[pikepdf.Pdf]:
    """A paper with every kind of block, and a card with its QR code, both with a day."""
    if request.param == "paper":
        pdf = paper_pdf(every_block("structure"), DATED)
    else:
        pdf = user_cards_pdf((CARD,), DATED, texts_in("en"))
    with pikepdf.open(io.BytesIO(pdf)) as made:
        yield made


def _elements(document: pikepdf.Pdf) -> Iterator[pikepdf.Object]:
    """Every structure element, parents before their children."""
    waiting = [document.Root.StructTreeRoot]
    while waiting:
        element = waiting.pop()
        if element.get("/Type") != pikepdf.Name.StructTreeRoot:
            yield element
        waiting += reversed(
            [kid for kid in _kids(element) if isinstance(kid, pikepdf.Dictionary) and "/S" in kid]
        )


def _kids(element: pikepdf.Object) -> list[pikepdf.Object]:
    kids = element.get("/K", [])
    return list(kids) if isinstance(kids, pikepdf.Array) else [kids]


def _named(document: pikepdf.Pdf, name: str) -> list[pikepdf.Object]:
    return [element for element in _elements(document) if f"/{name}" == element.S]


def test_it_says_what_it_is(document: pikepdf.Pdf) -> None:
    """Marked, with its language, its title shown, and both standards told (clauses 5, 6.2, 7.1)."""
    root = document.Root
    xmp = document.open_metadata()

    assert bool(root.MarkInfo.Marked)
    assert str(root.Lang) == "en-GB"
    assert bool(root.ViewerPreferences.DisplayDocTitle)
    assert xmp["pdfuaid:part"] == "1"
    assert (xmp["pdfaid:part"], xmp["pdfaid:conformance"]) == ("2", "A")
    assert xmp["dc:title"]
    assert xmp["xmp:CreateDate"].startswith("2026-11-30")


def test_everything_drawn_is_tagged_or_marked_as_artifact(document: pikepdf.Pdf) -> None:
    """Between marks of content nothing is painted (clause 7.1), and each number of a mark is in the tree."""
    painting = {"Tj", "TJ", "'", '"', "S", "s", "f", "F", "f*", "B", "B*", "b", "b*", "Do", "sh", "BI"}
    for page in document.pages:
        depth, numbers = 0, set()
        for operands, operator in pikepdf.parse_content_stream(page):
            name = str(operator)
            if name in ("BDC", "BMC"):
                depth += 1
                if name == "BDC" and isinstance(operands[1], pikepdf.Dictionary) and "/MCID" in operands[1]:
                    numbers.add(int(operands[1].MCID))
            elif name == "EMC":
                depth -= 1
            assert depth > 0 or name not in painting, f"{name} outside any mark"
        assert depth == 0
        assert numbers <= _marks_of(document, page)


def _marks_of(document: pikepdf.Pdf, page: pikepdf.Page) -> set[int]:
    """Numbers of marked content of a page that some structure element holds."""
    found: set[int] = set()
    for element in _elements(document):
        for kid in _kids(element):
            is_here = element.get("/Pg") is not None and element.Pg.objgen == page.obj.objgen
            if isinstance(kid, int) and is_here:
                found.add(kid)
            elif isinstance(kid, pikepdf.Dictionary) and "/MCID" in kid:
                here = kid.get("/Pg", element.get("/Pg"))
                if here is not None and here.objgen == page.obj.objgen:
                    found.add(int(kid.MCID))
    return found


def test_every_table_has_heads_that_say_what_they_are_for(document: pikepdf.Pdf) -> None:
    """A table without a head is no table, and heads say what they are heads of (clause 7.5)."""
    for table in _named(document, "Table"):
        cells = Counter(str(element.S) for element in _below(table))
        assert cells["/TH"] > 0, "a table without a head cell"
    for head in _named(document, "TH"):
        attributes = head.get("/A", [])
        scopes = [
            entry.get("/Scope")
            for entry in (attributes if isinstance(attributes, pikepdf.Array) else [attributes])
        ]
        assert any(scope is not None for scope in scopes) or head.get("/ID") is not None


def _below(element: pikepdf.Object) -> Iterator[pikepdf.Object]:
    for kid in _kids(element):
        if isinstance(kid, pikepdf.Dictionary) and "/S" in kid:
            yield kid
            yield from _below(kid)


def test_every_figure_has_words(document: pikepdf.Pdf) -> None:
    """For whoever does not see it (clause 7.3)."""
    figures = _named(document, "Figure")

    assert figures
    assert all(str(figure.get("/Alt", "")).strip() for figure in figures)


def test_headings_leave_no_level_out(document: pikepdf.Pdf) -> None:
    """The first is of level 1, and none lies more than one deeper than the one before (clause 7.4.2)."""
    levels = [int(str(element.S)[2:]) for element in _elements(document) if str(element.S)[2:].isdigit()]

    assert levels[0] == 1
    assert all(after <= before + 1 for before, after in pairwise(levels))


def test_every_face_is_embedded(document: pikepdf.Pdf) -> None:
    """Nothing depends on what a machine has (ISO 19005-2, 6.2.11.4)."""
    files = [
        any(f"/FontFile{number}" in entry for number in ("", "2", "3"))
        for entry in document.objects
        if isinstance(entry, pikepdf.Dictionary) and entry.get("/Type") == pikepdf.Name.FontDescriptor
    ]

    assert files
    assert all(files)


def test_without_a_day_it_is_no_archive() -> None:
    """Nothing claims to be PDF/A that has no date; it can be read aloud all the same."""
    with pikepdf.open(io.BytesIO(paper_pdf(every_block("structure"), HEAD))) as made:
        xmp = made.open_metadata()

        assert "pdfaid:part" not in xmp
        assert xmp["pdfuaid:part"] == "1"


def test_packing_changes_bytes_and_nothing_else() -> None:
    """The same objects, the same bytes for the same document, and fewer than before."""
    with pikepdf.open(io.BytesIO(paper_pdf(every_block("structure"), DATED))) as made:
        loose = io.BytesIO()
        made.save(loose, object_stream_mode=pikepdf.ObjectStreamMode.disable, deterministic_id=True)
        before = [(len(page.Contents.read_bytes()), str(page.mediabox)) for page in made.pages]
    tight = packed(loose.getvalue())
    with pikepdf.open(io.BytesIO(tight)) as again:
        after = [(len(page.Contents.read_bytes()), str(page.mediabox)) for page in again.pages]

    assert after == before
    assert len(tight) < len(loose.getvalue())
    assert packed(loose.getvalue()) == tight
