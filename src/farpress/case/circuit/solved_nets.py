"""One net of a circuit, solved in a state."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from farpress.case.circuit.nets import Changes, Net, Written
from farpress.core.wiring.elements import VoltageSource

__all__ = ["Number", "SolvedNet"]

Number = float | complex


@dataclass(frozen=True)
class SolvedNet:
    """One net in a state: how it was written, and volts and amperes; empty ones where it has no solution."""

    net: Net
    written: Written
    volts: Mapping[str, Number]
    amperes: Mapping[str, Number]
    changes: Changes

    @property
    def limited(self) -> frozenset[str]:
        """Supplies whose electronics hold them below their volts."""
        held = [part for part in self.written.elements if isinstance(part, VoltageSource) and part.limit_a]
        return frozenset(
            part.name
            for part in held
            if _real(self.volts[part.plus]) - _real(self.volts[part.minus])
            < (1 - 1e-6) * part.volts - _real(self.amperes[part.name]) * part.ohm
        )


def _real(number: Number) -> float:
    return float(number.real)
