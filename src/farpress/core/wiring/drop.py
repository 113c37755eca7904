"""Voltage lost along one cable that feeds one load, and what would keep it within a limit.

Not for supplies or returns that several loads share: those are solved as a network.
"""

from __future__ import annotations

import math
from typing import Final

from farpress.errors import require_range
from farpress.sources import Mark, cites

__all__ = [
    "ALUMINIUM_SERVICE_OHM_MM2_PER_M",
    "COPPER_SERVICE_OHM_MM2_PER_M",
    "ac_drop_v",
    "dc_drop_v",
    "maximum_length_m",
    "minimum_area_mm2",
]

COPPER_SERVICE_OHM_MM2_PER_M: Final = 0.0225
"""Resistivity in normal service, 1.25 times that at 20 degC: IEC 60364-5-52:2009 Annex G."""

ALUMINIUM_SERVICE_OHM_MM2_PER_M: Final = 0.036
"""The same for aluminium."""


@cites("Ohm's law", mark=Mark.COMPUTED)
def dc_drop_v(*, current_a: float, loop_ohm: float) -> float:
    """Voltage lost there and back [V].

    >>> dc_drop_v(current_a=0.35, loop_ohm=3.90)
    1.365
    """
    require_range("current_a", current_a, "A", low=0.0, because="a load draws current")
    require_range("loop_ohm", loop_ohm, "ohm", low=0.0, because="a resistance")
    return current_a * loop_ohm


@cites("IEC 60364-5-52", edition="2009", place="Annex G", mark=Mark.COPY)
def ac_drop_v(
    *,
    current_a: float,
    length_m: float,
    area_mm2: float,
    power_factor: float,
    reactance_ohm_per_m: float,
    three_phase: bool = False,
    resistivity_ohm_mm2_per_m: float = COPPER_SERVICE_OHM_MM2_PER_M,
) -> float:
    r"""Voltage drop of an alternating current circuit by the formula of Annex G [V].

    .. math:: u = b (\rho_1 L / S \cos\varphi + \lambda L \sin\varphi) I_B

    Args:
        current_a: design current [A].
        length_m: straight length of the wiring system [m].
        area_mm2: cross-section of a conductor [mm2].
        power_factor: cos phi; Annex G takes 0.8 where nothing is known.
        reactance_ohm_per_m: per length of a conductor; 0.08e-3 where nothing is known [ohm/m].
        three_phase: b = 1 instead of 2.
        resistivity_ohm_mm2_per_m: of the conductor in normal service [ohm mm2/m].

    Returns:
        Drop between the two conductors (single-phase) or to neutral (three-phase) [V].
    """
    require_range("current_a", current_a, "A", low=0.0, because="a load draws current")
    require_range("length_m", length_m, "m", low=0.0, because="a length")
    require_range("area_mm2", area_mm2, "mm2", low=1e-4, because="our choice")
    require_range("power_factor", power_factor, "", low=0.0, high=1.0, because="a cosine")
    require_range(
        "reactance_ohm_per_m",
        reactance_ohm_per_m,
        "ohm/m",
        low=0.0,
        high=0.01,
        because="our choice",
        hint="Was that milliohm?",
    )
    factor = 1 if three_phase else 2
    sine = math.sqrt(1 - power_factor**2)
    return (
        factor
        * (
            resistivity_ohm_mm2_per_m * length_m / area_mm2 * power_factor
            + reactance_ohm_per_m * length_m * sine
        )
        * current_a
    )


@cites("Ohm's law, solved for the length", mark=Mark.COMPUTED)
def maximum_length_m(*, allowed_drop_v: float, current_a: float, core_ohm_per_km: float) -> float:
    """Longest route that loses no more than a voltage [m]; infinite for no current.

    >>> maximum_length_m(allowed_drop_v=0.6, current_a=0.5, core_ohm_per_km=39.0)
    15.38
    """
    require_range("allowed_drop_v", allowed_drop_v, "V", low=0.0, because="nothing is left to lose")
    require_range("current_a", current_a, "A", low=0.0, because="a load draws current")
    require_range("core_ohm_per_km", core_ohm_per_km, "ohm/km", low=1e-6, because="a core has resistance")
    return math.inf if current_a == 0 else allowed_drop_v * 1000 / (2 * current_a * core_ohm_per_km)


@cites("Ohm's law, solved for the area", mark=Mark.COMPUTED)
def minimum_area_mm2(
    *, allowed_drop_v: float, current_a: float, length_m: float, resistivity_ohm_mm2_per_m: float
) -> float:
    """Smallest metal area of a core that loses no more than a voltage [mm2]; infinite if none is allowed.

    Args:
        allowed_drop_v: what may be lost there and back [V].
        current_a: the load's current [A].
        length_m: length of the route, once [m].
        resistivity_ohm_mm2_per_m: of the cable as it is, heat and stranding included [ohm mm2/m].
    """
    require_range("allowed_drop_v", allowed_drop_v, "V", low=0.0, because="nothing is left to lose")
    require_range("current_a", current_a, "A", low=0.0, because="a load draws current")
    require_range("length_m", length_m, "m", low=0.0, because="a length")
    if current_a * length_m == 0:
        return 0.0
    return (
        math.inf
        if allowed_drop_v == 0
        else 2 * current_a * length_m * resistivity_ohm_mm2_per_m / allowed_drop_v
    )
