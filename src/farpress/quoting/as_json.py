"""A quotation for programs: figures as text, so that no digit of money is lost."""

from __future__ import annotations

import json
from decimal import Decimal
from typing import Any

from farpress.core.quoting.money import Bill
from farpress.quoting.difference import QuoteDifference
from farpress.quoting.figures import plain_figure
from farpress.quoting.money_text import line_money
from farpress.quoting.pricing import PricedLine
from farpress.quoting.quantities import QuantityLine
from farpress.quoting.quotation import Quotation

__all__ = ["quotation_json"]


def quotation_json(quotation: Quotation, difference: QuoteDifference | None = None) -> str:
    """A quotation, and the difference to an earlier version where one is given, as JSON text."""
    terms, counted = quotation.lists.terms, quotation.quantities
    made: dict[str, Any] = {
        "job": quotation.job,
        "fingerprint": quotation.fingerprint,
        "date": quotation.day.isoformat() if quotation.day else None,
        "valid_until": quotation.valid_until.isoformat() if quotation.valid_until else None,
        "warnings": list(quotation.warnings),
        "currency": terms.currency or None,
        "lines": [_line(line, quotation) for line in quotation.lines],
        "tasks": [_task(line) for line in counted.tasks],
        "sums": _sums(quotation.bill),
        "sum_is_whole": quotation.bill is not None and not quotation.missing,
        "missing": quotation.missing or None,
        "options": [
            {
                "name": option.name,
                "lines": [_line(line, quotation) for line in option.lines],
                "sums": _sums(option.bill),
            }
            for option in quotation.options
        ],
        "not_offered": dict(counted.refused),
        "excluded": list(counted.excluded),
        "not_counted": [{"says": found.says, "who": str(found.who)} for found in counted.open],
        "taken_for_granted": list(terms.assumed),
        "lists": list(quotation.lists.origins),
    }
    if difference is not None:
        made["difference"] = {
            "from_fingerprint": difference.before.fingerprint,
            "changes": [
                {
                    "article": change.name,
                    "unit": change.unit,
                    "was": plain_figure(change.was),
                    "becomes": plain_figure(change.becomes),
                    "money": _money(change.money),
                }
                for change in difference.changes
            ],
            "net": _money(difference.net),
            "gross": _money(difference.gross),
            "missing": difference.missing or None,
        }
    return json.dumps(made, indent=2, ensure_ascii=False)


def _line(line: PricedLine, quotation: Quotation) -> dict[str, Any]:
    return {
        "article": line.name,
        "says": line.says,
        "unit": line.unit,
        "needed": plain_figure(line.line.amount) if line.line is not None else None,
        "bought": plain_figure(line.bought),
        "packs": line.packs,
        "how": line.how,
        "price": _money(line.price.price) if line.price is not None and line.amount is not None else None,
        "price_is_for": str(line.price.unit) if line.price is not None else None,
        "amount": _money(line_money(line, quotation.lists.terms)),
        "no_price": line.no_price or None,
    }


def _task(line: QuantityLine) -> dict[str, Any]:
    return {"task": line.name, "unit": line.unit, "amount": plain_figure(line.amount)}


def _sums(bill: Bill | None) -> dict[str, Any] | None:
    if bill is None:
        return None
    return {
        "net": _money(bill.net),
        "taxes": [
            {"name": tax.name, "rate": str(tax.rate), "base": _money(tax.base), "tax": _money(tax.tax)}
            for tax in bill.taxes
            if tax.rate is not None
        ],
        "gross": _money(bill.gross),
    }


def _money(amount: Decimal | None) -> str | None:
    return None if amount is None else f"{amount:f}"
