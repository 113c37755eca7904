"""A month's leavers are one act with one list a receiver; deletions of one visit likewise."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from farpress.domain.register import FobState
from farpress.errors import InputError
from farpress.keys.book import RegisterBook
from farpress.keys.find import search
from helpers.keys_book import branches

FIRST, SECOND = "BM-047-P", "BM-048-N"


def two_leavers(book: RegisterBook) -> None:
    """Two tenants with a fob each, learned at two receivers."""
    book.add_person("Ilva Brandt", contact="unit F149")
    book.add_person("Ondric Vale", contact="+44 1632 960 014")
    book.receive(FIRST, SECOND, type="F4")
    for fob, person, slot in ((FIRST, "Ilva Brandt", "7"), (SECOND, "Ondric Vale", "8")):
        book.issue(fob, person=person, group="fitters")
        for receiver in ("vessing/V1", "oakmire/O1"):
            book.learn(fob, receiver, slot=slot)


def test_who_leaves_together_is_one_act_with_a_list_for_each_receiver(tmp_path: Path) -> None:
    """By unit or by name; twelve minutes a receiver, six for each fob as long as the job does not say."""
    with branches(tmp_path) as book:
        two_leavers(book)
        size = book.record.size()
        done = book.people_left(["unit f149", "vale"], on=date(2026, 11, 30))

        assert book.record.size() == size + 2
        assert done.says[0].startswith("2 people left on 2026-11-30. Their names are kept until 2027-02-28")
        assert done.says[1] == (
            f"Call in, or delete them everywhere: Ilva Brandt: {FIRST}; Ondric Vale: {SECOND}."
        )
        assert set(done.says[2:]) == {
            f"vessing/V1: {FIRST} (slot 7) and {SECOND} (slot 8), 12 min.",
            f"oakmire/O1: {FIRST} (slot 7) and {SECOND} (slot 8), 12 min.",
        }


def test_who_cannot_be_found_is_told_with_all_others_and_nothing_is_recorded(tmp_path: Path) -> None:
    """All faults at once."""
    with branches(tmp_path) as book:
        two_leavers(book)
        size = book.record.size()
        with pytest.raises(
            InputError, match=r"nobody called 'Nobbs'.*'Ilva Brandt' is Ilva Brandt.*twice"
        ) as told:
            book.people_left(["Nobbs", "unit F149", "Ilva Brandt"])

        assert "Nothing was recorded" in str(told.value)
        assert book.record.size() == size


def test_deletions_of_one_visit_are_one_act(tmp_path: Path) -> None:
    """Both, or none: a loss is closed by the last of its deletions."""
    with branches(tmp_path) as book:
        two_leavers(book)
        book.lost(FIRST)
        size = book.record.size()
        with pytest.raises(InputError, match=r"no fob 'BM-099'.*not learned at vessing/V2.*not learned at"):
            book.delete("BM-099", FIRST, SECOND, receiver="vessing/V2", evidence="list photographed")
        assert book.record.size() == size
        for receiver in ("vessing/V1", "oakmire/O1"):
            done = book.delete(FIRST, SECOND, FIRST, receiver=receiver, evidence="list photographed")

        assert done.says == (
            f"{FIRST} is deleted at oakmire/O1.",
            "It is deleted everywhere: the loss is closed.",
            f"{SECOND} is deleted at oakmire/O1.",
        )
        assert book.register.fobs[SECOND].state is FobState.ISSUED
        assert not book.register.fobs[SECOND].known_at


def test_a_holder_is_found_by_unit_and_by_telephone(tmp_path: Path) -> None:
    """However the number is written."""
    with branches(tmp_path) as book:
        two_leavers(book)
        found = {
            words: [fob.label for fob in search(book.register, book.people, words)]
            for words in ("unit f149", "+441632960014", "960 014", "unit F148")
        }

    assert found == {"unit f149": [FIRST], "+441632960014": [SECOND], "960 014": [SECOND], "unit F148": []}
