"""What changes of a job take beside time: parts that are new, those that are spared, and money.

Counted over the whole job before and after, what stands there already too: a change at a standing receiver
is bought like any other. Money comes from the firm's own price list alone.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, replace
from decimal import Decimal

from farpress.case.case import Case
from farpress.domain.job import Delivery
from farpress.phrases import listed
from farpress.quoting.figures import plain_figure
from farpress.quoting.laying import needed_laying
from farpress.quoting.needed import NeededItem, PartUnit
from farpress.quoting.pricing import PricedLine, priced_lines, summed
from farpress.quoting.quantities import QuantityLine
from farpress.quoting.quotation import FirmLists
from farpress.quoting.things import needed_things

__all__ = ["ChangedParts", "changed_parts"]


@dataclass(frozen=True)
class ChangedParts:
    """What the changes of a job take.

    Attributes:
        new: parts that are to be bought, priced by the firm's list.
        spared: parts that the job does not need any more, with how much of each.
        net: sum of the new parts without tax; None where no money can be told.
        currency: of it.
        has_prices: whether the firm has a price list.
    """

    new: tuple[PricedLine, ...]
    spared: tuple[QuantityLine, ...]
    net: Decimal | None = None
    currency: str = ""
    has_prices: bool = False

    @property
    def told(self) -> tuple[str, ...]:
        """Sentences: what is to be bought, what is spared, what that costs; none where nothing is."""
        lines = []
        if self.new:
            lines.append(f"To buy: {'; '.join(_counted(line.bought, line) for line in self.new)}.")
        if self.spared:
            lines.append(
                f"Not needed any more: {'; '.join(_counted(line.amount, line) for line in self.spared)}."
            )
        if self.new:
            lines.append(self._money())
        return tuple(lines)

    def as_json(self) -> dict[str, object]:
        """For programs: money as text, so that it stays exact."""
        return {
            "new": [
                {"part": line.name, "unit": line.unit, "amount": plain_figure(line.bought)}
                | {"has_price": line.amount is not None}
                for line in self.new
            ],
            "not_needed": [
                {"part": line.name, "unit": line.unit, "amount": plain_figure(line.amount)}
                for line in self.spared
            ],
            "net": None if self.net is None else str(self.net),
            "currency": self.currency,
        }

    def _money(self) -> str:
        if self.net is None:
            why = "no price of them is known" if self.has_prices else "no price list is kept"
            return f"What that costs is not told: {why}."
        without = [line.name for line in self.new if line.amount is None]
        less = f"; not in it, as the list has no price: {listed(without)}" if without else ""
        return f"Parts by the firm's price list, without tax and work: {self.net:f} {self.currency}{less}."


def _counted(amount: Decimal, line: PricedLine | QuantityLine) -> str:
    """As "3 relay-12v" and "12 m flex-2x1.5"."""
    return f"{plain_figure(amount)} {'m ' if line.unit == 'm' else ''}{line.name}"


def changed_parts(before: Case, after: Case, lists: FirmLists | None = None) -> ChangedParts:
    """Count what a changed job needs more and less than before.

    Args:
        before, after: the job.
        lists: of the firm; without a price list no money is told.
    """
    given = lists or FirmLists()
    had, has = _pieces(before), _pieces(after)
    more = tuple(
        _line(key, pieces, has[key] - had[key])
        for key, pieces in _by_part(after).items()
        if has[key] > had[key]
    )
    less = tuple(
        _line(key, pieces, had[key] - has[key])
        for key, pieces in _by_part(before).items()
        if had[key] > has[key]
    )
    priced = priced_lines(more, given.prices, given.terms, given.norms)
    bill = summed(priced, given.terms)
    return ChangedParts(
        priced,
        less,
        bill.net if bill is not None else None,
        given.terms.currency or given.prices.currency,
        bool(given.prices.prices),
    )


_Part = tuple[str, PartUnit]


def _by_part(case: Case) -> dict[_Part, list[NeededItem]]:
    """Pieces and metres of every part, whether it stands there already or not."""
    delivery = Delivery(delivers=case.job.delivery.delivers)
    whole = replace(case, job=case.job.model_copy(update={"delivery": delivery}), job_without_evidence=None)
    found: dict[_Part, list[NeededItem]] = defaultdict(list)
    for needed in (*needed_things(whole), *needed_laying(whole)):
        if not needed.is_task:
            found[needed.name, needed.unit].append(needed)
    return found


def _pieces(case: Case) -> defaultdict[_Part, Decimal]:
    sums: defaultdict[_Part, Decimal] = defaultdict(Decimal)
    for key, pieces in _by_part(case).items():
        sums[key] = sum((needed.amount for needed in pieces), Decimal(0))
    return sums


def _line(key: _Part, pieces: list[NeededItem], amount: Decimal) -> QuantityLine:
    """So much of a part, as one piece: where it comes from is told by the changes."""
    name, unit = key
    says = next((needed.says for needed in pieces if needed.says), "")
    premises = {needed.premises for needed in pieces}
    item = NeededItem(name, amount, premises.pop() if len(premises) == 1 else "", "", says=says, unit=unit)
    return QuantityLine(name, unit, amount, says, (item,), is_task=False)
