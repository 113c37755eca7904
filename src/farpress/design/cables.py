"""Which cable goes where: the thinnest that is good enough by a first sum, the job's own before the
catalogue's.

Whether enough volts arrive and a short is noticed, the circuit says when the whole is judged.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, Final

from farpress.case.case import Case
from farpress.case.cores import Core, core_of
from farpress.domain.parts import CableSheet
from farpress.units import write_quantity

__all__ = ["cable_run", "contact_cable", "feed_cable", "mains_cable"]

_DROP: Final = 0.05
"""Of the nominal volts that a cable may take by the first sum: our choice."""

_LEAST_MM2: Final = 0.34
"""Thinnest core that feeds something by the first sum: our choice, what a terminal holds well."""

_MAINS_MM2: Final = 1.5
"""Of a cable for mains: common practice, no source; the licensed person has the last word."""

_USUAL_CONTACT: Final = "alarm-4x0.22"
_USUAL_MAINS: Final = "solid-3x1.5"


def cable_run(part: str, metres: float, **more: str) -> dict[str, Any]:
    """A cable in a job file."""
    return {"part": part, "length": write_quantity(float(metres), "length"), **more}


def contact_cable(case: Case, cores: int = 2) -> str:
    """For a contact that only closes an input: alarm cable."""
    own = [
        (core.hot_ohm_per_km, name)
        for name, sheet, core in _own(case)
        if not sheet.mains_rated and (sheet.cores or 0) >= cores
    ]
    return max(own)[1] if own else _USUAL_CONTACT


def feed_cable(case: Case, *, amperes: float | None, volts: float, metres: float) -> str:
    """For a feed of extra-low voltage: the thinnest that takes at most a twentieth of its volts."""
    most_ohm = _DROP * volts / max(amperes or 0.0, 0.05)
    for known in (list(_own(case)), list(_listed(case))):
        fit = [
            (core.hot_ohm_per_km, name)
            for name, sheet, core in known
            if (sheet.cores or 0) >= 2
            and _area_mm2(sheet) >= _LEAST_MM2
            and 2.0 * core.hot_ohm_per_km * metres / 1000.0 <= most_ohm
            and (sheet.rated_a is None or sheet.rated_a >= (amperes or 0.0))
        ]
        if fit:
            return max(fit)[1]
    thick = [(core.hot_ohm_per_km, name) for name, sheet, core in (*_own(case), *_listed(case))]
    return min(thick)[1]


def mains_cable(case: Case, cores: int = 2) -> str:
    """For a contact that switches mains."""
    own = [
        (core.hot_ohm_per_km, name)
        for name, sheet, core in _own(case)
        if sheet.mains_rated and _area_mm2(sheet) >= _MAINS_MM2 and (sheet.cores or 0) >= cores
    ]
    return max(own)[1] if own else _USUAL_MAINS


def _area_mm2(sheet: CableSheet) -> float:
    return sheet.area_mm2 or 0.0


def _own(case: Case) -> Iterator[tuple[str, CableSheet, Core]]:
    for name, part in case.equipment.cables.items():
        core = core_of(part)
        if name in case.job.parts and core is not None and part.sheet.material != "copper-clad aluminium":
            yield name, part.sheet, core


def _listed(case: Case) -> Iterator[tuple[str, CableSheet, Core]]:
    """Flexible cables with two cores of the catalogue."""
    for name, part in case.equipment.cables.items():
        core = core_of(part)
        is_usual = name.startswith("flex-2x") and name not in case.job.parts
        if is_usual and core is not None:
            yield name, part.sheet, core
