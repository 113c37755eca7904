"""Money: rounded once and exactly, as Python's own decimal module does it; cables cut out of drums."""

from __future__ import annotations

from decimal import ROUND_HALF_EVEN, ROUND_HALF_UP, Decimal
from fractions import Fraction
from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from farpress.core.quoting.cutting import cut_from_drums
from farpress.core.quoting.money import BillLine, billed, rounded_money
from farpress.errors import InputError

AMOUNTS = st.decimals(-10_000, 10_000, places=5, allow_nan=False, allow_infinity=False)


@given(AMOUNTS, st.booleans(), st.integers(0, 4))
def test_rounding_is_that_of_the_decimal_module(amount: Decimal, is_half: bool, digits: int) -> None:
    """Witness: `Decimal.quantize` with the same rule; every other amount is an exact half of the unit."""
    unit = Decimal(1).scaleb(-digits)
    amount = (int(amount) + Decimal("0.5")) * unit if is_half else amount

    for rule, theirs in (("half up", ROUND_HALF_UP), ("half even", ROUND_HALF_EVEN)):
        ours = rounded_money(Fraction(amount), digits=digits, rule=rule)  # type: ignore[arg-type]
        assert ours == amount.quantize(unit, theirs)
        assert -ours.as_tuple().exponent == digits


def test_a_bill_by_hand() -> None:
    """Three lines of 0.125 and one of 10.005 at 20 %, one at 5 %: worked out with pencil and paper.

    By line: 0.13 x 3 + 10.01 = 10.40, tax 0.03 x 3 + 2.00 = 2.09; by total: 10.38, tax 2.076 = 2.08.
    """
    lines = [BillLine(Fraction("0.125"), "")] * 3 + [
        BillLine(Fraction("10.005"), ""),
        BillLine(Fraction(8), "less"),
    ]
    rates = {"": Fraction(1, 5), "less": Fraction(1, 20)}

    by_line = billed(lines=lines, rates=rates, digits=2, rule="half up", rounded_at="line")
    by_total = billed(lines=lines, rates=rates, digits=2, rule="half up", rounded_at="total")

    assert [(tax.base, tax.tax) for tax in by_line.taxes] == [
        (Decimal("10.40"), Decimal("2.09")),
        (Decimal("8.00"), Decimal("0.40")),
    ]
    assert (by_line.net, by_line.gross) == (Decimal("18.40"), Decimal("20.89"))
    assert [tax.tax for tax in by_total.taxes] == [Decimal("2.08"), Decimal("0.40")]
    assert (by_total.net, by_total.gross) == (Decimal("18.38"), Decimal("20.86"))


def test_without_the_rate_of_a_line_there_is_no_sum_with_tax() -> None:
    """The sum without tax stays; nothing is taken for untaxed."""
    lines = [BillLine(Fraction(10), ""), BillLine(Fraction(5), None)]

    bill = billed(lines=lines, rates={"": Fraction(1, 5)}, digits=2, rule="half up", rounded_at="line")

    assert bill.net == Decimal("15.00")
    assert bill.gross is None


def test_a_currency_without_a_small_unit() -> None:
    """Yen have no digits behind the point; five digits has no currency."""
    assert rounded_money(Fraction(5, 2), digits=0, rule="half up") == Decimal(3)
    with pytest.raises(InputError, match="0 to 4"):
        rounded_money(Fraction(1), digits=5, rule="half up")


PIECES = st.lists(st.integers(1, 100), min_size=1, max_size=7)


@given(PIECES)
def test_every_piece_is_cut_once_and_no_drum_is_longer(lengths: list[int]) -> None:
    """And the drums are at most 11/9 of the fewest and 6/9 more (Dósa 2007), found here by trying all."""
    pieces = [Decimal(length) for length in lengths]

    drums = cut_from_drums(pieces_m=pieces, drum_m=Decimal(100))

    assert sorted(piece for drum in drums for piece in drum) == sorted(pieces)
    assert all(sum(drum) <= 100 for drum in drums)
    assert len(drums) <= 11 / 9 * _fewest(lengths) + 6 / 9


def _fewest(lengths: list[int]) -> int:
    """By trying: the least number of drums for which some way of dealing the pieces out fits."""
    for count in range(1, len(lengths)):
        for dealt in product(range(count), repeat=len(lengths)):
            sums = [0] * count
            for length, drum in zip(lengths, dealt, strict=True):
                sums[drum] += length
            if max(sums) <= 100:
                return count
    return len(lengths)


def test_three_pieces_of_sixty_metres_need_three_drums() -> None:
    """180 m would be on two drums of 100 m, if cables could be joined."""
    assert len(cut_from_drums(pieces_m=[Decimal(60)] * 3, drum_m=Decimal(100))) == 3


def test_a_piece_longer_than_a_drum_is_refused() -> None:
    """With both lengths."""
    with pytest.raises(InputError, match="120 m are wanted in one piece, and a drum has 100 m"):
        cut_from_drums(pieces_m=[Decimal(120)], drum_m=Decimal(100))
