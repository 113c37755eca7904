"""The firm's terms: currency, taxes, rounding, validity, waste of cable. What is not given is said, not
made up.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from fractions import Fraction
from typing import Final, TypeVar, cast

from babel.numbers import get_currency_precision

from farpress.core.quoting.money import RoundedAt, RoundingRule
from farpress.errors import InputError
from farpress.papers.typesetting.spreadsheet import TableSheet
from farpress.phrases import closest, listed
from farpress.quoting.figures import DecimalSign, figure_of, plain_figure, share_of, written_share
from farpress.quoting.list_rows import ListRow, require_no_problem, rows_of_list
from farpress.quoting.prices import currency_code

__all__ = ["TERM_COLUMNS", "Terms", "pattern_terms", "term_sheet", "terms_of_table"]

TERM_COLUMNS: Final[dict[str, tuple[str, ...]]] = {
    "term": ("term",),
    "value": ("value",),
    "says": ("says", "remark"),
}
"""Column → heads that it may have."""

_TERMS: Final[dict[str, str]] = {
    "currency": "code of ISO 4217, as EUR",
    "tax": "usual rate of tax, as 20 %; 0 % where there is none",
    "tax NAME": "another rate under a name that the price list gives in its column 'tax'",
    "rounding": "half up (0.125 becomes 0.13) or half even (0.12)",
    "rounded at": "line (each line, and its tax) or total (only the sums)",
    "valid": "days from the date of the quotation",
    "cable waste": "share of cable that goes to waste, as 5 %",
    "cable at each end": "metres more at each end of a cable, as 0.5 m",
    "condition": "a sentence of yours for the end of the quotation; may stand several times",
}
"""Term → what it is."""

_RULES: Final[tuple[RoundingRule, ...]] = ("half up", "half even")
_PLACES: Final[tuple[RoundedAt, ...]] = ("line", "total")

_Word = TypeVar("_Word", bound=str)


@dataclass(frozen=True)
class Terms:
    """A firm's terms.

    Attributes:
        currency: its code; "" where none is given: then no money is printed.
        taxes: name → rate as a share; "" is the usual one.
        rounding, rounded_at: what the firm says; else "half up" by "line", which is then said as ours.
        valid_days: None where none is given.
        waste: share of cable that goes to waste.
        end_m: more at each end of a cable [m].
        conditions: sentences of the firm.
        assumed: what the firm does not say and how it was taken, as sentences.
        ignored: heads of columns that mean nothing here.
    """

    currency: str = ""
    taxes: Mapping[str, Fraction] = field(default_factory=dict)
    rounding: RoundingRule = "half up"
    rounded_at: RoundedAt = "line"
    valid_days: int | None = None
    waste: Fraction = Fraction(0)
    end_m: Decimal = Decimal(0)
    conditions: tuple[str, ...] = ()
    assumed: tuple[str, ...] = (
        "Rounding: half of the smallest unit goes up, line by line; the firm's terms do not say.",
        "Cable: no waste and nothing at the ends is added; the firm's terms do not say.",
    )
    ignored: tuple[str, ...] = ()

    @property
    def digits(self) -> int:
        """Digits behind the point of the currency."""
        return int(get_currency_precision(self.currency)) if self.currency else 2


def terms_of_table(table: Sequence[Sequence[str]], *, sign: DecimalSign = "") -> Terms:
    """Read a firm's terms.

    Args:
        table: cells as they stand in the file.
        sign: its decimal sign, where its owner says it.

    Raises:
        FirmListFaults: anything in it is wrong; every fault with its row and column.
    """
    rows = rows_of_list(table, TERM_COLUMNS, needed=("term", "value"))
    given: dict[str, ListRow] = {}
    conditions: list[str] = []
    taxes: dict[str, Fraction] = {}
    for row in rows.rows:
        name = row.cells["term"].casefold()
        if name == "condition":
            conditions.append(row.cells["value"])
            continue
        if name.startswith("tax ") or name == "tax":
            rate = rows.need(row, "value", lambda text: share_of(text, sign=sign), _TERMS["tax"])
            if rate is not None and name not in given:
                taxes[name.removeprefix("tax").strip()] = rate
        elif name not in _TERMS:
            known = closest(name, _TERMS) or f"; terms are {listed(_TERMS)}"
            rows.say(row.number, "term", f"'{name[:40]}' is no term{known}.")
        if name in given:
            rows.say(row.number, "term", f"'{name}' stands in row {given[name].number} already. Keep one.")
        given.setdefault(name, row)

    def read(name: str, reader: Callable[[str], _Value]) -> _Value | None:
        return rows.need(given[name], "value", reader, _TERMS[name]) if name in given else None

    currency = read("currency", currency_code)
    rounding = read("rounding", lambda text: _word(text, _RULES))
    rounded_at = read("rounded at", lambda text: _word(text, _PLACES))
    valid = read("valid", _days)
    waste = read("cable waste", lambda text: share_of(text, sign=sign))
    end_m = read("cable at each end", lambda text: _metres(text, sign))
    require_no_problem(rows, "list of terms")
    usual = Terms()
    assumed = (
        *(usual.assumed[:1] if rounding is None or rounded_at is None else ()),
        *(usual.assumed[1:] if waste is None and end_m is None else ()),
    )
    return Terms(
        currency or "",
        taxes,
        rounding or usual.rounding,
        rounded_at or usual.rounded_at,
        valid,
        Fraction(0) if waste is None else waste,
        Decimal(0) if end_m is None else end_m,
        tuple(conditions),
        assumed,
        rows.ignored,
    )


def pattern_terms() -> TableSheet:
    """A form of terms to fill in: every term, what it is, and no value."""
    return TableSheet(
        "terms", ("term", "value", "says"), tuple((name, None, says) for name, says in _TERMS.items())
    )


def term_sheet(terms: Terms) -> TableSheet:
    """Terms as a table, to be written and read again; what was assumed is not written."""
    is_rounding_ours = any(says in terms.assumed for says in Terms().assumed[:1])
    is_waste_ours = any(says in terms.assumed for says in Terms().assumed[1:])
    rows: list[tuple[str, str]] = [("currency", terms.currency)] if terms.currency else []
    rows += [(f"tax {name}".strip(), written_share(rate)) for name, rate in terms.taxes.items()]
    if not is_rounding_ours:
        rows += [("rounding", terms.rounding), ("rounded at", terms.rounded_at)]
    if terms.valid_days is not None:
        rows.append(("valid", str(terms.valid_days)))
    if not is_waste_ours:
        rows += [
            ("cable waste", written_share(terms.waste)),
            ("cable at each end", f"{plain_figure(terms.end_m)} m"),
        ]
    rows += [("condition", condition) for condition in terms.conditions]
    return TableSheet("terms", ("term", "value"), tuple(rows))


_Value = TypeVar("_Value")


def _word(text: str, known: tuple[_Word, ...]) -> _Word:
    if text.casefold() not in known:
        raise InputError(f"'{text[:30]}' is none of {listed(known, last=' or ')}")
    return cast("_Word", text.casefold())


def _days(text: str) -> int:
    bare = text.casefold().removesuffix("days").removesuffix("day").strip()
    if not (bare.isascii() and bare.isdigit()) or not 1 <= int(bare) <= 3660:
        raise InputError(f"'{text[:30]}' is no number of days; write 30")
    return int(bare)


def _metres(text: str, sign: DecimalSign) -> Decimal:
    if not text.endswith("m"):
        raise InputError(f"'{text[:30]}' is no length; write it with its unit, as 0.5 m")
    length = figure_of(text[:-1].strip(), sign=sign)
    if not 0 <= length <= 100:
        raise InputError(f"'{text[:30]}' lies outside 0 m to 100 m")
    return length
