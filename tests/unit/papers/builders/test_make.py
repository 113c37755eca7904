"""Papers made for jobs small and large: clean, a change order, progress, and what is refused."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from farpress.case.door import open_job
from farpress.dates import day_wanted
from farpress.errors import InputError
from farpress.papers.builders.basis import Basis, make_basis
from farpress.papers.builders.cards import CardMaker
from farpress.papers.builders.make import chosen_kinds, make_papers, paper_of
from farpress.papers.typesetting.cards import user_cards_pdf
from farpress.papers.typesetting.render import paper_pdf
from helpers.layout import layout_faults
from helpers.project import EXAMPLES
from helpers.read_pdf import pages_of

pytestmark = pytest.mark.long


@pytest.mark.parametrize("job", ["tallowmere-court", "brindlemark"])
def test_the_papers_of_a_larger_job_are_clean(job: str) -> None:
    """Papers with drawings, long tables and many sources; a card of each group, in German on Letter."""
    basis = make_basis(open_job(EXAMPLES / job), day=date(2026, 11, 25), language="de")
    cards = tuple(cards[0] for _, cards in CardMaker(basis).batches())

    for name in (
        "wiring-schedule",
        "system-design-proposal",
        "handover-certificate",
        "settings-schedule",
        "cell-plan",
        "reach-report",
        "change-order",
    ):
        assert (
            layout_faults(
                paper_pdf(
                    paper_of(basis, name), basis.head, size="letter" if name == "change-order" else "a4"
                )
            )
            == []
        ), name
    assert layout_faults(user_cards_pdf(cards, basis.head_in_language, basis.texts, size="letter")) == []


def test_a_change_order_tells_what_a_change_does(tmp_path: Path) -> None:
    """Thicker cores to the strike: the value, its judgements before and after, the promises that are kept
    now.
    """
    text = (EXAMPLES / "larkfen-house" / "job.yaml").read_text(encoding="utf-8")
    was = "cable: {part: cable-6x0.22, length: 24 m, cores: 1 and 2}"
    assert was in text
    (tmp_path / "job.yaml").write_text(
        text.replace(was, "cable: {part: cable-2x1.0, length: 24 m, cores: 1 and 2}"), encoding="utf-8"
    )
    basis = make_basis(open_job(tmp_path), before=open_job(EXAMPLES / "larkfen-house"))
    text = " ".join(pages_of(paper_pdf(paper_of(basis, "change-order"), basis.head)))

    assert "1 difference." in text
    assert "premises / larkfen / receivers / R1 / outputs / 3 / cable / part cable-6x0.22 cable-2x1.0" in text
    assert "SUP-01 wicket over output 3 of R1" in text
    changed = text[: text.index(" fails thin")].rpartition("promises")[2]
    assert "tavi: wicket from wicket outside" in changed
    assert "mirela at home: wicket from hall" in changed


@pytest.mark.parametrize("size", ["a4", "letter"])
def test_a_small_change_takes_one_page(tmp_path: Path, size: str) -> None:
    """Another telephone number: request, change, effects and signatures on one page of either paper."""
    text = (EXAMPLES / "larkfen-house" / "job.yaml").read_text(encoding="utf-8")
    (tmp_path / "job.yaml").write_text(
        text.replace("telephone: 01632 960 014", "telephone: 01632 960 077"), encoding="utf-8"
    )
    basis = make_basis(open_job(tmp_path), before=open_job(EXAMPLES / "larkfen-house"))
    pages = pages_of(paper_pdf(paper_of(basis, "change-order"), basis.head, size=size))

    assert len(pages) == 1
    for words in ("1 difference.", "01632 960 077", "No judgement changes.", "SIGNATURE"):
        assert words in pages[0]


def test_progress_runs_to_its_end(house: Basis) -> None:
    """Each step is told before it is done, and the last says so."""
    seen: list[tuple[int, int, str]] = []
    list(make_papers(house, ["log-book", "data-note"], progress=lambda *step: seen.append(step)))

    assert [step[:2] for step in seen] == [(0, 2), (1, 2), (2, 2)]
    assert seen[0][2] == "Log book"


def test_what_is_not_there_is_refused_with_what_is() -> None:
    """Paper, audience, date: each message says what can be given."""
    with pytest.raises(InputError, match="key-register"):
        chosen_kinds(only=["key list"])
    with pytest.raises(InputError, match="customer, installer, auditor"):
        chosen_kinds(audience="neighbour")
    with pytest.raises(InputError, match="2026-11-25"):
        day_wanted("25.11.2026")
