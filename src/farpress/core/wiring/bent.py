"""Newton's method on what bends in a circuit on direct current: diodes, and loads of constant power.

The linear rest is looked at once, from the terminals of these parts; a step then has as many equations as
there are bent parts, and the last one gives every node by what each part draws.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum, auto
from operator import mul
from typing import Final, NamedTuple

from farpress.core.wiring.elements import THERMAL_V, Diode, PowerLoad
from farpress.core.wiring.matrix import eliminated
from farpress.errors import NoOperatingPoint
from farpress.sources import Mark, cites

__all__ = ["CLOSE", "HELD_S", "BentCurrents", "settled"]

_LEAK_S: Final = 1e-12
"""Conductance across every diode that keeps the equations solvable when it blocks [S]; our choice, as
simulators do."""

_STEPS: Final = 200
CLOSE: Final = 1e-10

HELD_S: Final = 1e-4
"""Conductance that holds every diode while the linear rest is looked at, and is taken off again in each step
[S]; our choice, between what blocks (1e-12) and what conducts (1): neither loses more than four digits of its
sixteen.
"""

_NEARLY: Final = 1e-6
"""Volts that a diode may still move in the last step, which leaves the square of that; our choice."""

_NEAR: Final = 0.5
"""Volts that diodes still move when the power loads behind them are brought in, as resistors first; our
choice: 0.02 V takes twice the steps where a bridge feeds them, and comes to the same volts in all of 1800
drawn circuits."""

_BLOCKED_SHARE: Final = 0.05
"""Of its open voltage: a load with less left is not fed at all; our choice. At the most power that comes
through a resistance half of it is left."""


class _Power(Enum):
    """How loads of constant power stand in a step."""

    NONE = auto()
    AS_RESISTORS = auto()
    WHOLE = auto()


class BentCurrents(NamedTuple):
    """What the bent parts come to.

    Attributes:
        amperes: through each [A].
        taken_a: what each takes from the linear rest as it was looked at, the holding conductance of a diode
            in it [A].
    """

    amperes: list[float]
    taken_a: list[float]


class _Bend(NamedTuple):
    """A diode as Newton's method needs it.

    Attributes:
        scale_v: emission times thermal voltage [V].
        saturation_a: of it [A].
        bends_v: where it bends most [V].
        ohm: in series [ohm].
    """

    scale_v: float
    saturation_a: float
    bends_v: float
    ohm: float

    @classmethod
    def of(cls, part: Diode) -> _Bend:
        """That of a diode."""
        scale = part.emission * THERMAL_V
        bends = scale * math.log(scale / (math.sqrt(2) * part.saturation_a))
        return cls(scale, part.saturation_a, bends, part.ohm)


@dataclass
class _Tangents:
    """One step: every bent part replaced by its tangent.

    Attributes:
        slopes, amperes: of each where the step begins [S], [A].
        wanted_v: across each after it; of a diode across its junction [V].
    """

    slopes: list[float]
    amperes: list[float]
    wanted_v: list[float]


@cites("Newton's method with the current limiting step of circuit simulators", mark=Mark.MEMORY)
def settled(bent: Sequence[Diode | PowerLoad], open_v: list[float], ohms: list[list[float]]) -> BentCurrents:
    """Diodes first, without the power loads; then with resistors in their place, so that the diodes that feed
    them conduct; then with the loads themselves.

    Args:
        bent: the parts.
        open_v: across each while none of them draws, `HELD_S` across each diode [V].
        ohms: what one ampere through one takes from another [ohm].

    Raises:
        NoOperatingPoint: the power asked for cannot come.
    """
    bends = [_Bend.of(part) if isinstance(part, Diode) else None for part in bent]
    has_diodes, has_loads = any(bends), None in bends
    alone_v = dict[str, float]()
    power, worst = (_Power.NONE if has_loads else _Power.WHOLE), 0
    at_v = _begins_v(bends, open_v, ohms)
    for _ in range(_STEPS):
        step = _stepped(bent, bends, (open_v, ohms), at_v, power)
        if step is None:
            break
        is_settled, moved = True, 0.0
        begun_v = at_v.copy()
        for number, (bend, wanted, old) in enumerate(zip(bends, step.wanted_v, begun_v)):
            if bend is not None:
                new, close = _limited(bend, wanted, old), _NEARLY
            elif power is _Power.WHOLE:
                new, close = max(wanted, 0.5 * old), CLOSE
            else:
                continue
            change = abs(new - old) + abs(new - wanted)
            if change > close * max(1.0, abs(new)):
                is_settled = False
                if change > moved:
                    moved, worst = change, number
            at_v[number] = new
        if power is _Power.WHOLE:
            if is_settled:
                return _drawn(bends, step, begun_v)
        elif moved < _NEAR:
            power = _with_power(bent, step.wanted_v, at_v, alone_v, has_diodes=has_diodes)
    raise NoOperatingPoint(
        f"The circuit finds no operating point: the power that '{bent[worst].name}' asks for cannot"
        " come through its cables. Use more copper or a higher voltage."
    )


def _drawn(bends: list[_Bend | None], step: _Tangents, begun_v: list[float]) -> BentCurrents:
    """What each part draws along the tangents of the last step."""
    amperes = [
        drawn + slope * (volts - begun)
        for drawn, slope, volts, begun in zip(step.amperes, step.slopes, step.wanted_v, begun_v)
    ]
    taken = [
        drawn if bend is None else drawn - HELD_S * (volts + bend.ohm * drawn)
        for bend, drawn, volts in zip(bends, amperes, step.wanted_v)
    ]
    return BentCurrents(amperes, taken)


def _stepped(
    bent: Sequence[Diode | PowerLoad],
    bends: list[_Bend | None],
    rest: tuple[list[float], list[list[float]]],
    at_v: list[float],
    power: _Power,
) -> _Tangents | None:
    """One step of Newton's method, from the linear rest seen there; None where it has no single solution."""
    slopes, currents = [], []
    leads, grows = [], []  # across the part: lead times its own volts; taken from the rest: grows times them
    offsets, fixed = [], []  # and what comes to both at 0 V
    for part, bend, volts in zip(bent, bends, at_v):
        if bend is not None:
            scale_v, saturation_a, _, ohm = bend
            grown = saturation_a * math.exp(min(volts / scale_v, 400.0))
            slope, amperes = grown / scale_v + _LEAK_S, grown - saturation_a + _LEAK_S * volts
            drawn = amperes - slope * volts
            lead, offset = 1.0 + ohm * slope, ohm * drawn
            grows.append(slope - HELD_S * lead)
            fixed.append(drawn - HELD_S * offset)
        else:
            slope = amperes = offset = 0.0
            lead = 1.0
            if power is not _Power.NONE:
                amperes = part.watts / volts if isinstance(part, PowerLoad) else 0.0
                slope = amperes / volts if power is _Power.AS_RESISTORS else -amperes / volts
            grows.append(slope)
            fixed.append(amperes - slope * volts)
        slopes.append(slope)
        currents.append(amperes)
        leads.append(lead)
        offsets.append(offset)
    rows = []
    for number, (volts, row) in enumerate(zip(*rest)):
        made = list(map(mul, row, grows))
        made[number] += leads[number]
        made.append(volts - offsets[number] - sum(map(mul, row, fixed)))
        rows.append(made)
    wanted = eliminated(rows)
    return None if wanted is None else _Tangents(slopes, currents, wanted)


def _with_power(
    bent: Sequence[Diode | PowerLoad],
    wanted_v: list[float],
    at_v: list[float],
    alone_v: dict[str, float],
    *,
    has_diodes: bool,
) -> _Power:
    """How the power loads are taken from now on; their voltages are put where the next step begins.

    Args:
        bent: the parts.
        wanted_v: across each of them, in the step before.
        at_v: where the next step begins; changed.
        alone_v: power load → its volts without any; filled on the way.
        has_diodes: whether diodes have to conduct first.
    """
    loads = [(number, part) for number, part in enumerate(bent) if isinstance(part, PowerLoad)]
    is_first = not alone_v
    for number, part in loads:
        volts = wanted_v[number]
        if is_first and volts <= 0:
            raise NoOperatingPoint(
                f"'{part.name}' wants power where there is no voltage of the right sign ({volts:.4g} V)."
                " Is it connected the wrong way round?"
            )
        if not is_first and volts < _BLOCKED_SHARE * alone_v[part.name]:
            raise NoOperatingPoint(
                f"'{part.name}' wants power that a diode or its cable keeps from it: {volts:.4g} V of"
                f" {alone_v[part.name]:.4g} V are left. Is the diode the wrong way round?"
            )
        alone_v.setdefault(part.name, volts)
        at_v[number] = volts
    return _Power.AS_RESISTORS if is_first and loads and has_diodes else _Power.WHOLE


def _begins_v(bends: list[_Bend | None], open_v: list[float], ohms: list[list[float]]) -> list[float]:
    """Where each diode begins: with the current that comes while the others block [V]."""
    found = []
    for number, (bend, volts, row) in enumerate(zip(bends, open_v, ohms)):
        begins = 0.0
        if bend is not None and volts > 0:
            amperes = volts / max(row[number] + bend.ohm, 1e-9)
            begins = bend.scale_v * math.log1p(amperes / bend.saturation_a)
        found.append(begins)
    return found


def _limited(bend: _Bend, wanted: float, old: float) -> float:
    """A step along the junction that does not overshoot its exponential: where it conducts it is the current
    that goes as far as its tangent says, and not the volts.
    """
    if old > bend.bends_v:
        way = 1 + (wanted - old) / bend.scale_v
        return old + bend.scale_v * math.log(way) if way > 0 else min(wanted, bend.bends_v)
    if wanted > bend.bends_v:
        if old <= 0:
            return bend.scale_v * math.log(wanted / bend.scale_v)
        return old + bend.scale_v * math.log(1 + (wanted - old) / bend.scale_v)
    return wanted
