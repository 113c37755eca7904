"""A rectifier with a smoothing capacitor on a sine: what it makes, and what it asks of the transformer.

The transformer is a sine behind a resistance, the diodes are junctions, the load is a
resistor; the steady ripple is found exactly (one period that ends where it began), not by rule.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Final, NamedTuple

from farpress.core.wiring.elements import THERMAL_V
from farpress.errors import InputError, require_range
from farpress.sources import Mark, cites

__all__ = ["Rectified", "rectified", "rectifier_loss_v", "rms_ratio", "smoothing_f"]

_LEAST_STEPS: Final = 1000
_STEPS_PER_TIME_CONSTANT: Final = 4
_MOST_STEPS: Final = 40_000

_FARAD_PER_A: Final = 4700e-6
_LEAST_LOAD_A: Final = 0.02
_STIFF_OHM: Final = 0.1
_LOAD_STEPS: Final = 3


class Rectified(NamedTuple):
    """Behind a rectifier, in the steady state.

    Attributes:
        mean_v, highest_v, lowest_v: at the capacitor [V].
        ripple_v: highest less lowest [V].
        load_a: mean current of the load [A].
        rms_a: effective current of the transformer [A].
        peak_a: highest current of the transformer, each half wave [A].
        ratio: effective current over the load's.
        first_peak_a: on switching on at the crest with the capacitor empty [A].
    """

    mean_v: float
    highest_v: float
    lowest_v: float
    ripple_v: float
    load_a: float
    rms_a: float
    peak_a: float
    ratio: float
    first_peak_a: float


@cites(
    "circuit of source resistance, junction diodes and capacitor, integrated over one period (Runge-Kutta,"
    " closed by the secant method)",
    mark=Mark.COMPUTED,
)
def rectified(
    *,
    rms_v: float,
    frequency_hz: float,
    source_ohm: float,
    capacitance_f: float,
    load_ohm: float,
    bridge: bool = True,
    saturation_a: float = 1e-9,
    emission: float = 1.5,
    diode_ohm: float = 0.05,
) -> Rectified:
    """Direct voltage, ripple and the transformer's current.

    Args:
        rms_v: open-circuit voltage of the transformer, effective [V].
        frequency_hz: of the mains [Hz].
        source_ohm: of transformer and cable [ohm].
        capacitance_f: smoothing capacitor [F].
        load_ohm: of the load behind it [ohm].
        bridge: four diodes and both half waves; else one diode and every other.
        saturation_a, emission, diode_ohm: of one diode; our choice of a 1 A silicon rectifier [A], [], [ohm].

    Raises:
        InputError: the time constant of source and capacitor is too short to be followed.

    >>> ripple = rectified(
    ...     rms_v=24.0, frequency_hz=50.0, source_ohm=1.0, capacitance_f=1000e-6, load_ohm=240.0
    ... )
    >>> ripple.mean_v, ripple.ratio
    (31.06, 2.56)
    """
    for name, value, unit, low in (
        ("rms_v", rms_v, "V", 1.0),
        ("frequency_hz", frequency_hz, "Hz", 1.0),
        ("source_ohm", source_ohm, "ohm", 1e-3),
        ("capacitance_f", capacitance_f, "F", 1e-9),
        ("load_ohm", load_ohm, "ohm", 1e-3),
        ("diode_ohm", diode_ohm, "ohm", 0.0),
        ("saturation_a", saturation_a, "A", 1e-18),
        ("emission", emission, "", 0.5),
    ):
        require_range(name, value, unit, low=low, because="our choice")
    diodes = 2 if bridge else 1
    series_ohm, scale = source_ohm + diodes * diode_ohm, diodes * emission * THERMAL_V
    span_s = (0.5 if bridge else 1.0) / frequency_hz
    steps = max(_LEAST_STEPS, math.ceil(_STEPS_PER_TIME_CONSTANT * span_s / (series_ohm * capacitance_f)))
    if steps > _MOST_STEPS:
        raise InputError(
            f"The capacitor of {1e6 * capacitance_f:.3g} uF charges through {series_ohm:.3g} ohm in"
            f" {1e6 * series_ohm * capacitance_f:.2g} us; that is too quick for a mains rectifier. Was that"
            " microfarad?"
        )
    crest = rms_v * math.sqrt(2)
    omega, step_s = 2 * math.pi * frequency_hz, span_s / steps
    wave = [crest * math.sin(omega * number * step_s / 2) for number in range(2 * steps + 1)]
    if bridge:
        wave = [abs(volts) for volts in wave]

    def through(over_v: float) -> float:
        return _through(over_v, series_ohm, scale, saturation_a)

    def period(start_v: float) -> list[float]:
        volts, out = start_v, [start_v]
        for number in range(steps):
            left, middle, right = wave[2 * number : 2 * number + 3]
            k1 = (through(left - volts) - volts / load_ohm) / capacitance_f
            v2 = volts + step_s / 2 * k1
            k2 = (through(middle - v2) - v2 / load_ohm) / capacitance_f
            v3 = volts + step_s / 2 * k2
            k3 = (through(middle - v3) - v3 / load_ohm) / capacitance_f
            v4 = volts + step_s * k3
            k4 = (through(right - v4) - v4 / load_ohm) / capacitance_f
            volts += step_s / 6 * (k1 + 2 * k2 + 2 * k3 + k4)
            out.append(volts)
        return out

    start = _closed(lambda guess: period(guess)[-1], crest * load_ohm / (load_ohm + series_ohm) * 0.9)
    volts = period(start)
    amperes = [through(wave[2 * number] - value) for number, value in enumerate(volts)]
    mean_v = math.fsum(volts[:-1]) / steps
    mean_square = math.fsum(current * current for current in amperes[:-1]) / steps
    load_a = mean_v / load_ohm
    rms_a = math.sqrt(mean_square)
    return Rectified(
        mean_v,
        max(volts),
        min(volts),
        max(volts) - min(volts),
        load_a,
        rms_a,
        max(amperes),
        rms_a / load_a,
        through(crest),
    )


@cites("transformer current of a bridge with a large capacitor, by source resistance", mark=Mark.COMPUTED)
def rms_ratio(*, source_share: float) -> float:
    """Effective current of the transformer over the direct current behind a bridge.

    The rule of 1.8 of transformer makers holds near a source resistance of 5 % of the load's;
    a large transformer on a small load comes to 2.5.

    Args:
        source_share: resistance of source and cable over that of the load, 0.002 to 0.2.

    >>> rms_ratio(source_share=0.04)
    1.85
    """
    require_range(
        "source_share", source_share, "", low=0.002, high=0.2, because="the range of small supplies"
    )
    return rectified(
        rms_v=24.0, frequency_hz=50.0, source_ohm=100 * source_share, capacitance_f=2200e-6, load_ohm=100.0
    ).ratio


@cites("4700 uF of smoothing for each ampere behind a rectifier", mark=Mark.PRACTICE)
def smoothing_f(load_a: float) -> float:
    """A usual smoothing capacitor behind a rectifier, where nobody says: 4700 uF for each ampere [F].

    Common practice, no source.
    """
    return _FARAD_PER_A * max(load_a, _LEAST_LOAD_A)


@cites("what a resistance costs a rectifier with its capacitor, as effective volts", mark=Mark.COMPUTED)
def rectifier_loss_v(
    *, rms_v: float, frequency_hz: float, ohm: float, load_a: float, bridge: bool = True
) -> float:
    """Effective volts that a resistance before a rectifier takes from what is behind it [V].

    A rectifier takes its current in short peaks, so it loses more than current times resistance: the
    difference of the lowest volts at its capacitor without and with the resistance, as an effective value.

    Args:
        rms_v: before the resistance, effective [V].
        frequency_hz: of the mains [Hz].
        ohm: of cable and winding [ohm].
        load_a: direct current behind it [A].
        bridge: four diodes; else one.

    >>> rectifier_loss_v(rms_v=21.6, frequency_hz=50.0, ohm=12.9, load_a=0.1)
    2.887
    """
    require_range("load_a", load_a, "A", low=1e-4, because="a load")
    require_range("ohm", ohm, "ohm", low=0.0, because="a resistance")

    def lowest_v(source_ohm: float) -> float:
        load_ohm, seen = rms_v * math.sqrt(2) / load_a, 0.0
        for _ in range(_LOAD_STEPS):  # electronics draw their current whatever the volts
            made = rectified(
                rms_v=rms_v,
                frequency_hz=frequency_hz,
                source_ohm=source_ohm,
                capacitance_f=smoothing_f(load_a),
                load_ohm=load_ohm,
                bridge=bridge,
            )
            load_ohm, seen = made.mean_v / load_a, made.lowest_v
        return seen

    return max(0.0, (lowest_v(_STIFF_OHM) - lowest_v(_STIFF_OHM + ohm)) / math.sqrt(2))


def _through(over_v: float, series_ohm: float, scale: float, saturation_a: float) -> float:
    """Current through resistance and junctions at a voltage over both, by Newton's method on the junctions'
    voltage [A].
    """
    if over_v <= -scale:
        return 0.0
    # x = I/Is + 1 solves  series Is (x - 1) + scale ln x = over;  start where the larger term alone would be
    drop = series_ohm * saturation_a
    x = max(1e-12, min(math.exp(min(over_v / scale, 60.0)), over_v / drop + 1 if over_v > 0 else 1.0))
    for _ in range(60):
        wrong = drop * (x - 1) + scale * math.log(x) - over_v
        step = wrong / (drop + scale / x)
        x = x - step if step < x else x / 10
        if abs(step) <= 1e-12 * x:
            break
    return saturation_a * (x - 1)


def _closed(period: Callable[[float], float], guess: float) -> float:
    """The starting voltage a period returns to, by the secant method."""
    lower, other = guess, guess * 1.02
    wrong_lower, wrong_other = period(lower) - lower, period(other) - other
    for _ in range(60):
        if abs(wrong_other) < 1e-9 * abs(other) or wrong_other == wrong_lower:
            break
        following = other - wrong_other * (other - lower) / (wrong_other - wrong_lower)
        lower, wrong_lower = other, wrong_other
        other = max(following, 0.0)
        wrong_other = period(other) - other
    return other
