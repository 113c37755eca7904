"""Where a supply or its battery gives too little: the next larger one that is sold, or another supply for
what needs more volts than a battery gives at its end.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import product
from typing import Any, Final

from farpress.case.case import Case
from farpress.case.driven import driven_of
from farpress.catalogue.store import load_catalogue
from farpress.domain.finding import Change, Finding, Link, Verdict
from farpress.domain.parts import Part, SupplySheet
from farpress.domain.refs import OutputRef, SupplyRef, refs_of
from farpress.mending.candidates import Candidate
from farpress.mending.structural.as_written import as_written, free_name
from farpress.units import write_quantity

__all__ = ["power"]

_SUPPLY: Final = frozenset({"SUP-01", "SUP-03", "SUP-08", "SUP-10", "SUP-11", "SUP-14"})
_BATTERY: Final = frozenset({"SUP-04", "SUP-10"})
_STEPS: Final = 3
"""So many larger ones are tried; our choice."""

_VOLTS: Final = frozenset({"SUP-01"})

_LIKE: Final = 0.15
"""Nominal volts may differ by this share, 13.6 V feeds 12 V: our choice."""

_ALIKE: Final = 0.02
"""A larger supply in the place of another has the same nominal volts but for this share: our choice."""

_MINUTES: Final = 45
_OWN_MINUTES: Final = 75
_BATTERY_MINUTES: Final = 20
"""Our choice, a firm's own norms come first."""


def power(case: Case, findings: Sequence[Finding]) -> Iterator[Candidate]:
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
    for finding in findings:
        if finding.verdict is Verdict.FAILS and finding.code in _VOLTS:
            yield from _of_their_own(case, finding)
            yield from _receiver_of_its_own(case, finding)


def _of_their_own(case: Case, finding: Finding) -> Iterator[Candidate]:
    """A supply without a battery for what an output feeds from one with a battery, the smallest first."""
    for output_ref, supply_ref in product(
        refs_of(OutputRef, finding.subjects), refs_of(SupplyRef, finding.subjects)
    ):
        output, own = case.output(output_ref.path), case.equipment.supplies.get(supply_ref.path)
        if output is None or own is None or output.output.load_from != supply_ref.name:
            continue
        sheet = own.sheet
        if supply_ref.path not in case.equipment.batteries:
            continue
        name = free_name(f"{supply_ref.name} 2", output.house.supplies)
        root = ("premises", output.premises)
        number = ("receivers", output.receiver, "outputs", output.number, "load_from")
        for part_name, entry in _without_battery(case, supply_ref.path, sheet):
            yield Candidate(
                f"Feed {output.output.works} from a supply of its own without a battery ({part_name}); it"
                " then works with the mains alone",
                (Change((*root, "supplies", name), entry), Change((*root, *number), name)),
                Link.SUPPLY,
                _OWN_MINUTES,
            )


def _receiver_of_its_own(case: Case, finding: Finding) -> Iterator[Candidate]:
    """Where the coil of a relay does not pull in at a battery's end: a supply without a battery for its
    receiver. Not where the receiver works an alarm panel or a call for help, which must go on without mains.
    """
    for output_ref, supply_ref in product(
        refs_of(OutputRef, finding.subjects), refs_of(SupplyRef, finding.subjects)
    ):
        output, own = case.output(output_ref.path), case.equipment.supplies.get(supply_ref.path)
        if output is None or own is None or output.output.via is None or output.box.fed is None:
            continue
        if output.box.fed.from_ != supply_ref.name or supply_ref.path not in case.equipment.batteries:
            continue
        worked = [
            driven
            for number in output.box.outputs
            if (other := case.output(f"{output.receiver_path}/{number}")) is not None
            for driven in driven_of(case, other)
        ]
        if any(driven.panel is not None or driven.traits.calls_help for driven in worked):
            continue
        name = free_name(f"{supply_ref.name} 2", output.house.supplies)
        root = ("premises", output.premises)
        for part_name, entry in _without_battery(case, supply_ref.path, own.sheet):
            yield Candidate(
                f"Feed {output.receiver} from a supply of its own without a battery ({part_name}), so that"
                " its relays pull in; it then works with the mains alone",
                (
                    Change((*root, "supplies", name), entry),
                    Change((*root, "receivers", output.receiver, "fed", "from"), name),
                ),
                Link.SUPPLY,
                _OWN_MINUTES,
            )


def _without_battery(case: Case, path: str, sheet: SupplySheet) -> Iterator[tuple[str, dict[str, Any]]]:
    """Part and entry of supplies of like volts that charge no battery, at the same place, smallest first."""
    written = as_written(case, *_entry(path))
    if not isinstance(written, dict) or sheet.voltage_v is None:
        return
    sold = [
        (part.sheet.rated_a or 0.0, name)
        for name, part in load_catalogue().parts["supply"].items()
        if part.sheet.supply == sheet.supply
        and part.sheet.charge_a is None
        and part.sheet.voltage_v is not None
        and abs(part.sheet.voltage_v / sheet.voltage_v - 1.0) <= _LIKE
    ]
    for _, name in sorted(sold)[:_STEPS]:
        yield name, {"part": name} | ({"at": written["at"]} if written.get("at") else {})


def _supplies(case: Case, path: str) -> Iterator[Candidate]:
    """The next larger that are sold; then of its own kind, its volts as they are, only rated for more."""
    own = case.equipment.supplies.get(path)
    if own is not None:
        yield from _larger_parts(path, own)
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


def _larger_parts(path: str, own: Part[SupplySheet]) -> Iterator[Candidate]:
    """Parts of the catalogue of like volts, with a battery as that one is or without."""
    sheet = own.sheet
    if sheet.rated_a is None or sheet.voltage_v is None or own.name is None:
        return
    sold = [
        (part.sheet.rated_a, name)
        for name, part in load_catalogue().parts["supply"].items()
        if part.sheet.supply == sheet.supply
        and part.sheet.rated_a is not None
        and part.sheet.rated_a > sheet.rated_a
        and part.sheet.voltage_v is not None
        and abs(part.sheet.voltage_v / sheet.voltage_v - 1.0) <= _ALIKE
        and (part.sheet.charge_a is None) == (sheet.charge_a is None)
        and part.sheet.rectifier == sheet.rectifier
    ]
    for _, name in sorted(sold)[:_STEPS]:
        yield Candidate(
            f"Supply {name} instead of {own.name} at {path}",
            (Change((*_entry(path), "part"), name),),
            Link.SUPPLY,
            _MINUTES,
        )


def _batteries(case: Case, path: str) -> Iterator[Candidate]:
    """The next larger ones that are sold, by name where all but their hours is alike; else of its own kind,
    which is cut off where that one is.
    """
    own = case.equipment.batteries.get(path)
    if own is None or own.sheet.capacity_ah is None:
        return
    sheet, root = own.sheet, (*_entry(path), "battery")
    larger = [
        (part.sheet.capacity_ah, name, part.sheet)
        for name, part in load_catalogue().parts["battery"].items()
        if part.sheet.capacity_ah is not None and part.sheet.capacity_ah > (sheet.capacity_ah or 0.0)
    ]
    alike = [
        (capacity, name)
        for capacity, name, other in larger
        if (other.voltage_v, other.end_v, other.usable_share)
        == (sheet.voltage_v, sheet.end_v, sheet.usable_share)
    ]
    if own.name is not None and alike and as_written(case, *root, "capacity") is None:
        for _, name in sorted(alike)[:_STEPS]:
            yield Candidate(
                f"Battery {name} instead of {own.name} in {path}",
                (Change((*root, "part"), name),),
                Link.SUPPLY,
                _BATTERY_MINUTES,
            )
        return
    for capacity in sorted({capacity for capacity, _, _ in larger})[:_STEPS]:
        yield Candidate(
            f"A battery of {capacity:g} Ah of the same kind in {path} instead of {sheet.capacity_ah:g} Ah",
            (Change((*root, "capacity"), f"{capacity:g} Ah"),),
            Link.SUPPLY,
            _BATTERY_MINUTES,
        )


def _entry(path: str) -> tuple[str, ...]:
    supply = SupplyRef(path)
    return ("premises", supply.premises.path, "supplies", supply.name)
