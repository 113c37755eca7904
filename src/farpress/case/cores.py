"""Cables of a job as resistance: one core, one run there and back, and the next larger cable.

The worst case is meant: cores at their largest permitted resistance, and hot. What is not
known stays unknown; nothing is guessed here.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from farpress.case.case import Case
from farpress.core.wiring.conductors import (
    COPPER_CLAD_FACTOR_HIGH,
    core_area_mm2,
    core_resistance_ohm_per_km,
    heated_resistance_ohm_per_km,
    loop_resistance_ohm,
)
from farpress.domain.parts import CableSheet, Part
from farpress.domain.premises import CableRun
from farpress.sources import Citation, Mark, cited

__all__ = [
    "COLD_DEGC",
    "CONTACT_OHM",
    "HOT",
    "HOT_DEGC",
    "Core",
    "core_of",
    "core_of_run",
    "cores_of_run",
    "drawn_from_m",
    "first_m",
    "hot_degc_of",
    "is_clad",
    "larger_cables",
    "loop_ohm_of",
    "metered_ohm",
    "named_cores",
]

HOT_DEGC: Final = 50.0
"""Temperature of a core in the worst case: our choice, for a roof space or sunny wall; 12 % more resistance
than at 20 degC."""

WARMER_INSIDE_K: Final = 10.0
"""What a loaded core is warmer than the air around its cable: our choice; 40 degC of air make 50 degC."""

COLD_DEGC: Final = -10.0
"""Temperature of a core when volts are to be highest: our choice, a frosty garden."""

CONTACT_OHM: Final = 0.05
"""Of a terminal or a contact, in a reading [ohm]; common practice."""

HOT: Final = Citation("cores at 50 °C, loads at their label current", mark=Mark.CHOICE)

_STRANDED_FACTOR: Final = {True: 1.23, False: 1.16}
"""Largest permitted over ideal resistance, below and from 0.5 mm2, where only an area is known: read off IEC
60228 class 5 and VDE 0295."""

_TINNED_FACTOR: Final = {True: 1.27, False: 1.20}
"""The same for tinned strands, of which most alarm cable is made."""

_SOLID_FACTOR: Final = 1.05
"""The same for a solid core of which only the diameter is known; our choice."""


_SPLIT: Final = re.compile(r"\s*(?:,|;|/|\+|\band\b)\s*")


@dataclass(frozen=True)
class Core:
    """One conductor of a cable: ohm per kilometre, cold and hot, cores in parallel included."""

    cold_ohm_per_km: float
    hot_ohm_per_km: float
    area_mm2: float | None
    rated_a: float | None
    sources: tuple[Citation, ...]

    def ohm_per_km(self, temperature_degc: float) -> float:
        """At another temperature [ohm/km]."""
        return heated_resistance_ohm_per_km(
            resistance_20_ohm_per_km=self.cold_ohm_per_km, temperature_degc=temperature_degc
        )


def core_of(part: Part[CableSheet], hot_degc: float = HOT_DEGC) -> Core | None:
    """One conductor of a cable at its largest permitted resistance; None if nothing is known of it."""
    sheet = part.sheet
    clad = COPPER_CLAD_FACTOR_HIGH if sheet.material == "copper-clad aluminium" else 1.0
    area = sheet.area_mm2 or (
        core_area_mm2(diameter_mm=sheet.diameter_m * 1000) if sheet.diameter_m else None
    )
    if sheet.resistance_ohm_per_km is not None:
        cold, sources = sheet.resistance_ohm_per_km, part.cite("resistance_ohm_per_km")
    elif area is not None:
        strands = _TINNED_FACTOR if sheet.material == "tinned copper" else _STRANDED_FACTOR
        factor = strands[area < 0.5] if sheet.area_mm2 else _SOLID_FACTOR
        cold = core_resistance_ohm_per_km(area_mm2=area) * factor * clad
        sources = (*part.cite("area_mm2", "diameter_m", "material"), *cited(core_resistance_ohm_per_km))
    else:
        return None
    cold /= sheet.parallel or 1
    hot = heated_resistance_ohm_per_km(resistance_20_ohm_per_km=cold, temperature_degc=hot_degc)
    rated = sheet.rated_a * (sheet.parallel or 1) if sheet.rated_a is not None else None
    return Core(cold, hot, area * (sheet.parallel or 1) if area else None, rated, (*sources, HOT))


def core_of_run(case: Case, run: CableRun | None) -> Core | None:
    """One conductor of a run; None where the run or its cable is not known."""
    part = case.equipment.cables.get(run.part) if run is not None else None
    return core_of(part, hot_degc_of(run)) if part is not None else None


def is_clad(case: Case, run: CableRun | None) -> bool:
    """Whether the sheet of its cable says already that its cores are copper-clad aluminium."""
    part = case.equipment.cables.get(run.part) if run is not None else None
    return part is not None and part.sheet.material == "copper-clad aluminium"


def hot_degc_of(run: CableRun | None) -> float:
    """Temperature of the copper of a run in the worst case: by the air around it, if given [degC]."""
    if run is None or run.warmest_degc is None:
        return HOT_DEGC
    return float(run.warmest_degc + WARMER_INSIDE_K)


def named_cores(run: CableRun | None) -> tuple[str, ...]:
    """Cores as the job names them, by colour or number: "white, green", "1 and 2"."""
    return tuple(name for name in _SPLIT.split(run.cores) if name) if run is not None and run.cores else ()


def cores_of_run(run: CableRun | None) -> tuple[tuple[str, str], bool]:
    """Outgoing core and way back, and whether the job names them; else they are numbered 1 and 2."""
    names = named_cores(run)
    return ((names[0], names[1]), True) if len(names) >= 2 else (("1", "2"), False)


def drawn_from_m(run: CableRun, pieces: int) -> float:
    """From which length of a run all its pieces together lose as many volts as the last of them does [m].

    Pieces that draw the same and sit evenly: each sends its current through the way to it alone, and the sum
    of the ways is their number times the mean of the first and the last.
    """
    if run.first_after_m is None or pieces < 2:
        return float(run.length_m)
    return float(min(run.first_after_m, run.length_m) + run.length_m) / 2.0


def first_m(run: CableRun) -> float:
    """How far its first piece lies, which a peak reaches over the least copper [m]."""
    return float(run.length_m if run.first_after_m is None else min(run.first_after_m, run.length_m))


def loop_ohm_of(case: Case, run: CableRun | None) -> float | None:
    """Hot resistance of a run, there and back [ohm]; None if unknown."""
    core = core_of_run(case, run)
    return (
        loop_resistance_ohm(length_m=run.length_m, core_ohm_per_km=core.hot_ohm_per_km)
        if core and run
        else None
    )


def metered_ohm(case: Case, run: CableRun | None) -> float | None:
    """What a meter shows of a run there and back, cold, with its terminals [ohm]; None if unknown."""
    core = core_of_run(case, run)
    if core is None or run is None:
        return None
    return loop_resistance_ohm(
        length_m=run.length_m, core_ohm_per_km=core.cold_ohm_per_km, terminals_ohm=CONTACT_OHM
    )


def larger_cables(case: Case, run: CableRun) -> Iterator[tuple[str, Core]]:
    """Copper cables with less resistance than a run's own, the thinnest first; American gauges only where
    they are sold.
    """
    own = core_of_run(case, run)
    gauges = case.job.region == "north america" or run.part.startswith("awg")
    known = (
        (name, core_of(part))
        for name, part in case.equipment.cables.items()
        if part.sheet.material != "copper-clad aluminium" and (gauges or not name.startswith("awg"))
    )
    cores = sorted(
        ((name, core) for name, core in known if core is not None), key=lambda pair: -pair[1].hot_ohm_per_km
    )
    yield from (
        (name, core)
        for name, core in cores
        if own is None or core.hot_ohm_per_km < own.hot_ohm_per_km * 0.999
    )
