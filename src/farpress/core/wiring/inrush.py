"""The first moment after switching on: peak, energy and duration of an empty capacitor's charge."""

from __future__ import annotations

import math

from farpress.errors import require_range
from farpress.sources import Mark, cites

__all__ = ["adiabatic_current_a", "capacitor_energy_j", "capacitor_peak_a", "melting_integral_a2s"]


@cites("Ohm's law at the first moment", mark=Mark.COMPUTED)
def capacitor_peak_a(*, voltage_v: float, loop_ohm: float) -> float:
    """Peak into an empty capacitor, limited by cable and source alone [A].

    >>> capacitor_peak_a(voltage_v=24.0, loop_ohm=0.5)
    48.0
    """
    require_range("voltage_v", voltage_v, "V", low=0.0, because="a voltage")
    require_range(
        "loop_ohm", loop_ohm, "ohm", low=1e-6, because="without resistance the current has no limit"
    )
    return voltage_v / loop_ohm


@cites("energy of a capacitor", mark=Mark.COMPUTED)
def capacitor_energy_j(*, capacitance_f: float, voltage_v: float) -> float:
    """Energy that goes into a capacitor; as much again is lost in the resistance [J].

    >>> 1e3 * capacitor_energy_j(capacitance_f=100e-6, voltage_v=24.0)
    28.8
    """
    require_range(
        "capacitance_f",
        capacitance_f,
        "F",
        low=0.0,
        high=100.0,
        because="our choice",
        hint="Was that microfarad?",
    )
    return capacitance_f * voltage_v**2 / 2


@cites("integral of a half sine", mark=Mark.COMPUTED)
def melting_integral_a2s(*, peak_a: float, half_width_s: float) -> float:
    """I2t of a peak taken as a half sine whose width at half height is known [A2 s].

    A half sine is above half its height for two thirds of its length.

    >>> melting_integral_a2s(peak_a=22.0, half_width_s=305e-6)
    0.1107
    """
    require_range("peak_a", peak_a, "A", low=0.0, because="a magnitude")
    require_range("half_width_s", half_width_s, "s", low=0.0, because="a time")
    return peak_a**2 * half_width_s * 1.5 / 2


@cites("adiabatic heating of copper in PVC, k = 115", place="IEC 60364-5-54", mark=Mark.MEMORY)
def adiabatic_current_a(*, area_mm2: float, time_s: float, k: float = 115.0) -> float:
    """Current that a core survives for a short time [A].

    Args:
        area_mm2: of the core [mm2].
        time_s: until the fuse has cleared, at most 5 s [s].
        k: of conductor and insulation [A sqrt(s) / mm2].
    """
    require_range("area_mm2", area_mm2, "mm2", low=1e-4, because="our choice")
    require_range("time_s", time_s, "s", low=1e-4, high=5.0, because="beyond 5 s heat leaves the core")
    return k * area_mm2 / math.sqrt(time_s)
