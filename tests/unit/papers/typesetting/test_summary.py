"""The summary paper says what the assessment says, on any paper and with any name."""

from __future__ import annotations

import re
from dataclasses import replace

import pypdfium2
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from farpress.domain.finding import Assessment
from farpress.errors import InputError
from farpress.papers.typesetting.faces import NO_GLYPH, printable
from farpress.papers.typesetting.summary import CAUTIONS, summary_pdf
from helpers.assessments import small_assessment
from helpers.read_pdf import told_by


def pages(pdf: bytes) -> list[str]:
    """The text of each page, read by an independent reader."""
    document = pypdfium2.PdfDocument(pdf)
    found = []
    for page in document:
        text_page = page.get_textpage()
        found.append(" ".join(text_page.get_text_bounded().split()))
        text_page.close()
        page.close()
    document.close()
    return found


@pytest.mark.parametrize(("paper", "width", "height"), [("a4", 595.3, 841.9), ("letter", 612.0, 792.0)])
def test_both_papers_have_their_size(paper: str, width: float, height: float) -> None:
    """A4 is 210 by 297 mm, letter 8.5 by 11 inches."""
    document = pypdfium2.PdfDocument(summary_pdf(small_assessment(), paper=paper))
    size = document[0].get_size()
    document.close()

    assert size == pytest.approx((width, height), abs=0.1)


def test_the_paper_tells_everything_that_matters() -> None:
    """Job, promises, words beside the shapes, number, source with its mark, remedy, cautions."""
    text = " ".join(pages(summary_pdf(small_assessment(), date="25 November 2026")))

    for words in [
        "Larkfen House",
        "25 November 2026",
        "5f1c0a9be2d477a",
        "family: wicket from street",
        "10.64 V reach the strike",
        "margin −0.16 V ± 0.05 V",
        "IEC 60228 (2004), Table 2",
        "from memory",
        "0.5 mm² instead: 11.4 V at the strike",
        "RULE-02",
        "garden water",
        "OUT-01",
        "What is not known yet (1)",
        "page 1 of",
    ]:
        assert words in text, words
    assert all(caution[:40] in text for caution in CAUTIONS)


def test_the_same_assessment_gives_the_same_bytes() -> None:
    """Nothing of the moment or the machine gets into the paper."""
    assert summary_pdf(small_assessment()) == summary_pdf(small_assessment())
    assert told_by(summary_pdf(small_assessment()))["dates"] == []


def test_the_paper_is_tagged_for_readers_aloud() -> None:
    """The PDF says that it keeps to PDF/UA-1, and in which language it is."""
    pdf = summary_pdf(small_assessment())

    told = told_by(pdf)

    assert (told["language"], told["is marked"], told["PDF/UA"]) == ("en-GB", True, "1")


@pytest.mark.long
def test_a_large_job_is_set_whole() -> None:
    """Three hundred findings: each of them is there, pages are numbered to the last."""
    one = small_assessment()
    many = tuple(replace(one.findings[4], about=f"cable {number}") for number in range(300))
    found = pages(summary_pdf(replace(one, findings=many)))

    assert all(re.search(rf"\bcable {number}\b", " ".join(found)) for number in range(300))
    assert f"page {len(found)} of {len(found)}" in found[-1]


def test_an_empty_job_says_that_it_is_empty() -> None:
    """No promises: the paper does not look as if all were well."""
    assert "holds no promises yet" in pages(summary_pdf(Assessment("Empty", "0" * 32, "0.1.0", (), ())))[0]


def test_names_of_other_scripts_are_printed_and_others_marked() -> None:
    """Hebrew, Arabic, Hindi and a house are printed; a character without a face is a lozenge."""
    assert printable("שלום محمد नमस्ते 🏡") == "שלום محمد नमस्ते 🏡"
    assert printable("漢字 \x07\udcff") == f"{NO_GLYPH}{NO_GLYPH}  {NO_GLYPH}"
    assert "שלום" in " ".join(pages(summary_pdf(small_assessment("שלום"))))


def test_long_words_can_break() -> None:
    """A word that is wider than the paper gets places to break, and loses nothing."""
    assert printable("x" * 60).replace("\u200b", "") == "x" * 60
    assert max(map(len, printable("x" * 60).split("\u200b"))) <= 24


def test_markup_in_a_name_is_only_text() -> None:
    """A name cannot write into the paper: it is data, not markup."""
    assert '#panic() *B* $x$ \\ "q"' in pages(summary_pdf(small_assessment('#panic() *B* $x$ \\ "q"')))[0]


def test_an_unknown_paper_is_refused_with_those_there_are() -> None:
    """The message names the sizes on offer."""
    with pytest.raises(InputError, match="a4 and letter"):
        summary_pdf(small_assessment(), paper="a5")


@pytest.mark.long
@settings(max_examples=40, deadline=None)
@given(name=st.text(max_size=60))
def test_any_name_can_be_set(name: str) -> None:
    """Whatever a job or a person is called, there is a paper."""
    assert summary_pdf(small_assessment(name, name)).startswith(b"%PDF")
