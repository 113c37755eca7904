"""Coils behind a contact: energy, release time, and what catches the voltage on breaking."""

from __future__ import annotations

import cmath
import math
from typing import NamedTuple

from farpress.core.wiring.conductors import heated_resistance_ohm_per_km
from farpress.errors import InputError, require_range
from farpress.sources import Mark, cites

__all__ = [
    "Coil",
    "Peak",
    "Snubber",
    "dc13_coil",
    "hot_pull_in_v",
    "release_time_s",
    "snubber_bates",
    "snubber_leakage_a",
    "snubber_peak",
    "snubber_per_ampere",
]


@cites("temperature coefficient of copper, 0.00393 per kelvin", place="IEC 60028", mark=Mark.MEMORY)
def hot_pull_in_v(*, pull_in_20_v: float, temperature_degc: float) -> float:
    """Volts at which a coil for direct current pulls in when it is warm [V].

    It pulls in at a current, and its copper has more resistance then; what it heats itself comes on top.

    Args:
        pull_in_20_v: on its data sheet, at 20 degC [V].
        temperature_degc: around it [degC].

    >>> hot_pull_in_v(pull_in_20_v=9.6, temperature_degc=50.0)
    10.73
    """
    return heated_resistance_ohm_per_km(
        resistance_20_ohm_per_km=pull_in_20_v, temperature_degc=temperature_degc
    )


class Coil(NamedTuple):
    """A coil as resistance [ohm], inductance [H], time constant [s] and stored energy [J]."""

    ohm: float
    henry: float
    time_constant_s: float
    energy_j: float


class Snubber(NamedTuple):
    """An RC element: capacitance [F] and resistance [ohm]."""

    farad: float
    ohm: float


class Peak(NamedTuple):
    """Highest voltage across an opening contact [V], when it comes [s], and the step at once [V]."""

    volts: float
    at_s: float
    step_v: float


@cites("IEC 60947-5-1", place="category DC-13: T0.95 = 6 P, in ms and W, at most 300 ms", mark=Mark.MEMORY)
def dc13_coil(*, voltage_v: float, power_w: float) -> Coil:
    """An estimate of a DC coil of which only volts and watts are known.

    T0.95 is three time constants, so the time constant is 2 ms per watt; above 50 W it stays 100 ms.

    >>> dc13_coil(voltage_v=24.0, power_w=10.0).henry
    1.152
    """
    require_range("voltage_v", voltage_v, "V", low=0.1, because="our choice")
    require_range("power_w", power_w, "W", low=1e-3, because="our choice")
    ohm = voltage_v**2 / power_w
    tau_s = min(6e-3 * power_w, 0.3) / 3
    return Coil(ohm, tau_s * ohm, tau_s, tau_s * power_w / 2)


@cites("decay of the current in a linear coil against a constant voltage and a resistor", mark=Mark.COMPUTED)
def release_time_s(
    *,
    coil_ohm: float,
    coil_h: float,
    current_a: float,
    release_share: float,
    clamp_v: float,
    clamp_ohm: float = 0.0,
) -> float:
    """Time until a coil's current has fallen to its release value [s].

    Real relays have an inductance that changes as the armature moves: take it as an order of magnitude.

    Args:
        coil_ohm, coil_h: of the coil [ohm], [H].
        current_a: when the contact opens [A].
        release_share: release current as a share of it.
        clamp_v: voltage of diode (0.7) or diode and zener [V].
        clamp_ohm: resistor in series with the diode [ohm].

    >>> 1e3 * release_time_s(coil_ohm=320.0, coil_h=0.5, current_a=0.0375, release_share=0.2, clamp_v=0.7)
    2.203
    """
    require_range("coil_ohm", coil_ohm, "ohm", low=1e-3, because="a coil has resistance")
    require_range("coil_h", coil_h, "H", low=0.0, because="an inductance")
    require_range("current_a", current_a, "A", low=1e-9, because="a coil that carries current")
    require_range("release_share", release_share, "", low=1e-6, high=1.0, because="a share")
    require_range("clamp_v", clamp_v, "V", low=0.0, because="a voltage")
    require_range("clamp_ohm", clamp_ohm, "ohm", low=0.0, because="a resistance")
    drive_v = current_a * (coil_ohm + clamp_ohm)
    return (
        coil_h / (coil_ohm + clamp_ohm) * math.log((drive_v + clamp_v) / (release_share * drive_v + clamp_v))
    )


@cites(
    "contact protection rule of C. C. Bates", place="C = I^2/10 uF, R = U/(10 I (1 + 50/U))", mark=Mark.COPY
)
def snubber_bates(*, voltage_v: float, current_a: float) -> Snubber:
    """RC element across a contact by the rule named after Bates.

    Args:
        voltage_v: of the circuit [V].
        current_a: that is broken [A].

    >>> snubber_bates(voltage_v=110.0, current_a=1.0).ohm
    7.5625
    """
    require_range("voltage_v", voltage_v, "V", low=1.0, because="our choice")
    require_range("current_a", current_a, "A", low=1e-4, because="our choice")
    return Snubber(current_a**2 / 10 * 1e-6, voltage_v / (10 * current_a * (1 + 50 / voltage_v)))


@cites("relay makers' rule: 0.5 to 1 uF per ampere, 0.5 to 1 ohm per volt", mark=Mark.COPY)
def snubber_per_ampere(*, voltage_v: float, current_a: float) -> Snubber:
    """RC element by the 1 uF per ampere, 1 ohm per volt rule; up to 20 times the Bates capacitor at small
    loads.

    Args:
        voltage_v: of the circuit [V].
        current_a: that is broken [A].
    """
    require_range("voltage_v", voltage_v, "V", low=1.0, because="our choice")
    require_range("current_a", current_a, "A", low=1e-4, because="our choice")
    return Snubber(current_a * 1e-6, voltage_v)


@cites("current through a capacitor", mark=Mark.COMPUTED)
def snubber_leakage_a(*, capacitance_f: float, voltage_v: float, frequency_hz: float) -> float:
    """Current that flows through an RC element while the contact is open [A].

    Args:
        capacitance_f: of the element [F].
        voltage_v: effective value [V].
        frequency_hz: of the mains [Hz].

    >>> 1e3 * snubber_leakage_a(capacitance_f=0.1e-6, voltage_v=230.0, frequency_hz=50.0)
    7.226
    """
    require_range(
        "capacitance_f",
        capacitance_f,
        "F",
        low=0.0,
        high=1.0,
        because="our choice",
        hint="Was that microfarad?",
    )
    require_range("voltage_v", voltage_v, "V", low=0.0, because="an effective value")
    require_range("frequency_hz", frequency_hz, "Hz", low=0.0, because="a frequency")
    return 2 * math.pi * frequency_hz * capacitance_f * voltage_v


@cites("series circuit of coil and RC element after the contact opens", mark=Mark.COMPUTED)
def snubber_peak(
    *, voltage_v: float, coil_ohm: float, coil_h: float, capacitance_f: float, resistance_ohm: float
) -> Peak:
    """Voltage across a contact with an RC element, after it opened at once at full current.

    Args:
        voltage_v: of the supply, DC [V].
        coil_ohm, coil_h: of the coil [ohm], [H].
        capacitance_f, resistance_ohm: of the RC element [F], [ohm].

    Raises:
        InputError: the circuit is critically damped to the last digit; change a value a little.
    """
    for name, value, unit in (
        ("voltage_v", voltage_v, "V"),
        ("coil_ohm", coil_ohm, "ohm"),
        ("coil_h", coil_h, "H"),
        ("capacitance_f", capacitance_f, "F"),
    ):
        require_range(name, value, unit, low=1e-12, because="the circuit has all four")
    require_range("resistance_ohm", resistance_ohm, "ohm", low=0.0, because="a resistance")
    start_a = voltage_v / coil_ohm
    half = (coil_ohm + resistance_ohm) / (2 * coil_h)
    root = cmath.sqrt(half**2 - 1 / (coil_h * capacitance_f))
    if abs(root) < 1e-9 * half:
        raise InputError("The circuit is critically damped to the last digit; change the resistor by 1 %.")
    fast, slow = -half - root, -half + root
    # capacitor voltage u(t) = U + a e^(fast t) + b e^(slow t), with u(0) = 0 and C u'(0) = start_a
    b = (start_a / capacitance_f + fast * voltage_v) / (slow - fast)
    a = -voltage_v - b
    # across the contact v = u + R C u'
    rise = resistance_ohm * capacitance_f
    weight_fast, weight_slow = a * (1 + rise * fast), b * (1 + rise * slow)

    def across(at_s: float) -> float:
        return float(
            (voltage_v + weight_fast * cmath.exp(fast * at_s) + weight_slow * cmath.exp(slow * at_s)).real
        )

    moments = [0.0]
    if weight_slow * slow != 0 and weight_fast * fast != 0:
        turning = cmath.log(-(weight_fast * fast) / (weight_slow * slow))
        for turn in range(-2, 3):
            moment = (turning + 2j * math.pi * turn) / (slow - fast)
            if moment.real > 0 and abs(moment.imag) < 1e-6 * abs(moment.real):
                moments.append(moment.real)
    at_s = max(moments, key=across)
    return Peak(across(at_s), at_s, start_a * resistance_ohm)
