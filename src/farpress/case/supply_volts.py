"""How many volts a supply gives, at least; and the frequency of the mains where a job is."""

from __future__ import annotations

from dataclasses import dataclass

from farpress.case.case import Case
from farpress.domain.parts import BatterySheet, Part, SupplySheet
from farpress.sources import Citation

__all__ = ["Lowest", "lowest_of", "mains_hz"]


@dataclass(frozen=True)
class Lowest:
    """The lowest voltage a supply comes down to.

    Attributes:
        volts: at its terminals, or behind `source_ohm` [V].
        says: which one that is, in words.
        source_ohm: resistance that is not yet in it [ohm].
        is_nominal: only the rated voltage is known.
        sources: where it comes from.
    """

    volts: float
    says: str
    source_ohm: float
    is_nominal: bool
    sources: tuple[Citation, ...]


def lowest_of(part: Part[SupplySheet], battery: Part[BatterySheet] | None) -> Lowest | None:
    """The lowest voltage of a supply: its own, or that of its battery at the end; None if nothing (or nothing
    but 0 V) is known.
    """
    sheet = part.sheet
    known = (
        [(battery.sheet.end_v, "the battery at its end", battery.cite("end_v"))]
        if battery and battery.sheet.end_v
        else []
    )
    if sheet.voltage_min_v:
        known.append((sheet.voltage_min_v, "the supply", part.cite("voltage_min_v")))
    if known:  # both are terminal voltages under load, so the source resistance is in them
        volts, says, sources = min(known, key=lambda row: row[0])
        return Lowest(volts, says, 0.0, battery is not None and battery.sheet.end_v is None, sources)
    if not sheet.voltage_v:
        return None
    return Lowest(
        sheet.voltage_v, "the supply", sheet.source_ohm or 0.0, True, part.cite("voltage_v", "source_ohm")
    )


def mains_hz(case: Case) -> float:
    """Frequency of the mains where the job is; 50 Hz where no region is given, as it makes no difference to
    thin cables [Hz].
    """
    return 60.0 if case.job.region == "north america" else 50.0
