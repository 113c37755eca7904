"""Readers' test: ten questions somebody asks, and the page on which the answer stands, found by program."""

from __future__ import annotations

from dataclasses import dataclass

import pytest

from farpress.papers.builders.basis import Basis
from farpress.papers.builders.cards import CardMaker
from farpress.papers.builders.make import paper_of
from farpress.papers.typesetting.cards import user_cards_pdf
from farpress.papers.typesetting.render import paper_pdf
from helpers.read_pdf import pages_of

pytestmark = pytest.mark.long


@dataclass(frozen=True)
class Question:
    """One question of one reader.

    Attributes:
        asks: the question.
        paper: where it is looked up.
        page: on which page it must stand.
        answer: words that must stand there, all on that one page.
    """

    asks: str
    paper: str
    page: int
    answer: tuple[str, ...]


QUESTIONS = (
    Question("Whom do I ring?", "cover", 1, ("Whom to ring", "01632 960 014")),
    Question("What works today?", "cover", 1, ("This works", "garden water")),
    Question("What must I not use?", "cover", 1, ("Barred until it is changed", "shutters up")),
    Question("Who answers a call for help?", "cover", 1, ("Who answers a call for help", "Mirela")),
    Question(
        "On which terminals lies the wicket?", "output-sheets", 4, ("larkfen/R1/3", "31", "34", "core 1")
    ),
    Question("How stands the wicket after a power cut?", "output-sheets", 4, ("AFTER A POWER CUT", "off")),
    Question("Who presses the alarm, from where?", "output-sheets", 5, ("parents (4)", "front path")),
    Question(
        "May I wire the path lights?", "output-sheets", 7, ("BARRED", "DO NOT WIRE", "licensed electrician")
    ),
    Question("Why can I not sign?", "handover-certificate", 1, ("cannot be issued", "CON-05")),
    Question("My fob does nothing: what now?", "user-cards", 1, ("Nothing happens?", "press once more")),
)


@pytest.fixture(scope="module")
def printed(house: Basis) -> dict[str, list[str]]:
    """Pages of the papers that are asked for."""
    names = {question.paper for question in QUESTIONS} - {"user-cards"}
    found = {name: pages_of(paper_pdf(paper_of(house, name), house.head)) for name in names}
    _, cards = next(CardMaker(house).batches())
    cleaner = tuple(card for card in cards if card.name == "Pim Vardel")
    found["user-cards"] = pages_of(user_cards_pdf(cleaner, house.head_in_language, house.texts))
    return found


@pytest.mark.parametrize("question", QUESTIONS, ids=lambda question: question.asks)
def test_the_answer_stands_on_one_page(printed: dict[str, list[str]], question: Question) -> None:
    """All of it, on the page where the reader looks first."""
    page = printed[question.paper][question.page - 1].replace("\xa0", " ").casefold()

    assert [words for words in question.answer if words.casefold() not in page] == []


def test_a_cover_is_one_page_and_every_output_has_one(house: Basis, printed: dict[str, list[str]]) -> None:
    """The list, a page an output in the order of the job, then where the figures come from."""
    sheets = printed["output-sheets"]

    assert len(printed["cover"]) == 1
    assert not any(word in printed["cover"][0] for word in ("dBm", "larkfen/", "AIR-", "CON-"))
    for number, output in enumerate(house.case.outputs(), 1):
        assert f"Sheet {number}: " in sheets[number]
        assert f"({output.path})" in sheets[number]
    assert sheets[number + 1].count("Where the figures come from") == 1
