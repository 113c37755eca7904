"""What a changed job takes more and less than before: the quantities and the money of a change order."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from farpress.core.quoting.money import rounded_money
from farpress.quoting.pricing import PricedLine
from farpress.quoting.quotation import Quotation

__all__ = ["QuantityChange", "QuoteDifference", "difference_of"]


@dataclass(frozen=True)
class QuantityChange:
    """One article whose quantity differs.

    Attributes:
        name, unit: of the article.
        was, becomes: what is bought of it; 0 where it is not.
        money: more (or less) to pay without tax; None where one of the two has no price.
    """

    name: str
    unit: str
    was: Decimal
    becomes: Decimal
    money: Decimal | None


@dataclass(frozen=True)
class QuoteDifference:
    """A change order.

    Attributes:
        before, after: both quoted by the same lists.
        changes: in the order of the lines, those that fall away last.
        net: difference of the sums without tax; None where it cannot be told.
        gross: with tax; None likewise.
    """

    before: Quotation
    after: Quotation
    changes: tuple[QuantityChange, ...]
    net: Decimal | None
    gross: Decimal | None

    @property
    def missing(self) -> str:
        """What the difference does not hold; empty for a whole one."""
        unpriced = sum(change.money is None for change in self.changes)
        return f"without {unpriced} of {len(self.changes)} changes" if unpriced else ""


def difference_of(before: Quotation, after: Quotation) -> QuoteDifference:
    """Compare two quotations that were made by the same lists of the firm."""
    old, new = ({(line.name, line.unit): line for line in quoted.lines} for quoted in (before, after))
    changes = tuple(
        QuantityChange(
            *key,
            old[key].bought if key in old else Decimal(0),
            new[key].bought if key in new else Decimal(0),
            _money(old.get(key), new.get(key), after),
        )
        for key in dict.fromkeys([*new, *old])
        if key not in old or key not in new or _is_other(old[key], new[key])
    )
    old_bill, new_bill = before.bill, after.bill
    net = gross = None
    if old_bill is not None and new_bill is not None:
        net = new_bill.net - old_bill.net
        if old_bill.gross is not None and new_bill.gross is not None:
            gross = new_bill.gross - old_bill.gross
    return QuoteDifference(before, after, changes, net, gross)


def _is_other(old: PricedLine, new: PricedLine) -> bool:
    return (old.bought, old.packs, old.amount) != (new.bought, new.packs, new.amount)


def _money(old: PricedLine | None, new: PricedLine | None, after: Quotation) -> Decimal | None:
    """The difference of the two lines as they are printed."""
    terms = after.lists.terms
    amounts = [
        rounded_money(line.amount, digits=terms.digits, rule=terms.rounding)
        if line is not None and line.amount is not None
        else None
        for line in (old, new)
    ]
    was, becomes = amounts
    if (old is not None and was is None) or (new is not None and becomes is None):
        return None
    zero = Decimal(0)
    return (becomes if becomes is not None else zero) - (was if was is not None else zero)
