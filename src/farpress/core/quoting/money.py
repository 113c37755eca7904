"""Money to the last unit: fractions are rounded once, by the rule and at the place that the firm names."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Literal

from farpress.errors import InputError
from farpress.sources import Mark, cites

__all__ = ["Bill", "BillLine", "RoundedAt", "RoundingRule", "TaxSum", "billed", "rounded_money"]

RoundingRule = Literal["half up", "half even"]
"""What becomes of a half of the smallest unit: away from nothing, or to the even neighbour."""

RoundedAt = Literal["line", "total"]
"""Each line by itself, its tax too; or only the sums."""


@dataclass(frozen=True)
class BillLine:
    """One line to be summed: the exact amount without tax, and the name of its tax; None where none is
    known.
    """

    amount: Fraction
    tax: str | None


@dataclass(frozen=True)
class TaxSum:
    """All lines of one tax.

    Attributes:
        name: of the tax; None for lines whose tax is not known.
        rate: as a share; None likewise.
        base, tax: sums in money, rounded; the tax is 0 where its rate is not known.
    """

    name: str | None
    rate: Fraction | None
    base: Decimal
    tax: Decimal


@dataclass(frozen=True)
class Bill:
    """A bill.

    Attributes:
        lines: amount of each line as it is printed.
        net: sum without tax.
        taxes: by tax, in the order of the lines.
        gross: with tax; None where the tax of a line is not known.
    """

    lines: tuple[Decimal, ...]
    net: Decimal
    taxes: tuple[TaxSum, ...]
    gross: Decimal | None


@cites("ISO 80000-1:2009", place="annex B, rounding of numbers, rules A and B", mark=Mark.MEMORY)
def rounded_money(amount: Fraction, *, digits: int, rule: RoundingRule) -> Decimal:
    """An exact amount in whole smallest units of its currency.

    Args:
        amount: exact.
        digits: of the currency behind the point, 0 to 4.
        rule: what becomes of a half.

    Raises:
        InputError: digits of no currency.

    Example:
        >>> rounded_money(Fraction(1225, 1000), digits=2, rule="half up")
        Decimal('1.23')
        >>> rounded_money(Fraction(1225, 1000), digits=2, rule="half even")
        Decimal('1.22')
    """
    if not 0 <= digits <= 4:
        raise InputError(f"{digits} digits behind the point; a currency has 0 to 4 (ISO 4217).")
    size = abs(amount) * 10**digits
    whole, rest = divmod(size.numerator, size.denominator)
    twice = 2 * rest - size.denominator
    if twice > 0 or (twice == 0 and (rule == "half up" or whole % 2 == 1)):
        whole += 1
    return (Decimal(-whole if amount < 0 else whole)).scaleb(-digits)


@cites("ISO 80000-1:2009", place="B.3: rounding in more than one step gives errors", mark=Mark.MEMORY)
def billed(
    *,
    lines: Sequence[BillLine],
    rates: Mapping[str, Fraction],
    digits: int,
    rule: RoundingRule,
    rounded_at: RoundedAt,
) -> Bill:
    """Sum a bill; nothing is rounded twice.

    Args:
        lines: exact amounts.
        rates: name of a tax → its share.
        digits: of the currency behind the point.
        rule: what becomes of a half.
        rounded_at: "line": each line and its tax is rounded, and the sums are those of the lines; "total":
        the
            exact lines are summed by tax, and each sum is rounded.

    Raises:
        KeyError: a line names a tax that has no rate.
    """

    def money(amount: Fraction) -> Decimal:
        return rounded_money(amount, digits=digits, rule=rule)

    zero = money(Fraction(0))
    by_tax: dict[str | None, list[Fraction]] = {}
    for line in lines:
        by_tax.setdefault(line.tax, []).append(line.amount)
    taxes: list[TaxSum] = []
    for name, amounts in by_tax.items():
        rate = rates[name] if name is not None else None
        bases = (
            [Fraction(money(amount)) for amount in amounts]
            if rounded_at == "line"
            else [sum(amounts, Fraction(0))]
        )
        tax = sum((money(base * rate) for base in bases), zero) if rate is not None else zero
        taxes.append(TaxSum(name, rate, sum((money(base) for base in bases), zero), tax))
    net = sum((tax.base for tax in taxes), zero)
    gross = None if None in by_tax else sum((tax.tax for tax in taxes), net)
    return Bill(tuple(money(line.amount) for line in lines), net, tuple(taxes), gross)
