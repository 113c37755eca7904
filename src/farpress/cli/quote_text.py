"""A quotation as text for a terminal or an e-mail: what stands against it, quantities, money, what is not
in it.
"""

from __future__ import annotations

from collections.abc import Iterable

from farpress.cli.text import table, to_ascii, wrapped
from farpress.core.quoting.money import Bill
from farpress.quoting.difference import QuoteDifference
from farpress.quoting.figures import plain_figure
from farpress.quoting.money_text import line_money, quantity_text, sum_rows
from farpress.quoting.needed import TASKS
from farpress.quoting.pricing import PricedLine
from farpress.quoting.quantities import QuantityLine
from farpress.quoting.quotation import Quotation

__all__ = ["difference_text", "quotation_text"]


def quotation_text(quotation: Quotation, *, width: int = 80, plain: bool = False) -> str:
    """Draw a quotation.

    Args:
        quotation: what to draw.
        width: columns to keep within.
        plain: only ASCII signs.
    """
    terms, counted = quotation.lists.terms, quotation.quantities
    has_money = quotation.bill is not None
    what = f"quotation in {terms.currency}" if has_money else "quantities; no money is printed without prices"
    lines = [f"{quotation.job}: {what}"]
    if quotation.valid_until is not None:
        lines.append(f"Valid until {quotation.valid_until}.")
    for warning in quotation.warnings:
        lines += wrapped(warning, width, "! ", "  ")
    lines += ["", table(_rows(quotation.lines, quotation), head=_head(quotation), width=width)]
    lines += ["", *_sums(quotation, quotation.bill, quotation.missing, width)] if has_money else []
    if counted.tasks:
        lines += ["", "Work"]
        lines.append(table([_task(line) for line in counted.tasks], width=width))
    for option in quotation.options:
        lines += ["", f"Option: {option.name}, which only wishes need"]
        lines.append(table(_rows(option.lines, quotation), head=_head(quotation), width=width))
        lines += _sums(quotation, option.bill, option.missing, width)
    lines += _block("Not counted, because nobody says it", (found.says for found in counted.open), width)
    lines += _block("Not in it", counted.excluded, width)
    lines += _block("Taken for granted", terms.assumed if has_money else (), width)
    lines += _block("Conditions", terms.conditions, width)
    lines += _block("The firm's lists", quotation.lists.origins, width)
    lines += ["", f"fingerprint {quotation.fingerprint[:16]}"]
    text = "\n".join(lines)
    return to_ascii(text) if plain else text


def difference_text(difference: QuoteDifference, *, width: int = 80, plain: bool = False) -> str:
    """Draw a change order: what differs from an earlier version, and what that costs.

    Args:
        difference: what to draw.
        width: columns to keep within.
        plain: only ASCII signs.
    """
    terms = difference.after.lists.terms
    lines = [f"{difference.after.job}: change from {difference.before.fingerprint[:16]}"]
    for warning in difference.after.warnings:
        lines += wrapped(warning, width, "! ", "  ")
    if not difference.changes:
        return "\n".join([*lines, "Nothing that is quoted changes."])
    money = f"more to pay, {terms.currency}" if terms.currency else "more to pay"
    rows = [
        (
            change.name,
            f"{plain_figure(change.was)} {change.unit}",
            f"{plain_figure(change.becomes)} {change.unit}",
            f"{change.money:f}" if change.money is not None else "no price",
        )
        for change in difference.changes
    ]
    lines += ["", table(rows, head=("article", "was", "becomes", money), width=width), ""]
    end = f", {difference.missing}" if difference.missing else ""
    for name, amount in (("without tax", difference.net), ("with tax", difference.gross)):
        if amount is not None:
            lines += wrapped(f"More to pay {name}{end}: {amount:f} {terms.currency}", width, "", "  ")
    text = "\n".join(lines)
    return to_ascii(text) if plain else text


def _head(quotation: Quotation) -> tuple[str, ...]:
    if quotation.bill is None:
        return ("article", "quantity", "")
    return ("article", "quantity", "price", "amount", "")


def _rows(lines: Iterable[PricedLine], quotation: Quotation) -> list[tuple[str, ...]]:
    found: list[tuple[str, ...]] = []
    for line in lines:
        if quotation.bill is None:
            note = line.how or line.says if line.bought else line.no_price
            found.append((line.name, quantity_text(line) if line.bought else "", note))
            continue
        amount = line_money(line, quotation.lists.terms)
        price = f"{line.price.price:f} / {line.price.unit}" if line.price is not None else ""
        note = f"NO PRICE: {line.no_price}" if line.no_price else line.how
        found.append(
            (line.name, quantity_text(line), price, f"{amount:f}" if amount is not None else "", note)
        )
    return found


def _task(line: QuantityLine) -> tuple[str, ...]:
    unit = "m" if line.unit == "m" else "times"
    says = TASKS[line.name].says if line.name in TASKS else "there and back"
    return line.name, f"{plain_figure(line.amount)} {unit}", says


def _sums(quotation: Quotation, bill: Bill | None, missing: str, width: int) -> list[str]:
    currency = quotation.lists.terms.currency
    rows = [f"{name}: {amount:f} {currency}" for name, amount in sum_rows(bill, missing)]
    return [line for row in rows for line in wrapped(row, width, "", "  ")]


def _block(title: str, sentences: Iterable[str], width: int) -> list[str]:
    told = list(sentences)
    return ["", title, *(line for says in told for line in wrapped(says, width, "- ", "  "))] if told else []
