"""The validation page shows the comparisons that the reference tests really make."""

from __future__ import annotations

import pytest

from validation import PAGE, Record, judgements, render


@pytest.mark.witness
@pytest.mark.long
def test_the_validation_page_is_current(printed_records: list[Record]) -> None:
    """If this fails, run `python tools/write_validation.py`. Our own last digits may differ."""
    assert PAGE.is_file()
    assert judgements(PAGE.read_text(encoding="utf-8")) == judgements(render(printed_records))


def test_the_page_does_not_hang_on_the_order_of_the_tests() -> None:
    """The same records in another order give the same page."""
    records = [
        Record("A 1", "test_a.py::test_x", place, f"{place}.50", place + 0.501, True) for place in range(3)
    ]

    assert render(records) == render(records[::-1])


def test_a_number_that_differs_is_shown_as_such() -> None:
    """A disagreement stands on the page, with the difference."""
    page = render([Record("A 1", "test_a.py::test_x[case]", 0, "1.50", 1.521, False)])

    assert "| x: case | 1.50 | 1.5210 | +0.0210 | **differs** |" in page


def test_only_our_own_digits_are_left_out_of_the_comparison() -> None:
    """Another printed number or verdict is noticed; another last digit of ours is not."""
    ours = render([Record("A 1", "test_a.py::test_x", 0, "1.50", 1.5001, True)])

    assert judgements(ours) == judgements(
        render([Record("A 1", "test_a.py::test_x", 0, "1.50", 1.5002, True)])
    )
    assert judgements(ours) != judgements(
        render([Record("A 1", "test_a.py::test_x", 0, "1.51", 1.5001, True)])
    )
    assert judgements(ours) != judgements(
        render([Record("A 1", "test_a.py::test_x", 0, "1.50", 1.5001, False)])
    )
