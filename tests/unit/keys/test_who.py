"""Who may do what at a place: by function, premises, receiver, device or alarm area."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner

from farpress.cli.main import cli
from farpress.errors import InputError
from farpress.keys.book import RegisterBook
from farpress.keys.who import functions_at, planned_rights, who_may
from helpers.keys_book import branches, with_lost_fob

FOB = "BM-047-P"


def _rights(book: RegisterBook, where: str) -> dict[str, tuple[tuple[str, ...], tuple[str, ...]]]:
    assert book.case is not None
    found = who_may(book.case, book.register, book.people, where)
    return {right.fob: (right.functions, right.obeyed) for right in found}


def test_a_fob_is_found_by_every_place_that_it_works(tmp_path: Path) -> None:
    """By premises, receiver, device and function; a spare in stock is in nobody's hands."""
    with with_lost_fob(tmp_path) as book:
        book.receive("BM-049-L", type="F4")
        for where in ("oakmire", "oakmire/O1", "O1", "gate", "Oakmire  Gate"):
            assert set(_rights(book, where)) == {FOB}, where
        assert _rights(book, "lowdrift alarm")[FOB] == (("lowdrift alarm",), ("lowdrift/L1",))
        assert _rights(book, "dock 1 up") == {}


def test_what_a_receiver_obeys_without_being_meant_to_is_told(tmp_path: Path) -> None:
    """A fob whose rights were taken away on paper, and that was never deleted, still stands in the list."""
    with with_lost_fob(tmp_path) as book:
        book.change_rights(FOB, "BM-048-N", group="temps")

        assert _rights(book, "sarnbeck door") == {FOB: (("sarnbeck door",), ("sarnbeck/S1",))}


def test_nothing_is_called_so(tmp_path: Path) -> None:
    """What is nearest is named."""
    with branches(tmp_path) as book:
        assert book.case is not None
        with pytest.raises(
            InputError, match=r"Nothing that a fob works is called 'oakmir'.*Closest: oakmire"
        ):
            functions_at(book.case, "oakmir")


def test_without_fobs_the_plan_answers(tmp_path: Path) -> None:
    """Groups with their number and what they are to do there; and so the command."""
    with branches(tmp_path) as book:
        assert book.case is not None
        planned = planned_rights(book.case, "sarnbeck alarm")
    said = CliRunner().invoke(cli, ["keys", "who", str(tmp_path / "branches"), "sarnbeck alarm"])

    assert [(group, number) for group, number, _ in planned] == [("sarnbeck shop", 6), ("managers", 6)]
    assert "so it is planned" in said.output
    assert "sarnbeck shop" in said.output


def test_many_fobs_get_their_rights_in_one_act_or_none_does(tmp_path: Path) -> None:
    """One that is not there, and nothing is recorded."""
    with with_lost_fob(tmp_path) as book:
        size = book.record.size()
        with pytest.raises(InputError, match="no fob 'ZZ-9'"):
            book.change_rights(FOB, "ZZ-9", group="temps")
        assert book.record.size() == size
        done = book.change_rights(FOB, "BM-048-N", group="temps")

        assert len(done.events) == 2
