"""What the register exports, it imports: the same register, whatever happened to its fobs."""

from __future__ import annotations

import tempfile
from contextlib import suppress
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from farpress.errors import FarpressError
from farpress.keys.book import RegisterBook
from farpress.keys.button_text import buttons_of_text, buttons_text
from farpress.keys.export import csv_text, register_table, xlsx_bytes
from farpress.keys.importing import import_rows
from farpress.keys.table import read_table
from helpers.keys_book import branches

LABELS = ("BM-001", "BM-002", "BM-003")
BOXES = ("oakmire/O1", "vessing/V1", "sarnbeck/S1")
PEOPLE = ("Ilva Brandt", "Zoë O’Hara-Łuck", "=Ada Sum", "")
ACTS = (
    "receive",
    "issue",
    "issue to a pool",
    "sign",
    "learn",
    "delete",
    "lost",
    "block",
    "hand in",
    "found",
    "destroy",
)
STEPS = st.lists(
    st.tuples(
        st.sampled_from(ACTS), st.sampled_from(LABELS), st.sampled_from(BOXES), st.sampled_from(PEOPLE)
    ),
    min_size=3,
    max_size=16,
)


def done(book: RegisterBook, act: str, label: str, box: str, person: str) -> None:
    """One thing that happens; what is not allowed does not happen."""
    steps = {
        "receive": lambda: book.receive(label, serial=f"S{label}", type="F4", cell_date="2026-11"),
        "issue": lambda: book.issue(
            label, person=person, group="fitters", valid_to="2031-01-31", new_person=True
        ),
        "issue to a pool": lambda: book.issue(label, pool="van", group="fitters"),
        "sign": lambda: book.sign(label),
        "learn": lambda: book.learn(label, box, slot=label[-1]),
        "delete": lambda: book.delete(label, receiver=box, evidence="pressed, nothing moved"),
        "lost": lambda: book.lost(label, between="bus"),
        "block": lambda: book.block(label),
        "hand in": lambda: book.hand_in(label),
        "found": lambda: book.found(label),
        "destroy": lambda: book.destroy(label),
    }
    with suppress(FarpressError):
        steps[act]()


@pytest.mark.long
@settings(max_examples=12, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(steps=STEPS, as_sheet=st.booleans())
def test_what_goes_out_comes_back(steps: list[tuple[str, str, str, str]], as_sheet: bool) -> None:
    """Export, import into an empty register of the same job, export again: the same table."""
    with tempfile.TemporaryDirectory() as folder:
        here, there = Path(folder) / "a", Path(folder) / "b"
        here.mkdir()
        there.mkdir()
        with branches(here) as book:
            for step in steps:
                done(book, *step)
            table = register_table(book.register, book.people)
        if len(table) == 1:
            return
        file = Path(folder) / ("list.xlsx" if as_sheet else "list.csv")
        file.write_bytes(xlsx_bytes(table) if as_sheet else csv_text(table).encode())
        with branches(there) as book:
            import_rows(book, read_table(file))
            again = register_table(book.register, book.people)

    assert sorted(again) == sorted(table)


@given(
    st.dictionaries(
        st.text(min_size=1, max_size=4), st.lists(st.text(max_size=9), max_size=3).map(tuple), max_size=4
    )
)
def test_buttons_in_a_cell_come_back(buttons: dict[str, tuple[str, ...]]) -> None:
    """Whatever functions are called."""
    assert buttons_of_text(buttons_text(buttons)) == buttons
