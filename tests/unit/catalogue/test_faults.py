"""The book of faults: whole, and every slip in it told."""

from __future__ import annotations

import pytest

from farpress.catalogue.faults import load_faults, read_faults
from farpress.domain.cautions import CAUTIONS
from farpress.errors import InputError
from survey import codes

SMALL = """
causes:
  cell: {says: the cell is empty, prior: 0.1, cure: a new cell, minutes: 3}
tests:
  lamp: {ask: look, "yes": dim, "no": bright, minutes: 1, leak: 0.1, links: {cell: 0.9}}
complaints:
  1: {says: dead, words: [dead], leak: 0.1, links: {cell: 0.9}}
"""


def test_every_complaint_has_tests_for_its_causes() -> None:
    """35 complaints; each cause of each shows in at least one test, half of the time or more."""
    book = load_faults()

    assert list(book.complaints) == list(range(1, 36))
    for complaint in book.complaints.values():
        for cause in complaint.links:
            assert any(test.links.get(cause, 0.0) >= 0.5 for test in book.tests.values()), (
                complaint.number,
                cause,
            )


def test_the_book_names_only_what_is_there() -> None:
    """Codes of findings, subjects of cautions, causes of complaints."""
    book, known = load_faults(), {code for code, _, _ in codes()}

    assert {code for cause in book.causes.values() for code in cause.judged} <= known
    assert {test.expects for test in book.tests.values() if test.expects} <= known
    assert {one.caution for one in (*book.causes.values(), *book.tests.values()) if one.caution} <= set(
        CAUTIONS
    )
    assert set(book.causes) == {cause for complaint in book.complaints.values() for cause in complaint.links}


def test_worse_findings_never_make_a_cause_less_likely() -> None:
    """Holds, thin, fails: in that order."""
    for cause in load_faults().causes.values():
        for holds, thin, is_open, fails in cause.judged.values():
            assert holds <= thin <= fails
            assert holds <= is_open <= fails


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ("prior: 0.1", "prior: 1.1", "no chance"),
        ("links: {cell: 0.9}}\ncomplaints", "links: {relay: 0.9}}\ncomplaints", "'relay'"),
        ("minutes: 3}", "minutes: 3, colour: red}", "'colour'"),
        ("leak: 0.1, links", "leak: often, links", "'often'"),
        ("causes:", "reasons:", "no key 'reasons'"),
    ],
)
def test_slips_are_told(old: str, new: str, told: str) -> None:
    """With the place and what is wrong."""
    assert read_faults(SMALL).causes["cell"].minutes == 3.0
    with pytest.raises(InputError, match=told):
        read_faults(SMALL.replace(old, new))


def test_a_question_is_asked_only_where_it_makes_sense() -> None:
    """Nobody who complains of the gate's reach is sent to press a call for help lying down."""
    book = load_faults()
    asked = {
        number: {
            name
            for name, test in book.tests.items()
            if set(test.links) & set(one.links) and (not test.needs or set(test.needs) & set(one.links))
        }
        for number, one in book.complaints.items()
    }

    assert "ten calls" not in asked[1]
    assert "ten calls" in asked[29]
    assert all(set(test.needs) <= set(book.causes) for test in book.tests.values())
    assert {name for names in asked.values() for name in names} == set(book.tests)
