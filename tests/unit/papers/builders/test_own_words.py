"""What the firm calls things comes out in the customer's language: cover, cards, labels, lost-fob sheet."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import date
from functools import cache
from pathlib import Path

import pytest

from farpress.case.door import open_job
from farpress.papers.builders.basis import Basis, make_basis
from farpress.papers.builders.cards import CardMaker
from farpress.papers.builders.make import paper_of
from farpress.papers.builders.own_words import own_words, untranslated
from farpress.papers.typesetting.languages import LANGUAGES
from farpress.papers.typesetting.paper import Cautions, Cell, Fields, Paper, Text, Ticks
from farpress.papers.typesetting.render import paper_pdf
from helpers.layout import layout_faults
from helpers.project import ROOT
from helpers.read_pdf import pages_of, told_by

SOUND = (ROOT / "tests" / "data" / "jobs" / "sound_house.yaml").read_text(encoding="utf-8")
OTHERS = sorted(set(LANGUAGES) - {"en"})


@cache
def _house(folder: Path, language: str, more: str = "") -> Basis:
    (folder / "job.yaml").write_text(SOUND + more, encoding="utf-8")
    return make_basis(open_job(folder), language=language, day=date(2026, 11, 25))


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Where the house is written."""
    return tmp_path_factory.mktemp("house")


def _every_word(language: str) -> str:
    """A translation for everything of the house: each word upside down, so that what stays shows."""
    job = open_job(ROOT / "tests" / "data" / "jobs" / "sound_house.yaml").job
    things = {
        *own_words(job),
        *(name for premises in job.premises.values() for name in (*premises.devices, *premises.panels)),
    }
    lines = (f'    "{word}": "{_marked(word)}"' for word in sorted(things))
    return f"\nlanguage: en\ntranslations:\n  {language}:\n" + "\n".join(lines) + "\n"


def _marked(word: str) -> str:
    return f"‹{word[::-1]}›"


def _texts(paper: Paper) -> Iterator[str]:
    """Every text of a paper."""
    yield from (paper.title, paper.purpose, *paper.all_missing())
    for section in paper.sections:
        yield section.title
        for block in section.blocks:
            match block:
                case Text(text=text):
                    yield text
                case Cautions(sentences=sentences):
                    yield from sentences
                case Ticks(items=items):
                    yield from (tick.text for tick in items)
                case Fields(fields=fields):
                    yield from (word for field in fields for word in (field.label, field.value or ""))
    for table in paper.tables():
        yield from (table.title, *(column.title for column in table.columns))
        for row in table.rows:
            yield from ((cell.text if isinstance(cell, Cell) else cell) or "" for cell in row)


def _card_texts(basis: Basis) -> Iterator[str]:
    for _, cards in CardMaker(basis).batches():
        for card in cards:
            yield from (*card.cautions, card.after_power, card.lost, card.cell, card.nothing, *card.missing)
            for fob in card.fobs:
                for press in fob.presses:
                    yield from (press.how, press.function, press.what, press.tells, *press.where)


def _words(text: str) -> set[str]:
    """Words of four letters and more in a text, those of the job left out."""
    return set(re.findall(r"[^\W\d_]{4,}", re.sub("‹[^›]*›", "", text).casefold()))


@pytest.mark.parametrize("language", OTHERS)
def test_nothing_english_is_left_where_everything_is_translated(folder: Path, language: str) -> None:
    """No sentence of the English papers stands on those in another language; proper names alone do."""
    basis = _house(folder, language, _every_word(language))
    english = _house(folder, "en")
    assert untranslated(basis) == ()
    for texts, others in (
        (_texts(paper_of(basis, "cover")), _texts(paper_of(english, "cover"))),
        (_texts(paper_of(basis, "lost-fob-sheet")), _texts(paper_of(english, "lost-fob-sheet"))),
        (_card_texts(basis), _card_texts(english)),
    ):
        there = {text for text in texts if len(_words(text)) > 2}
        assert there
        assert there & set(others) == set()


def test_names_and_sentences_come_back_as_translated(folder: Path) -> None:
    """A function, a thing, a place and a rule."""
    basis = _house(folder, "de", _every_word("de"))
    told = "\n".join((*_texts(paper_of(basis, "cover")), *_card_texts(basis)))
    job = basis.case.job

    assert all(_marked(name) in told for name in job.functions)
    assert all(_marked(rule.says) in told for rule in job.rules if rule.says)
    assert any(_marked(promise.from_) in told for promise in job.promises)


def test_a_thing_without_translation_is_called_by_its_kind(folder: Path) -> None:
    """Its name stands beside it; words that nobody translated are named, none is left silently."""
    basis = _house(folder, "de")
    told = "\n".join(_card_texts(basis))

    assert "Schiebetor (gate)" in told
    assert len(untranslated(basis)) == 1
    assert untranslated(basis)[0].startswith("Im Auftrag nicht übersetzt: “")


def test_a_job_in_german_needs_no_translation_for_german(folder: Path) -> None:
    """Its own words are German then, and its things are called as they are."""
    basis = _house(folder, "de", "\nlanguage: de\n")

    assert untranslated(basis) == ()
    assert "Schiebetor (gate)" not in "\n".join(_card_texts(basis))


def test_a_translation_of_nothing_is_told(folder: Path) -> None:
    """A slip of the pen would stay unseen otherwise."""
    basis = _house(folder, "de", "\ntranslations: {de: {gaet: Tor}}\n")

    assert any("gaet" in remark for remark in untranslated(basis))


@pytest.mark.parametrize("language", OTHERS)
def test_pages_in_a_language_are_clean(folder: Path, language: str) -> None:
    """The cover keeps to its page, nothing lies on anything, and a reader aloud knows the language."""
    basis = _house(folder, language)
    cover = paper_pdf(paper_of(basis, "cover"), basis.head_in_language)

    assert len(pages_of(cover)) == 1
    assert told_by(cover)["language"] == language
    assert layout_faults(cover) == []
    assert layout_faults(paper_pdf(paper_of(basis, "lost-fob-sheet"), basis.head_in_language)) == []
