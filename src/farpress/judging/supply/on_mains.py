"""What is to let go without power is judged while the mains carries it: at a battery's end it may drop."""

from __future__ import annotations

from dataclasses import replace

from farpress.case.cabling import End
from farpress.case.case import Case
from farpress.case.circuit.arriving import Arrival, least_at
from farpress.case.circuit.electrics import Electrics
from farpress.case.circuit.states import RATED_HOT
from farpress.case.supply_volts import Lowest, lowest_of
from farpress.domain.parts import Part, SupplySheet
from farpress.domain.refs import DeviceRef

__all__ = ["LETS_GO", "is_let_go", "on_mains"]

LETS_GO = " On the battery it may let go earlier: that is its job, and the safe side."


def is_let_go(case: Case, end: End) -> bool:
    """Whether an end is a door holder, which is to let go where its current fails."""
    devices = (case.equipment.devices.get(ref.path) for ref in end.subjects if isinstance(ref, DeviceRef))
    return any(part is not None and part.sheet.traits.holds_open for part in devices)


def on_mains(
    electrics: Electrics, supply: str, part: Part[SupplySheet], end: End
) -> tuple[Lowest, Arrival] | None:
    """The lowest volts that a supply gives on the mains, and what arrives then; None where one is open."""
    lowest = lowest_of(part, None)
    arrival = least_at(electrics, supply, end, RATED_HOT)
    if lowest is None or arrival is None or arrival.volts is None:
        return None
    rated = part.sheet.voltage_v or lowest.volts
    return lowest, replace(arrival, volts=arrival.volts - (rated - lowest.volts))
