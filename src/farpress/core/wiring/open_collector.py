"""A transistor output that pulls an input down to its own 0 V: what the input sees of it."""

from __future__ import annotations

import math
from typing import NamedTuple

from farpress.errors import require_range
from farpress.sources import Mark, cites

__all__ = [
    "LowLevel",
    "delay_s",
    "equivalent",
    "ground_shift_v",
    "low_level_v",
    "pick_up_v",
    "pull_up_range_ohm",
]


class LowLevel(NamedTuple):
    """Current that is drawn down [A] and the resistance that the output looks like [ohm]."""

    current_a: float
    ohm: float


@cites("Ohm's law with a constant saturation voltage", mark=Mark.COMPUTED)
def equivalent(*, supply_v: float, pull_up_ohm: float, saturation_v: float) -> LowLevel:
    """What a loop input with a pull-up takes an open collector for.

    >>> equivalent(supply_v=13.8, pull_up_ohm=2200.0, saturation_v=0.8).ohm
    135.4
    """
    require_range("pull_up_ohm", pull_up_ohm, "ohm", low=1.0, because="our choice")
    require_range(
        "saturation_v",
        saturation_v,
        "V",
        low=0.0,
        high=supply_v - 1e-6,
        because="it must lie below the supply",
    )
    current_a = (supply_v - saturation_v) / pull_up_ohm
    return LowLevel(current_a, saturation_v / current_a)


@cites("bounds of a pull-up resistor", mark=Mark.COMPUTED)
def pull_up_range_ohm(
    *, supply_v: float, low_v: float, high_v: float, sink_a: float, input_low_a: float = 0.0, leakage_a: float
) -> tuple[float, float]:
    """Smallest and largest pull-up resistor [ohm].

    Args:
        supply_v: the pull-up goes to [V].
        low_v: of the output when on [V].
        high_v: least voltage that the input reads as high [V].
        sink_a: what the output may sink [A].
        input_low_a: what the inputs add to it [A].
        leakage_a: of outputs and inputs when off [A].
    """
    require_range(
        "sink_a - input_low_a",
        sink_a - input_low_a,
        "A",
        low=1e-9,
        because="nothing is left for the resistor",
    )
    require_range("leakage_a", leakage_a, "A", low=0.0, because="a current")
    most = math.inf if leakage_a == 0 else (supply_v - high_v) / leakage_a
    return (supply_v - low_v) / (sink_a - input_low_a), most


@cites("Ohm's law", mark=Mark.COMPUTED)
def ground_shift_v(*, return_a: float, core_ohm: float) -> float:
    """How far a common 0 V core lifts the far end by the current that returns in it [V].

    >>> ground_shift_v(return_a=0.5, core_ohm=2.88)
    1.44
    """
    require_range("core_ohm", core_ohm, "ohm", low=0.0, because="a resistance")
    return abs(return_a) * core_ohm


@cites("saturation voltage and ground shift add", mark=Mark.COMPUTED)
def low_level_v(*, saturation_v: float, shift_v: float) -> float:
    """Voltage an input sees when the output at the other end is on [V].

    Args:
        saturation_v: left across the transistor [V].
        shift_v: between the two 0 V [V].
    """
    return saturation_v + shift_v


@cites("current through the capacitance between cores", mark=Mark.COMPUTED)
def pick_up_v(
    *, voltage_v: float, frequency_hz: float, capacitance_f_per_m: float, length_m: float, load_ohm: float
) -> float:
    """Voltage that a neighbouring live core drives into an input; an upper bound [V].

    >>> pick_up_v(
    ...     voltage_v=230.0, frequency_hz=50.0, capacitance_f_per_m=60e-12, length_m=50.0, load_ohm=4700.0
    ... )
    1.019
    """
    for name, value, unit in (
        ("voltage_v", voltage_v, "V"),
        ("frequency_hz", frequency_hz, "Hz"),
        ("length_m", length_m, "m"),
        ("load_ohm", load_ohm, "ohm"),
    ):
        require_range(name, value, unit, low=0.0, because="a magnitude")
    require_range(
        "capacitance_f_per_m",
        capacitance_f_per_m,
        "F/m",
        low=0.0,
        high=1e-8,
        because="our choice",
        hint="Was that picofarad?",
    )
    return min(voltage_v, 2 * math.pi * frequency_hz * capacitance_f_per_m * length_m * voltage_v * load_ohm)


@cites("charging of a capacitor", mark=Mark.COMPUTED)
def delay_s(*, resistance_ohm: float, capacitance_f: float, threshold_share: float) -> float:
    """Time an RC filter takes to a share of its final voltage [s].

    >>> 1e3 * delay_s(resistance_ohm=10e3, capacitance_f=100e-9, threshold_share=0.7)
    1.204
    """
    require_range("threshold_share", threshold_share, "", low=0.0, high=0.999, because="a share below one")
    return -resistance_ohm * capacitance_f * math.log(1 - threshold_share)
