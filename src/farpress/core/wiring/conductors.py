"""What a core of copper is worth as a resistor: from its gauge, area, heat and length.

Tables of maximum resistance belong to the cables of the catalogue, not here.
"""

from __future__ import annotations

import math
from typing import Final

from farpress.errors import require_range
from farpress.sources import Mark, cites

__all__ = [
    "COPPER_CLAD_FACTOR_HIGH",
    "COPPER_CLAD_FACTOR_LOW",
    "COPPER_RESISTIVITY_OHM_MM2_PER_M",
    "TEMPERATURE_COEFFICIENT_PER_K",
    "awg_diameter_mm",
    "core_area_mm2",
    "core_resistance_ohm_per_km",
    "heated_resistance_ohm_per_km",
    "loop_resistance_ohm",
]

COPPER_RESISTIVITY_OHM_MM2_PER_M: Final = 1 / 58
"""Annealed copper of 100 % conductivity at 20 degC: IEC 60028, from memory."""

TEMPERATURE_COEFFICIENT_PER_K: Final = 0.00393
"""Of the resistance of annealed copper, at 20 degC: IEC 60028, from memory."""

COPPER_CLAD_FACTOR_LOW: Final = 1.5
COPPER_CLAD_FACTOR_HIGH: Final = 1.7
"""Copper-clad aluminium against copper of the same area; common practice, from memory."""


@cites("ASTM B258", place="gauge formula", mark=Mark.MEMORY)
def awg_diameter_mm(gauge: int) -> float:
    """Diameter of a solid wire of the American wire gauge [mm].

    Args:
        gauge: number of the gauge, -3 (0000) to 40.

    Example:
        >>> awg_diameter_mm(22)
        0.6438
    """
    require_range("gauge", gauge, "", low=-3, high=40, because="the gauge table of ASTM B258")
    return float(0.127 * 92 ** ((36 - gauge) / 39))


@cites("area of a circle", mark=Mark.COMPUTED)
def core_area_mm2(*, diameter_mm: float) -> float:
    """Cross-section of a solid round core [mm2].

    "0.5 mm cable" is ambiguous: as a diameter it is 0.196 mm2.

    >>> core_area_mm2(diameter_mm=0.5)
    0.1963
    """
    require_range("diameter_mm", diameter_mm, "mm", low=1e-3, because="our choice", hint="Was that metres?")
    return math.pi * diameter_mm**2 / 4


@cites("resistivity of annealed copper, 1/58 ohm mm2/m", place="IEC 60028", mark=Mark.MEMORY)
def core_resistance_ohm_per_km(
    *, area_mm2: float, resistivity_ohm_mm2_per_m: float = COPPER_RESISTIVITY_OHM_MM2_PER_M
) -> float:
    """Resistance of one kilometre of one core at 20 degC, from its true metal area [ohm/km].

    This is the ideal value; a cable may have more (the maxima of IEC 60228 class 5 lie
    about 13 % above it, thin tinned strands up to 23 %).

    Args:
        area_mm2: of metal in one core [mm2].
        resistivity_ohm_mm2_per_m: of the metal at 20 degC; copper unless said otherwise [ohm mm2/m].

    >>> core_resistance_ohm_per_km(area_mm2=0.22)
    78.37
    """
    require_range("area_mm2", area_mm2, "mm2", low=1e-4, because="our choice")
    require_range(
        "resistivity_ohm_mm2_per_m",
        resistivity_ohm_mm2_per_m,
        "ohm mm2/m",
        low=0.01,
        high=1.0,
        because="metals used for cores",
    )
    return 1000 * resistivity_ohm_mm2_per_m / area_mm2


@cites("temperature coefficient of copper, 0.00393 per kelvin", place="IEC 60028", mark=Mark.MEMORY)
def heated_resistance_ohm_per_km(*, resistance_20_ohm_per_km: float, temperature_degc: float) -> float:
    """Resistance of a core at another temperature than 20 degC [ohm/km].

    >>> heated_resistance_ohm_per_km(resistance_20_ohm_per_km=26.0, temperature_degc=50.0)
    29.065
    """
    require_range(
        "resistance_20_ohm_per_km", resistance_20_ohm_per_km, "ohm/km", low=0.0, because="a resistance"
    )
    require_range(
        "temperature_degc",
        temperature_degc,
        "degC",
        low=-60.0,
        high=200.0,
        because="the linear rule holds near room temperature",
    )
    return resistance_20_ohm_per_km * (1 + TEMPERATURE_COEFFICIENT_PER_K * (temperature_degc - 20))


@cites("resistance of two conductors in series", mark=Mark.COMPUTED)
def loop_resistance_ohm(
    *, length_m: float, core_ohm_per_km: float, parallel: int = 1, terminals_ohm: float = 0.0
) -> float:
    """Resistance there and back [ohm].

    Args:
        length_m: length of the route, once [m].
        core_ohm_per_km: of one core [ohm/km].
        parallel: cores joined for each conductor.
        terminals_ohm: of one terminal; a loop has two [ohm].

    >>> loop_resistance_ohm(length_m=24.0, core_ohm_per_km=96.0)
    4.608
    """
    require_range("length_m", length_m, "m", low=0.0, because="a length")
    require_range("core_ohm_per_km", core_ohm_per_km, "ohm/km", low=0.0, because="a resistance")
    require_range("parallel", parallel, "", low=1, because="at least one core carries the current")
    require_range("terminals_ohm", terminals_ohm, "ohm", low=0.0, because="a resistance")
    return 2 * length_m * core_ohm_per_km / 1000 / parallel + 2 * terminals_ohm
