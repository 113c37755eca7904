"""Any paper of the model: what is missing stands at the front, figures lead to their source, the PDF can be
read aloud.
"""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from farpress.errors import InputError
from farpress.papers.typesetting.paper import (
    Cautions,
    Cell,
    Column,
    Drawing,
    Fields,
    Findings,
    Head,
    Paper,
    PaperField,
    PaperTable,
    Promises,
    Section,
    Signatures,
    Text,
    Tick,
    Ticks,
)
from farpress.papers.typesetting.render import paper_pdf
from farpress.papers.typesetting.source_numbers import ranges_text
from farpress.sources import Citation, Mark
from helpers.assessments import CABLE, OURS, small_assessment
from helpers.read_pdf import pages_of, poppler_facts, poppler_text, tags_of

HEAD = Head(
    "Larkfen House",
    "5f1c0a9be2d477aa0123456789abcdef",
    "0.1.0",
    "25 November 2026",
    "1",
    "Hesper Marrow",
    "Fennick and Marrow",
    "01632 960 014",
)
SVG = (
    '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 40 10"><title>a line</title><path d="M0 5 H40"'
    ' stroke="black"/></svg>'
)


def every_block(name: str = "wicket", *, wide: bool = False) -> Paper:
    """A paper with each kind of block once."""
    one = small_assessment()
    columns = (Column("what", 2), Column("value", 1, True), Column("to fill in"))
    return Paper(
        "sample",
        "Sample paper",
        "For a test.",
        (
            Section(
                "Fields",
                (
                    Fields(
                        (
                            PaperField("Customer", name),
                            PaperField("Price", None, "ask the office"),
                            PaperField("Signed on", None),
                        )
                    ),
                    Text("A note.", is_note=True),
                ),
            ),
            Section(
                "Table",
                (
                    PaperTable(
                        "one",
                        columns,
                        ((name, Cell("1.5 V", "thin", (CABLE, OURS)), None), ("plain", "2", "")),
                        title="With a title",
                        blank_rows=2,
                    ),
                    PaperTable("none", columns, (), empty="There is nothing here."),
                ),
            ),
            Section(
                "Judged", (Findings(one.findings), Findings((), "Nothing else."), Promises(one.promises))
            ),
            Section(
                "Rest",
                (
                    Cautions(("Keep away.",)),
                    Ticks((Tick("done", True), Tick("open"), Tick("refused", False))),
                    Drawing(SVG, "a line from left to right", "The line"),
                    Signatures((("For the firm", "offered"),)),
                ),
            ),
        ),
        missing=("The colour of the door",),
        is_wide=wide,
    )


def test_every_block_is_on_the_paper() -> None:
    """Each kind of block prints its words; both readers find them."""
    pdf = paper_pdf(every_block(), HEAD)
    text = " ".join(pages_of(pdf))

    for words in [
        "Sample paper",
        "Larkfen House",
        "25 November 2026",
        "5f1c0a9be2d477a",
        "Hesper Marrow",
        "CUSTOMER wicket",
        "With a title",
        "1.5 V",
        "There is nothing here.",
        "10.64 V reach the strike",
        "value 10.64 V, limit 10.8 V, margin −0.16 V ± 0.05 V",
        "Nothing else.",
        "Keep away.",
        "done (done)",
        "refused (not done)",
        "The line",
        "For the firm: offered",
        "SIGNATURE",
        "page 1 of",
    ]:
        assert words in text, words
    assert "Keep away." in poppler_text(pdf)


def test_missing_fields_stand_at_the_front() -> None:
    """A field that somebody should know is listed on page one with what to do; a line to sign is not."""
    paper = every_block()
    first = pages_of(paper_pdf(paper, HEAD))[0]

    assert paper.all_missing() == ("Price: ask the office", "The colour of the door")
    assert "Missing fields (2)" in first
    assert "Price: ask the office" in first
    assert "PRICE MISSING" in first.upper()


def test_nothing_missing_is_said_too() -> None:
    """An empty list would look as if nobody had checked."""
    paper = Paper("whole", "Whole", "For a test.", (Section("One", (Text("All there."),)),))

    assert "Missing fields: none" in pages_of(paper_pdf(paper, HEAD))[0]


def test_figures_lead_to_their_sources_and_marks() -> None:
    """A number in brackets, a dagger for what is from memory or chosen, the list with document, place and
    mark.
    """
    text = " ".join(pages_of(paper_pdf(every_block(), HEAD)))

    assert "1.5 V [1–2]†" in text
    assert "IEC 60228 (2004), Table 2" in text
    assert text.count("from memory") == 1
    assert "our choice, " in text or "our choice" in text
    assert "† from memory and not checked against the document" in text


def test_lines_of_one_sheet_stand_together() -> None:
    """Many values of one data sheet are one source with its lines drawn together."""
    cells = tuple(
        (Cell("x", "", (Citation("data sheet", "", f"job.yaml, line {line}", Mark.GIVEN),)), "")
        for line in (4, 5, 6, 9)
    )
    text = " ".join(
        pages_of(
            paper_pdf(
                Paper(
                    "p",
                    "P",
                    "For a test.",
                    (Section("S", (PaperTable("t", (Column("a"), Column("b")), cells),)),),
                ),
                HEAD,
            )
        )
    )

    assert "data sheet, job.yaml, lines 4–6, 9: given in the job" in text
    assert ranges_text([9, 4, 6, 5, 5]) == "4–6, 9"


def test_a_weakest_link_that_promises_share_is_told_once() -> None:
    """The second promise names the first instead of printing the same remedy again."""
    one = small_assessment()
    paper = Paper("p", "P", "For a test.", (Section("S", (Promises((one.promises[0], one.promises[0])),)),))
    text = " ".join(pages_of(paper_pdf(paper, HEAD)))

    assert text.count("Remedy:") == 1
    assert "As under family: wicket from street, with its remedies." in text


@pytest.mark.parametrize("wide", [False, True])
@pytest.mark.parametrize(
    ("size", "short_side", "long_side"), [("a4", "595.276", "841.89"), ("letter", "612", "792")]
)
def test_both_sizes_either_way_are_tagged(size: str, short_side: str, long_side: str, wide: bool) -> None:
    """ISO 216 and ANSI sizes in points; poppler and PDFium both see the tags of a PDF/UA file."""
    pdf = paper_pdf(every_block(wide=wide), HEAD, size=size)
    facts = poppler_facts(pdf)

    assert facts["Tagged"] == "yes"
    assert facts["Page size"].startswith(
        f"{long_side} x {short_side}" if wide else f"{short_side} x {long_side}"
    )
    assert facts["Title"] == "Sample paper: Larkfen House"
    assert {"H1", "H2", "Table"} <= tags_of(pdf)


def test_equal_papers_are_equal_bytes() -> None:
    """Nothing of the moment or the machine gets into a paper."""
    assert paper_pdf(every_block(), HEAD) == paper_pdf(every_block(), HEAD)
    assert "CreationDate" not in poppler_facts(paper_pdf(every_block(), HEAD))


@pytest.mark.witness
def test_fonts_are_embedded() -> None:
    """Every face is in the file, so that it looks the same on any machine."""
    import subprocess
    import tempfile
    from pathlib import Path

    with tempfile.TemporaryDirectory() as folder:
        (Path(folder) / "p.pdf").write_bytes(paper_pdf(every_block("שלום 🏡"), HEAD))
        lines = subprocess.run(
            ["pdffonts", str(Path(folder) / "p.pdf")], capture_output=True, check=True, text=True
        ).stdout.splitlines()[2:]
    assert lines
    assert all(line.split()[-5] == "yes" for line in lines), lines


@pytest.mark.parametrize(
    "name",
    [
        "x" * 300,
        "א" * 40 + " " + "ب" * 40,
        "🏡🔑",
        "‮gnp.exe",
        "a\u0000b\ud800",
        "#panic() *B* $x$",
        "   ",
        "漢" * 300,
    ],
)
def test_bad_names_still_give_a_clean_page(name: str) -> None:
    """Three hundred characters, right to left, pictures, controls, markup: there is a paper, and its right
    edge is kept.
    """
    pdf = paper_pdf(
        every_block(name), Head(name, HEAD.fingerprint, HEAD.version, name, name, name, name, name)
    )

    assert poppler_facts(pdf)["Tagged"] == "yes"


@pytest.mark.long
@settings(max_examples=25, deadline=None)
@given(name=st.text(max_size=80))
def test_any_text_can_be_set(name: str) -> None:
    """Whatever somebody typed, there is a paper."""
    assert paper_pdf(every_block(name), HEAD).startswith(b"%PDF")


def test_an_unknown_size_is_refused() -> None:
    """The message names the sizes on offer."""
    with pytest.raises(InputError, match="a4 and letter"):
        paper_pdf(every_block(), HEAD, size="a5")


def test_names_in_a_drawing_are_printed_or_marked() -> None:
    """A drawing with letters that no face has is set all the same, and says with a lozenge that one is
    missing.
    """
    drawn = SVG.replace("</svg>", '<text x="1" y="9" font-size="4">tor 漢 שער 🏡</text></svg>')
    paper = Paper("p", "P", "For a test.", (Section("S", (Drawing(drawn, "a gate"),), is_turned=True),))

    assert "tor ◊" in " ".join(pages_of(paper_pdf(paper, HEAD)))
