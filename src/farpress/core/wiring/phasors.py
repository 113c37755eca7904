"""A circuit on alternating current of one frequency, solved with phasors.

Effective values and angles of the steady state. What is not a sine, as behind a rectifier,
is not for phasors: see `rectifier`.
"""

from __future__ import annotations

import cmath
import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from farpress.core.wiring.circuit_checks import check_circuit, check_stiff, nodes_of
from farpress.core.wiring.elements import (
    Capacitor,
    CurrentLoad,
    Element,
    Inductor,
    PowerLoad,
    Resistor,
    VoltageSource,
    ends_of,
)
from farpress.core.wiring.matrix import solve_entries
from farpress.errors import CircuitError, NoOperatingPoint, require_range
from farpress.sources import Mark, cites

__all__ = ["PhasorSolution", "solve_ac"]

_STEPS: Final = 100
_CLOSE: Final = 1e-10


@dataclass(frozen=True)
class PhasorSolution:
    """A solved circuit; every number is a phasor of effective value.

    Attributes:
        volts: node → voltage over ground [V].
        amperes: element → current; from a to b, out of a source's plus terminal [A].
    """

    volts: Mapping[str, complex]
    amperes: Mapping[str, complex]

    def across(self, a: str, b: str) -> complex:
        """Voltage of node a over node b [V]."""
        return self.volts[a] - self.volts[b]


@cites(
    "modified nodal analysis with phasors; loads of constant current and power by Newton's method",
    mark=Mark.COMPUTED,
)
def solve_ac(elements: Iterable[Element], *, frequency_hz: float, ground: str = "0") -> PhasorSolution:
    """Phasors of all nodes and elements.

    Args:
        elements: with names that differ; no diodes.
        frequency_hz: of all sources [Hz].
        ground: the node that counts as 0 V.

    Raises:
        CircuitError: as for direct current; a diode too.

    Example:
        24 V over 30 ohm and 40 ohm of reactance draw 0.48 A:

        >>> coil = [
        ...     VoltageSource("t", "a", "0", 24.0),
        ...     Inductor("c", "a", "0", 40 / (2 * math.pi * 50), 30.0),
        ... ]
        >>> abs(solve_ac(coil, frequency_hz=50.0).amperes["c"])
        0.48
    """
    require_range("frequency_hz", frequency_hz, "Hz", low=1.0, high=1e6, because="our choice")
    parts = tuple(elements)
    check_circuit(parts, ground=ground, alternating=True)
    return _PhasorNet(parts, 2 * math.pi * frequency_hz, ground).solution()


class _PhasorNet:
    def __init__(self, parts: tuple[Element, ...], omega: float, ground: str) -> None:
        self.parts, self.omega, self.ground = parts, omega, ground
        self.index = {node: number for number, node in enumerate(nodes_of(parts, ground))}
        self.stiff = [
            part
            for part in parts
            if not isinstance(part, Capacitor | CurrentLoad | PowerLoad) and self._ohm(part) == 0
        ]
        check_stiff(self.stiff)
        self.bent = [
            part
            for part in parts
            if (isinstance(part, CurrentLoad) and part.amperes)
            or (isinstance(part, PowerLoad) and part.watts)
        ]
        self.size = len(self.index) + len(self.stiff)
        self.entries: list[tuple[int, int, complex]] = []
        self.right = np.zeros(self.size, dtype=np.complex128)
        self._assemble()

    def solution(self) -> PhasorSolution:
        found = self._solve([])
        if self.bent:
            found = self._newton(found)
        volts = {self.ground: 0j, **{node: complex(found[number]) for node, number in self.index.items()}}
        return PhasorSolution(volts, self._currents(volts, found[len(self.index) :]))

    def _ohm(self, part: Element) -> complex:
        if isinstance(part, Inductor):
            return complex(part.ohm, self.omega * part.henry)
        return complex(part.ohm) if isinstance(part, Resistor | VoltageSource) else 0j

    def _assemble(self) -> None:
        for part in self.parts:
            a, b = ends_of(part)
            if isinstance(part, Capacitor):
                self._conduct(a, b, 1j * self.omega * part.farad)
            elif isinstance(part, Resistor | Inductor | VoltageSource) and self._ohm(part) != 0:
                siemens = 1 / self._ohm(part)
                self._conduct(a, b, siemens)
                if isinstance(part, VoltageSource):
                    for node, sign in ((a, 1), (b, -1)):
                        if node != self.ground:
                            self.right[self.index[node]] += sign * _source(part) * siemens
        for number, joint in enumerate(self.stiff, start=len(self.index)):
            for node, side in zip(ends_of(joint), (1, -1)):
                if node != self.ground:
                    self.entries += [(number, self.index[node], side), (self.index[node], number, side)]
            self.right[number] = _source(joint) if isinstance(joint, VoltageSource) else 0j

    def _conduct(self, a: str, b: str, siemens: complex) -> None:
        for row, column, sign in ((a, a, 1), (b, b, 1), (a, b, -1), (b, a, -1)):
            if row != self.ground and column != self.ground:
                self.entries.append((self.index[row], self.index[column], sign * siemens))

    def _solve(self, at_v: list[complex]) -> NDArray[np.complex128]:
        """Real and imaginary parts as unknowns of their own, every bent load replaced by its tangent."""
        n = self.size
        rows = [r + dr for r, _, _ in self.entries for dr in (0, 0, n, n)]
        columns = [c + dc for _, c, _ in self.entries for dc in (0, n, 0, n)]
        values = [value for _, _, y in self.entries for value in (y.real, -y.imag, y.imag, y.real)]
        right = np.concatenate([self.right.real, self.right.imag])
        for part, volts in zip(self.bent, at_v) if at_v else ():
            current, by_real, by_imag = _drawn(part, volts)
            rest = current - by_real * volts.real - by_imag * volts.imag
            for node, sign in zip(ends_of(part), (1, -1)):
                row = self.index.get(node)
                if row is None:
                    continue
                right[row] -= sign * rest.real
                right[row + n] -= sign * rest.imag
                for other, side in zip(ends_of(part), (1, -1)):
                    column = self.index.get(other)
                    if column is not None:
                        rows += [row, row, row + n, row + n]
                        columns += [column, column + n, column, column + n]
                        values += [
                            sign * side * part_of
                            for part_of in (by_real.real, by_imag.real, by_real.imag, by_imag.imag)
                        ]
        found = solve_entries(rows, columns, values, right)
        if found is None and at_v:
            raise NoOperatingPoint(
                f"The circuit finds no operating point: what '{self.bent[0].name}' and others ask for cannot"
                " come through their cables."
            )
        if found is None:
            raise CircuitError(
                "The circuit has no single solution: a coil and a capacitor resonate without resistance."
            )
        return np.asarray(found[:n] + 1j * found[n:])

    def _newton(self, found: NDArray[np.complex128]) -> NDArray[np.complex128]:
        at_v = [self._across(part, found) for part in self.bent]
        worst = self.bent[0].name
        for part, volts in zip(self.bent, at_v):
            if abs(volts) == 0:
                raise NoOperatingPoint(f"'{part.name}' wants current where there is no voltage.")
        for _ in range(_STEPS):
            found = self._solve(at_v)
            settled, moved = True, 0.0
            for number, part in enumerate(self.bent):
                wanted, old = self._across(part, found), at_v[number]
                low = abs(wanted) < 0.5 * abs(old)  # a load of constant power must not run through zero
                new = 0.5 * old if low else wanted
                change = abs(new - old) + abs(new - wanted)
                if change > _CLOSE * max(1.0, abs(new)):
                    settled = False
                    if change > moved:
                        moved, worst = change, part.name
                at_v[number] = new
            if settled:
                return found
        raise NoOperatingPoint(
            f"The circuit finds no operating point: what '{worst}' asks for cannot come through its cables."
            " Use more copper or a higher voltage."
        )

    def _across(self, part: Element, found: NDArray[np.complex128]) -> complex:
        a, b = ends_of(part)
        return complex(
            (found[self.index[a]] if a != self.ground else 0)
            - (found[self.index[b]] if b != self.ground else 0)
        )

    def _currents(self, volts: dict[str, complex], through: NDArray[np.complex128]) -> dict[str, complex]:
        flow = {joint.name: complex(through[number]) for number, joint in enumerate(self.stiff)}
        amperes: dict[str, complex] = {}
        for part in self.parts:
            a, b = ends_of(part)
            across = volts[a] - volts[b]
            if isinstance(part, CurrentLoad | PowerLoad):
                amperes[part.name] = _drawn(part, across)[0] if part in self.bent else 0j
            elif isinstance(part, Capacitor):
                amperes[part.name] = 1j * self.omega * part.farad * across
            elif part.name in flow:
                amperes[part.name] = -flow[part.name] if isinstance(part, VoltageSource) else flow[part.name]
            elif isinstance(part, VoltageSource):
                amperes[part.name] = (_source(part) - across) / part.ohm
            else:
                amperes[part.name] = across / self._ohm(part)
        return amperes


def _source(part: VoltageSource) -> complex:
    return cmath.rect(part.volts, math.radians(part.phase_deg))


def _drawn(part: CurrentLoad | PowerLoad | Element, volts: complex) -> tuple[complex, complex, complex]:
    """Current of a load and its change with the real and the imaginary part of its voltage."""
    assert isinstance(part, CurrentLoad | PowerLoad)
    lag = cmath.exp(-1j * math.acos(part.power_factor))
    if isinstance(part, CurrentLoad):
        size, power = part.amperes * lag, 1
    else:  # apparent power over the conjugate of the voltage
        size, power = part.watts / part.power_factor * lag, 2
    length = abs(volts)
    current = size * volts / length**power
    common = -power * size * volts / length ** (power + 2)
    return (
        current,
        size / length**power + common * volts.real,
        1j * size / length**power + common * volts.imag,
    )
