"""Money and sums in words, the same in terminal, page and paper."""

from __future__ import annotations

from decimal import Decimal

from farpress.core.quoting.money import Bill, rounded_money
from farpress.quoting.figures import plain_figure, written_share
from farpress.quoting.pricing import PricedLine
from farpress.quoting.terms import Terms

__all__ = ["line_money", "quantity_text", "sum_rows"]


def line_money(line: PricedLine, terms: Terms) -> Decimal | None:
    """The amount of one line as it is printed; None where it has no price."""
    if line.amount is None:
        return None
    return rounded_money(line.amount, digits=terms.digits, rule=terms.rounding)


def quantity_text(line: PricedLine) -> str:
    """What is bought: "64 m", "3", "12.5 h"."""
    return plain_figure(line.bought) + ("" if line.unit == "piece" else f" {line.unit}")


def sum_rows(bill: Bill | None, missing: str) -> tuple[tuple[str, Decimal], ...]:
    """The sums of a bill as rows: what, how much. None of them looks whole where something is missing.

    Args:
        bill: of the quotation, or of an option.
        missing: what it does not hold.
    """
    if bill is None:
        return ()
    end = f", {missing}" if missing else ""
    rows = [(f"Sum without tax{end}", bill.net)]
    for tax in bill.taxes:
        if tax.rate is not None:
            name = f"Tax {tax.name} " if tax.name else "Tax "
            rows.append((f"{name}{written_share(tax.rate)} of {tax.base:f}", tax.tax))
    if bill.gross is not None:
        rows.append((f"Sum with tax{end}", bill.gross))
    return tuple(rows)
