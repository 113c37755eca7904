"""Money in a design: it is weighed and told where the firm's list has prices, and nowhere else."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path

import pytest

from farpress.design.choosing import Variant
from farpress.design.design import design
from farpress.design.norms import norms_with, weights_of
from farpress.design.result import Designs
from farpress.design.telling import designs_told
from farpress.judging.assess import assess
from farpress.quoting.prices import PriceList, prices_of_table
from farpress.quoting.quotation import FirmLists, quotation_of
from farpress.quoting.terms import terms_of_table
from helpers.wished_jobs import CHURCH, opened

HEAD = [["article", "unit", "price, EUR"]]
ROWS = [["receiver-4", "piece", "120.00"], ["work", "h", "60.00"], ["alarm-4x0.22", "100 m", "50.00"]]


def prices(*more: list[str]) -> PriceList:
    """A small list of an invented firm."""
    return prices_of_table([*HEAD, *ROWS, *more])


def drawn(folder: Path, lists: FirmLists | None) -> Designs:
    """The church, cheapest."""
    return design(opened(folder / "church", CHURCH), variants=[Variant.CHEAPEST], lists=lists)


def test_money_is_weighed_as_the_minutes_that_are_paid_as_much() -> None:
    """By hand: 120 for a receiver at 60 an hour are two hours; 0.50 a metre is half a minute more."""
    weights = weights_of(
        norms_with(None), prices(), receivers=["receiver-4", "receiver-2"], cable="alarm-4x0.22"
    )

    assert weights.parts == {"receiver-4": 120}
    assert weights.box("receiver-4") == weights.mount + 120
    assert weights.metre == round(3.5)


@pytest.mark.parametrize("left_out", ["receiver-4", "receiver-2"])
def test_a_price_that_is_left_out_makes_nothing_cheaper(left_out: str) -> None:
    """It counts as much as the dearest that has one."""
    rows = [["receiver-2", "piece", "90.00"]]
    whole = weights_of(
        norms_with(None), prices(*rows), receivers=["receiver-4", "receiver-2"], cable="alarm-4x0.22"
    )
    less = prices_of_table([*HEAD, *(row for row in [*ROWS, *rows] if row[0] != left_out)])
    without = weights_of(norms_with(None), less, receivers=["receiver-4", "receiver-2"], cable="alarm-4x0.22")

    assert without.box(left_out) >= min(whole.box(left_out), without.box("another"))
    assert without.box(left_out) >= 60 + without.mount


def test_without_a_price_for_an_hour_no_money_is_weighed() -> None:
    """Nobody says what a minute is worth then."""
    only = prices_of_table([*HEAD, ["receiver-4", "piece", "120.00"]])
    weights = weights_of(norms_with(None), only, receivers=["receiver-4"], cable="alarm-4x0.22")

    assert weights.parts == {}


@pytest.mark.long
def test_the_sum_is_that_of_the_quotations(tmp_path: Path) -> None:
    """What the whole costs less what the bare job costs, to the cent; what has no price is named."""
    terms = terms_of_table(
        [["term", "value"], ["currency", "EUR"], ["tax", "20 %"], ["rounding", "half even"]]
    )
    lists = FirmLists(prices(), norms_with(None), terms)
    designs = drawn(tmp_path, lists)
    (made,) = designs.variants
    after = quotation_of(made.case, made.after, lists)
    before = quotation_of(designs.case, assess(designs.case), lists)
    assert after.bill is not None
    stood = before.bill.net if before.bill is not None else Decimal(0)

    assert made.figures.money == after.bill.net - stood
    assert made.figures.money > 120
    assert made.figures.currency == "EUR"
    assert "supply-12v-1a" in made.figures.unpriced
    assert "receiver-4" not in made.figures.unpriced
    told = designs_told(designs)
    assert ("to pay, without tax", (f"{made.figures.money:,} EUR +",)) in told.rows
    assert any("no price for" in note for note in told.notes)


@pytest.mark.long
def test_without_a_list_no_money_is_told(tmp_path: Path) -> None:
    """Nothing invented is printed as a price."""
    designs = drawn(tmp_path, None)

    assert designs.variants[0].figures.money is None
    assert "to pay, without tax" not in dict(designs_told(designs).rows)
