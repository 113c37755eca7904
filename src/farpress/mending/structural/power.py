"""Where a supply or its battery gives too little: the next larger one that is sold."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Final

from farpress.case.case import Case
from farpress.catalogue.store import load_catalogue
from farpress.domain.finding import Change, Finding, Link, Verdict
from farpress.domain.refs import SupplyRef, refs_of
from farpress.mending.candidates import Candidate
from farpress.units import write_quantity

__all__ = ["power"]

_SUPPLY: Final = frozenset({"SUP-01", "SUP-03", "SUP-08", "SUP-10", "SUP-11", "SUP-14"})
_BATTERY: Final = frozenset({"SUP-04", "SUP-10"})
_STEPS: Final = 3
"""So many larger ones are tried; our choice."""

_MINUTES: Final = 45
_BATTERY_MINUTES: Final = 20
"""Our choice, a firm's own norms come first."""


def power(case: Case, findings: Iterable[Finding]) -> Iterator[Candidate]:
    """Supplies with more amperes, and batteries with more ampere-hours, in steps of what is sold."""
    wanted: dict[tuple[str, bool], None] = {}
    for finding in findings:
        if finding.verdict is Verdict.FAILS:
            for supply in refs_of(SupplyRef, finding.subjects):
                if finding.code in _SUPPLY:
                    wanted[supply.path, False] = None
                if finding.code in _BATTERY:
                    wanted[supply.path, True] = None
    for path, is_battery in wanted:
        yield from _batteries(case, path) if is_battery else _supplies(case, path)


def _supplies(case: Case, path: str) -> Iterator[Candidate]:
    """Of the same kind, its volts as they are; only how much it is rated for is larger."""
    own = case.equipment.supplies.get(path)
    if own is None or own.sheet.rated_a is None or own.sheet.rated_va is not None:
        return
    sold = {
        part.sheet.rated_a
        for part in load_catalogue().parts["supply"].values()
        if part.sheet.supply == own.sheet.supply and part.sheet.rated_a is not None
    }
    for rated in sorted(amperes for amperes in sold if amperes > own.sheet.rated_a)[:_STEPS]:
        written = write_quantity(rated, "current")
        yield Candidate(
            f"A supply {path} of the same kind for {written} instead of"
            f" {write_quantity(own.sheet.rated_a, 'current')}",
            (Change((*_entry(path), "rated"), written),),
            Link.SUPPLY,
            _MINUTES,
        )


def _batteries(case: Case, path: str) -> Iterator[Candidate]:
    own = case.equipment.batteries.get(path)
    if own is None or own.sheet.capacity_ah is None:
        return
    sold = {
        part.sheet.capacity_ah
        for part in load_catalogue().parts["battery"].values()
        if part.sheet.capacity_ah is not None
    }
    for capacity in sorted(hours for hours in sold if hours > own.sheet.capacity_ah)[:_STEPS]:
        yield Candidate(
            f"A battery of {capacity:g} Ah of the same kind in {path} instead of"
            f" {own.sheet.capacity_ah:g} Ah",
            (Change((*_entry(path), "battery", "capacity"), f"{capacity:g} Ah"),),
            Link.SUPPLY,
            _BATTERY_MINUTES,
        )


def _entry(path: str) -> tuple[str, ...]:
    supply = SupplyRef(path)
    return ("premises", supply.premises.path, "supplies", supply.name)
