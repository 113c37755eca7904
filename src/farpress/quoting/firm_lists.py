"""The firm's lists on disk: told apart by their heads, read, kept in the user's settings, taken up by a
quotation.
"""

from __future__ import annotations

import hashlib
import os
import sys
from collections.abc import Sequence
from dataclasses import dataclass
from dataclasses import replace as with_values
from decimal import Decimal
from pathlib import Path
from typing import Final, Literal

from farpress.errors import InputError
from farpress.keys.import_cells import column_heads, plain_cell
from farpress.keys.table import read_table
from farpress.papers.typesetting.spreadsheet import TableSheet, sheet_csv, sheets_xlsx
from farpress.papers.typesetting.write import write_file
from farpress.phrases import plural
from farpress.quoting.figures import DecimalSign, plain_figure
from farpress.quoting.norms import NORM_COLUMNS, Norms, norm_sheet, norms_of_table
from farpress.quoting.prices import PRICE_COLUMNS, PriceList, price_sheet, prices_of_table
from farpress.quoting.quotation import FirmLists, Quotation
from farpress.quoting.terms import TERM_COLUMNS, Terms, term_sheet, terms_of_table
from farpress.table_cells import unharmed

__all__ = [
    "FirmList",
    "ListChange",
    "ListKind",
    "firm_lists",
    "joined_lists",
    "keep_list",
    "kept_list",
    "kept_lists_folder",
    "list_changes",
    "list_of_table",
    "read_firm_list",
    "sheet_of_list",
    "told_list",
    "unpriced_sheet",
    "workbook_of_list",
]

ListKind = Literal["prices", "norms", "terms"]
FirmList = PriceList | Norms | Terms
"""One of the three lists of a firm."""

_HEADS: Final[dict[ListKind, tuple[dict[str, tuple[str, ...]], tuple[str, ...]]]] = {
    "prices": (PRICE_COLUMNS, ("article",)),
    "norms": (NORM_COLUMNS, ("task",)),
    "terms": (TERM_COLUMNS, ("term",)),
}
"""Kind of a list → its columns, and the one that tells it from the others."""

_WHAT: Final = {"prices": "price list", "norms": "list of norms", "terms": "list of terms"}


@dataclass(frozen=True)
class ListChange:
    """What taking a list over does to one entry: what it is called, what it was, what it becomes."""

    name: str
    was: str
    becomes: str


def kept_lists_folder() -> Path:
    """Where the firm's lists are kept: the user's settings as the operating system calls them.

    XDG Base Directory Specification on Linux: `$XDG_CONFIG_HOME`, else `~/.config`.
    """
    if sys.platform == "win32":
        base = Path(os.environ.get("APPDATA") or Path.home() / "AppData" / "Roaming")
    elif sys.platform == "darwin":
        base = Path.home() / "Library" / "Application Support"
    else:
        given = os.environ.get("XDG_CONFIG_HOME", "")  # the specification: a relative path is no path
        base = Path(given) if given and Path(given).is_absolute() else Path.home() / ".config"
    return base / "farpress" / "lists"


def list_of_table(
    table: Sequence[Sequence[str]], *, kind: ListKind | None = None, sign: DecimalSign = ""
) -> tuple[ListKind, FirmList]:
    """Read one of the firm's lists.

    Args:
        table: cells as they stand in the file.
        kind: which list it is; None: told by its heads.
        sign: its decimal sign, where its owner says it.

    Raises:
        InputError: it is none of the three, or has faults, all of them told.
    """
    found = kind or _kind(table)
    match found:
        case "prices":
            return found, prices_of_table(table, sign=sign)
        case "norms":
            return found, norms_of_table(table, sign=sign)
        case "terms":
            return found, terms_of_table(table, sign=sign)


def read_firm_list(
    path: Path, *, kind: ListKind | None = None, sign: DecimalSign = "", encoding: str = ""
) -> tuple[ListKind, FirmList]:
    """Read one of the firm's lists from a CSV or XLSX file; see `list_of_table`."""
    if not path.is_file():
        raise InputError(f"{path} is no file. Name a CSV or XLSX list.")
    what = _WHAT[kind] if kind is not None else "price list"
    return list_of_table(read_table(path, encoding=encoding, what=what), kind=kind, sign=sign)


def kept_list(kind: ListKind) -> FirmList | None:
    """A list as it is kept; None where none is.

    Raises:
        InputError: the file that is kept has faults, by whoever changed it.
    """
    path = kept_lists_folder() / f"{kind}.csv"
    return read_firm_list(path, kind=kind)[1] if path.is_file() else None


def keep_list(kind: ListKind, new: FirmList, *, replace: bool = False) -> Path:
    """Keep a list; articles of a kept price list that the new one does not have stay, unless it is replaced.

    Raises:
        InputError: the two price lists are in different currencies.
        PaperError: it cannot be written.
    """
    path = kept_lists_folder() / f"{kind}.csv"
    write_file(path, sheet_csv(sheet_of_list(_after(kind, new, replace=replace))))
    return path


def list_changes(kind: ListKind, new: FirmList, *, replace: bool = False) -> tuple[ListChange, ...]:
    """What keeping a list would change, entry by entry.

    Raises:
        InputError: as `keep_list`.
    """
    kept = kept_list(kind)
    before = _entries(sheet_of_list(kept)) if kept is not None else {}
    after = _entries(sheet_of_list(_after(kind, new, replace=replace)))
    return tuple(
        ListChange(name, before.get(name, ""), after.get(name, ""))
        for name in dict.fromkeys([*after, *before])
        if before.get(name) != after.get(name)
    )


def firm_lists(
    *,
    prices: Path | None = None,
    norms: Path | None = None,
    terms: Path | None = None,
    sign: DecimalSign = "",
) -> FirmLists:
    """The lists for a quotation: the files that are named, else those that are kept, else none.

    Raises:
        InputError: a list has faults, or the currency of the prices is not that of the terms.
    """
    made: dict[ListKind, FirmList] = {}
    origins: list[str] = []
    kinds: tuple[tuple[ListKind, Path | None], ...] = (("prices", prices), ("norms", norms), ("terms", terms))
    for kind, named in kinds:
        path = named or kept_lists_folder() / f"{kind}.csv"
        if named is None and not path.is_file():
            continue
        made[kind] = read_firm_list(path, kind=kind, sign=sign if named is not None else "")[1]
        digest = hashlib.sha256(path.read_bytes()).hexdigest()[:16]
        origins.append(f"{_WHAT[kind]}: {'kept' if named is None else path.name}, SHA-256 {digest}")
    return joined_lists(made, tuple(origins))


def joined_lists(made: dict[ListKind, FirmList], origins: tuple[str, ...] = ()) -> FirmLists:
    """Lists that were read, together; a currency in the price list's head counts where the terms give none.

    Raises:
        InputError: the currency of the prices is not that of the terms, or a tax of the prices has no rate.
    """
    prices, norms, terms = (
        made.get("prices", PriceList()),
        made.get("norms", Norms()),
        made.get("terms", Terms()),
    )
    assert isinstance(prices, PriceList)
    assert isinstance(norms, Norms)
    assert isinstance(terms, Terms)
    if prices.currency and terms.currency and prices.currency != terms.currency:
        raise InputError(
            f"The price list is in {prices.currency}, the terms are in {terms.currency}. Which is it?"
        )
    if prices.currency and not terms.currency:
        terms = with_values(terms, currency=prices.currency)
    named = sorted({price.tax for price in prices.prices.values() if price.tax} - set(terms.taxes))
    if named and terms.taxes:
        raise InputError(
            f"The price list names the tax '{named[0]}', and the terms give no rate for it. Write a term"
            f" 'tax {named[0]}' with its rate."
        )
    return FirmLists(prices, norms, terms, origins)


def sheet_of_list(made: FirmList) -> TableSheet:
    """A list as a table that reads back the same."""
    match made:
        case PriceList():
            return price_sheet(made.prices.values(), made.currency)
        case Norms():
            return norm_sheet(made)
        case Terms():
            return term_sheet(made)


def workbook_of_list(kind: ListKind, made: FirmList) -> bytes:
    """A list as a workbook that reads back the same.

    Reading takes an apostrophe before what looks like a formula away; a text that has one of its own gets a
    second.
    """
    sheet = sheet_of_list(made)
    rows = tuple(tuple(_twice_marked(cell) for cell in row) for row in sheet.rows)
    return sheets_xlsx(_WHAT[kind], (TableSheet(sheet.name, sheet.titles, rows),))


def _twice_marked(cell: str | float | Decimal | None) -> str | float | Decimal | None:
    return f"'{cell}" if isinstance(cell, str) and unharmed(cell) != cell else cell


def told_list(kind: ListKind, made: FirmList) -> str:
    """What a list is, in a few words: "price list of 12 articles in EUR"."""
    match made:
        case PriceList():
            return (
                f"{_WHAT[kind]} of"
                f" {plural(len(made.prices), 'article')}{f' in {made.currency}' if made.currency else ''}"
            )
        case Norms():
            return f"{_WHAT[kind]} of {plural(len(made.by_task), 'task')}"
        case Terms():
            return _WHAT[kind]


def _kind(table: Sequence[Sequence[str]]) -> ListKind:
    for row in table[:20]:
        bare = [plain_cell(cell) for cell in row]
        for kind, (columns, telling) in _HEADS.items():
            if all(name in column_heads(bare, columns) for name in telling):
                return kind
    raise InputError(
        "This is none of the firm's lists: a price list has a column 'article', norms a column 'task',"
        " terms a"
        " column 'term'."
    )


def _after(kind: ListKind, new: FirmList, *, replace: bool) -> FirmList:
    if isinstance(new, PriceList) and not replace:
        kept = kept_list(kind)
        return kept.joined(new) if isinstance(kept, PriceList) else new
    return new


def _entries(sheet: TableSheet) -> dict[str, str]:
    """Name of an entry → all the rest of its row, in words; of several of one name all together."""
    found: dict[str, str] = {}
    for name, *others in sheet.rows:
        told = ", ".join(
            f"{title} {plain_figure(value) if isinstance(value, Decimal) else value}"
            for title, value in zip(sheet.titles[1:], others, strict=True)
            if value is not None
        )
        key = str(name)
        found[key] = f"{found[key]}; {told}" if key in found else told
    return found


def unpriced_sheet(quoted: Quotation) -> TableSheet:
    """A price list without prices: every article of a quotation that has none yet, to be filled in."""
    lines = (*quoted.lines, *(own for option in quoted.options for own in option.lines))
    articles = {line.name: line for line in lines if line.price is None}
    return TableSheet(
        "prices",
        ("article", "unit", "price", "tax", "supplier", "order no", "cost", "comes with", "says"),
        tuple(
            (name, line.unit, None, None, None, None, None, None, line.says or None)
            for name, line in articles.items()
        ),
    )
