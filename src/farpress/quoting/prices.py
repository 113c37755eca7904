"""The firm's price list: read whole or refused whole, and written so that it reads back the same."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from decimal import Decimal
from typing import Final

from babel.numbers import list_currencies

from farpress.errors import InputError
from farpress.papers.typesetting.spreadsheet import TableSheet
from farpress.phrases import closest
from farpress.quoting.figures import DecimalSign, figure_of
from farpress.quoting.list_rows import ListRow, ListRows, require_no_problem, rows_of_list
from farpress.quoting.selling_units import SellingUnit, selling_unit

__all__ = [
    "PRICE_COLUMNS",
    "WORK",
    "ComesWith",
    "Price",
    "PriceList",
    "currency_code",
    "price_sheet",
    "prices_of_table",
    "same_article",
]

WORK: Final = "work"
"""Article that an hour of work is priced under."""

PRICE_COLUMNS: Final[dict[str, tuple[str, ...]]] = {
    "article": ("article", "part", "item"),
    "unit": ("unit", "per", "sold by"),
    "price": ("price", "net price", "price without tax", "unit price"),
    "tax": ("tax", "tax name"),
    "supplier": ("supplier",),
    "order no": ("order no", "order number"),
    "cost": ("cost", "cost price", "purchase price"),
    "comes with": ("comes with", "contains"),
    "says": ("says", "description", "remark"),
}
"""Column → heads that it may have."""

_COMES: Final = re.compile(r"(?P<count>[0-9]{1,4}) (?:x )?(?P<article>\S.*)")
_CURRENCY: Final = re.compile(r".*?[ ,(]+([A-Z]{3})\)?")


@dataclass(frozen=True)
class ComesWith:
    """So many pieces of another article come in the box."""

    count: int
    article: str

    def __str__(self) -> str:
        return f"{self.count} x {self.article}"


@dataclass(frozen=True)
class Price:
    """One article of the list.

    Attributes:
        article: part name of the job or the catalogue, or one of our own words, as "fob label".
        unit: what the price is for.
        price: to the customer, without tax.
        tax: name of its tax in the terms; "" for the usual one.
        supplier, order_no: for the order list.
        cost: what the supplier asks, without tax; None where the list does not say.
        comes_with: what else is in the box.
        says: remark.
    """

    article: str
    unit: SellingUnit
    price: Decimal
    tax: str = ""
    supplier: str = ""
    order_no: str = ""
    cost: Decimal | None = None
    comes_with: tuple[ComesWith, ...] = ()
    says: str = ""


@dataclass(frozen=True)
class PriceList:
    """A price list without a fault.

    Attributes:
        prices: article in small letters → its price, in the order of the list.
        currency: code of ISO 4217 that stands in its head; "" where none does.
        ignored: heads of columns that mean nothing here.
    """

    prices: Mapping[str, Price] = field(default_factory=dict)
    currency: str = ""
    ignored: tuple[str, ...] = ()

    def of(self, article: str) -> Price | None:
        """The price of an article; None where the list has none."""
        return self.prices.get(same_article(article))

    def joined(self, newer: PriceList) -> PriceList:
        """This list with the articles of a newer one; what the newer does not have stays.

        Raises:
            InputError: the two are in different currencies.
        """
        if self.currency and newer.currency and self.currency != newer.currency:
            raise InputError(
                f"The list that is kept is in {self.currency}, the new one in {newer.currency}. Replace"
                " the kept"
                " list whole, or give the new one in the same currency."
            )
        return replace(
            newer, prices={**self.prices, **newer.prices}, currency=newer.currency or self.currency
        )


def same_article(name: str) -> str:
    """An article's name as it is looked up: capitals and spaces do not count."""
    return " ".join(name.casefold().split())


def currency_code(text: str) -> str:
    """A currency by its code.

    Raises:
        InputError: no code of ISO 4217.
    """
    code = text.strip()
    if code not in list_currencies():
        near = closest(code.upper(), list_currencies(), most=1, cutoff=0.6)
        raise InputError(
            f"'{code[:20]}' is no currency; give its code of three letters after ISO 4217, as EUR{near}"
        )
    return code


def prices_of_table(table: Sequence[Sequence[str]], *, sign: DecimalSign = "") -> PriceList:
    """Read a price list.

    Args:
        table: cells as they stand in the file.
        sign: its decimal sign, where its owner says it.

    Raises:
        FirmListFaults: anything in it is wrong or open; every fault with its row and column.
    """
    rows = rows_of_list(table, PRICE_COLUMNS, needed=("article", "unit", "price"))
    currency = _currency(rows)
    first: dict[str, tuple[int, Price]] = {}
    units: dict[str, tuple[int, SellingUnit]] = {}
    for row in rows.rows:
        article = row.cells["article"]
        if not article:
            rows.say(row.number, "article", "nothing stands here; name the part as the job has it.")
        unit = rows.need(row, "unit", selling_unit, "write piece, m, drum of 100 m, box of 50 pieces or h")
        price = rows.need(
            row, "price", lambda text: _amount(text, sign), "give the price, or take the row out of the list"
        )
        cost = rows.read(row, "cost", lambda text: _amount(text, sign))
        comes = rows.read(row, "comes with", _comes_with)
        key = same_article(article)
        if article and unit is not None:
            line, other = units.setdefault(key, (row.number, unit))
            if other != unit:
                says = (
                    f"'{article}' is priced by {unit} here and by {other} in row {line}: two"
                    " units for one article."
                )
                rows.say(row.number, "unit", f"{says} Keep one.")
        _hours_for_work(rows, row, article, unit)
        if not article or unit is None or price is None:
            continue
        cells = row.cells
        made = Price(
            article,
            unit,
            price,
            cells.get("tax", ""),
            cells.get("supplier", ""),
            cells.get("order no", ""),
            cost,
            comes or (),
            cells.get("says", ""),
        )
        line, before = first.setdefault(key, (row.number, made))
        if line != row.number and before.unit == unit:
            what = "the same row again" if before == made else "another price or supplier"
            rows.say(
                row.number, "article", f"'{article}' stands in row {line} already: {what}. Keep one row."
            )
    require_no_problem(rows, "price list")
    return PriceList({key: price for key, (_, price) in first.items()}, currency, rows.ignored)


def price_sheet(prices: Iterable[Price], currency: str) -> TableSheet:
    """A price list as a table, to be written and read again.

    Args:
        prices: in order.
        currency: its code, for the heads; empty for none.
    """
    money = f", {currency}" if currency else ""
    return TableSheet(
        "prices",
        (
            "article",
            "unit",
            f"price{money}",
            "tax",
            "supplier",
            "order no",
            f"cost{money}",
            "comes with",
            "says",
        ),
        tuple(
            (
                price.article,
                str(price.unit),
                price.price,
                price.tax or None,
                price.supplier or None,
                price.order_no or None,
                price.cost,
                "; ".join(map(str, price.comes_with)) or None,
                price.says or None,
            )
            for price in prices
        ),
    )


def _currency(rows: ListRows) -> str:
    """The currency in the heads of price and cost; the same in both."""
    codes: dict[str, str] = {}
    for name in ("price", "cost"):
        found = _CURRENCY.fullmatch(rows.heads.get(name, ""))
        if found is not None:
            codes[name] = found[1]
    for name, code in codes.items():
        try:
            currency_code(code)
        except InputError as error:
            rows.say(0, name, f"{error}.")
    if len(set(codes.values())) > 1:
        rows.say(
            0,
            "cost",
            f"prices are in {codes['price']} and costs in {codes['cost']}; give both in one currency.",
        )
    return next(iter(codes.values()), "")


def _amount(text: str, sign: DecimalSign) -> Decimal:
    amount = figure_of(text, sign=sign)
    if amount < 0:
        raise InputError(f"{text} is less than nothing; a price is 0 or more")
    return amount


def _comes_with(text: str) -> tuple[ComesWith, ...]:
    found = [_COMES.fullmatch(part.strip()) for part in text.split(";")]
    if None in found:
        raise InputError(f"'{text[:60]}' does not say how many of what; write it as '2 x fob-4; 1 x whip'")
    return tuple(ComesWith(int(part["count"]), part["article"].strip()) for part in found if part is not None)


def _hours_for_work(rows: ListRows, row: ListRow, article: str, unit: SellingUnit | None) -> None:
    """Work is priced by the hour, and nothing else is."""
    is_work = same_article(article) == WORK
    if unit is not None and article and is_work is not (unit.counts == "h"):
        says = (
            f"'{WORK}' is priced by the hour"
            if is_work
            else f"only the article '{WORK}' is priced by the hour"
        )
        rows.say(row.number, "unit", f"{says}; here stands {unit}.")
