"""What is ordered from whom, and what is taken along on which visit."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from farpress.core.quoting.money import rounded_money
from farpress.quoting.needed import NeededItem
from farpress.quoting.pricing import PricedLine
from farpress.quoting.quotation import Quotation
from farpress.quoting.works import visit_of

__all__ = ["NO_SUPPLIER", "OrderLine", "Picking", "orders_of", "pickings_of"]

NO_SUPPLIER = "no supplier named"
"""Where the price list names none."""


@dataclass(frozen=True)
class OrderLine:
    """One article to order.

    Attributes:
        quantity: in whole packs where only those are sold, else in what it is counted in.
        unit: what the quantity counts: "drum of 100 m", "piece", "m".
        cost: of all of it, by the price list; None where it names none.
    """

    article: str
    says: str
    order_no: str
    quantity: Decimal
    unit: str
    cost: Decimal | None


@dataclass(frozen=True)
class Picking:
    """What is taken along to one premises on one visit; "" for what belongs to none."""

    premises: str
    visit: int
    pieces: tuple[NeededItem, ...]


def orders_of(quotation: Quotation) -> dict[str, tuple[OrderLine, ...]]:
    """Supplier → what is ordered there, in the order of the lines; options are not in it."""
    found: dict[str, list[OrderLine]] = {}
    for line in quotation.lines:
        if line.line is None or not line.bought:
            continue
        supplier = line.price.supplier if line.price is not None else ""
        found.setdefault(supplier or NO_SUPPLIER, []).append(_order(line, quotation))
    return {supplier: tuple(lines) for supplier, lines in found.items()}


def pickings_of(quotation: Quotation) -> tuple[Picking, ...]:
    """Parts by premises and visit, as the firm's norms have the tasks on them."""
    found: dict[tuple[str, int], list[NeededItem]] = {}
    for line in quotation.quantities.parts:
        for needed in line.needed:
            found.setdefault((needed.premises, visit_of(needed, quotation.lists.norms)), []).append(needed)
    return tuple(
        Picking(*place, tuple(found[place]))
        for place in sorted(found, key=lambda place: (not place[0], place))
    )


def _order(line: PricedLine, quotation: Quotation) -> OrderLine:
    price, terms = line.price, quotation.lists.terms
    is_packed = line.packs is not None and price is not None
    quantity = Decimal(line.packs or 0) if is_packed else line.bought
    unit = str(price.unit) if is_packed and price is not None else line.unit
    cost = None
    if price is not None and price.cost is not None and line.times is not None:
        cost = rounded_money(Fraction(price.cost) * line.times, digits=terms.digits, rule=terms.rounding)
    return OrderLine(line.name, line.says, price.order_no if price is not None else "", quantity, unit, cost)
