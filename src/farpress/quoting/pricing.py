"""Lines with money: how much of an article is bought, what that costs by the firm's list, or why it has no
price.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from farpress.core.quoting.cutting import cut_from_drums
from farpress.core.quoting.money import Bill, BillLine, billed
from farpress.errors import InputError
from farpress.phrases import listed
from farpress.quoting.figures import plain_figure, written_share
from farpress.quoting.norms import Norms
from farpress.quoting.prices import WORK, Price, PriceList, same_article
from farpress.quoting.quantities import QuantityLine
from farpress.quoting.terms import Terms

__all__ = ["PricedLine", "minutes_of", "priced_lines", "summed"]


@dataclass(frozen=True)
class PricedLine:
    """One line of a quotation.

    Attributes:
        line: what is needed; None for the work, which is one line.
        name, says: of the article.
        bought: so much is bought, with waste, less what comes with others, in whole packs where only those
        are
            sold: in what the line is counted in.
        packs: whole packs of it; None where any amount is sold.
        how: what was added and taken away, in words.
        price: of the list; None where there is none.
        times: the price is paid so many times; None where there is none, or it does not fit.
        amount: exact, without tax; None without a price.
        no_price: why there is no amount; empty where there is one.
        without: tasks that are not in it, because the firm has no norm for them.
    """

    line: QuantityLine | None
    name: str
    says: str
    unit: str
    bought: Decimal
    packs: int | None
    how: str
    price: Price | None
    times: Fraction | None
    amount: Fraction | None
    no_price: str
    without: tuple[str, ...] = ()


def priced_lines(
    lines: Iterable[QuantityLine], prices: PriceList, terms: Terms, norms: Norms
) -> tuple[PricedLine, ...]:
    """Price parts line by line, and all work as one line of hours.

    Args:
        lines: parts and tasks.
        prices, terms, norms: the firm's own; empty ones give lines without money.
    """
    given = tuple(lines)
    parts = [line for line in given if not line.is_task]
    along = _comes_along(parts, prices)
    priced = [_part(line, prices, terms, along) for line in parts]
    minutes, without = minutes_of((line for line in given if line.is_task), norms)
    if any(line.is_task for line in given):
        priced.append(_work(minutes, without, prices, terms))
    return tuple(priced)


def minutes_of(tasks: Iterable[QuantityLine], norms: Norms) -> tuple[Decimal, tuple[str, ...]]:
    """Minutes of some tasks by the firm's norms, and the tasks that it has no norm for."""
    minutes, without = Decimal(0), []
    for line in tasks:
        norm = norms.by_task.get(line.name)
        if norm is None:
            without.append(line.name)
        else:
            minutes += line.amount * norm.minutes
    return minutes, tuple(without)


def summed(lines: Iterable[PricedLine], terms: Terms) -> Bill | None:
    """The sums of the lines that have a price; None where no currency is given, or no line has a price."""
    priced = [
        BillLine(line.amount, _tax(line.price, terms))
        for line in lines
        if line.amount is not None and line.price is not None
    ]
    if not terms.currency or not priced:
        return None
    return billed(
        lines=priced, rates=terms.taxes, digits=terms.digits, rule=terms.rounding, rounded_at=terms.rounded_at
    )


def _tax(price: Price, terms: Terms) -> str | None:
    return price.tax if price.tax in terms.taxes else None


def _comes_along(
    parts: Iterable[QuantityLine], prices: PriceList
) -> Mapping[str, tuple[int, tuple[str, ...]]]:
    """Article in small letters → pieces that come with others, and with which."""
    found: dict[str, tuple[int, tuple[str, ...]]] = {}
    for line in parts:
        price = prices.of(line.name)
        for more in price.comes_with if price is not None else ():
            count, names = found.get(same_article(more.article), (0, ()))
            found[same_article(more.article)] = (count + more.count * int(line.amount), (*names, line.name))
    return found


def _part(
    line: QuantityLine, prices: PriceList, terms: Terms, along: Mapping[str, tuple[int, tuple[str, ...]]]
) -> PricedLine:
    price = prices.of(line.name)
    how: list[str] = []
    if line.unit == "m":
        pieces = [(needed.amount + 2 * terms.end_m) * (1 + _decimal(terms.waste)) for needed in line.needed]
        bought = Decimal(math.ceil(sum(pieces)))
        if terms.end_m:
            how.append(f"{plain_figure(terms.end_m)} m more at each of {2 * len(pieces)} ends")
        if terms.waste:
            how.append(f"{written_share(terms.waste)} waste")
    else:
        pieces, bought = [], line.amount
        count, names = along.get(same_article(line.name), (0, ()))
        less = min(Decimal(count), bought)
        if less:
            bought -= less
            how.append(f"{plain_figure(less)} come with {listed(dict.fromkeys(names))}")
    packs: int | None = None
    times: Fraction | None = None
    why = ""
    if price is None:
        why = "not in the price list" if prices.prices else "no price list"
    elif price.unit.counts != line.unit:
        why = f"the list prices it by {price.unit}, and it is counted in {_counted(line)}"
    elif price.unit.pack:
        try:
            packs = _packs(pieces, bought, price)
        except InputError as error:
            why = str(error).rstrip(".")
        else:
            bought = packs * price.unit.size
            times = Fraction(packs)
            how.append(f"{packs} x {price.unit}")
    else:
        times = Fraction(bought) / Fraction(price.unit.size)
    amount, why = _amount(price, times, why, terms)
    return PricedLine(
        line, line.name, line.says, line.unit, bought, packs, "; ".join(how), price, times, amount, why
    )


def _packs(pieces: list[Decimal], bought: Decimal, price: Price) -> int:
    if pieces:
        return len(cut_from_drums(pieces_m=pieces, drum_m=price.unit.size))
    return math.ceil(bought / price.unit.size)


def _work(minutes: Decimal, without: tuple[str, ...], prices: PriceList, terms: Terms) -> PricedLine:
    """All work as one line; its amount comes from the minutes, not from the hours as they are printed."""
    price = prices.of(WORK)
    how, why = f"{plain_figure(minutes)} minutes by the firm's norms", ""
    times: Fraction | None = None
    if without:
        how += f"; without {listed(without)}, for which there is no norm"
    if not minutes:
        how, why = "", "no norms"
    elif price is None:
        why = "not in the price list" if prices.prices else "no price list"
    else:
        times = Fraction(minutes) / 60 / Fraction(price.unit.size)
    amount, why = _amount(price, times, why, terms)
    hours = (minutes / 60).quantize(Decimal("0.01"))
    return PricedLine(None, WORK, "working time", "h", hours, None, how, price, times, amount, why, without)


def _amount(
    price: Price | None, times: Fraction | None, why: str, terms: Terms
) -> tuple[Fraction | None, str]:
    """The exact amount, or why there is none."""
    if price is None or times is None:
        return None, why
    return (Fraction(price.price) * times, "") if terms.currency else (None, "the terms give no currency")


def _counted(line: QuantityLine) -> str:
    return "metres" if line.unit == "m" else "pieces"


def _decimal(share: Fraction) -> Decimal:
    return Decimal(share.numerator) / Decimal(share.denominator)
