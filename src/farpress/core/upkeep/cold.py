"""What voltage a cell still gives while a press draws its current, cold and partly used.

A straight resistance behind the open voltage; real cells also tire within a long press.
"""

from __future__ import annotations

from typing import Final

from farpress.errors import require_range
from farpress.sources import Mark, cites

__all__ = ["cold_resistance_factor", "loaded_voltage_v"]

WARM_DEGC: Final = 20.0
"""Where the sheet's inner resistance holds; common practice."""

COLDEST_DEGC: Final = -20.0
"""Where the resistance of a lithium coin cell has grown three- to fivefold; from memory."""

GROWTH: Final = 4.0
"""Middle of three to five; from memory."""


@cites("lithium coin cells in the cold", place="inner resistance three- to fivefold at -20 degC; middle taken", mark=Mark.MEMORY)
def cold_resistance_factor(*, temperature_degc: float) -> float:
    """How many times its warm value a coin cell's inner resistance is.

    Args:
        temperature_degc: of the cell; above 20 °C the factor is 1 [degC].

    Example:
        >>> cold_resistance_factor(temperature_degc=-8.0)
        2.64
    """
    require_range("temperature_degc", temperature_degc, "degC", low=-40.0, high=70.0, because="our choice")
    share = max(0.0, WARM_DEGC - temperature_degc) / (WARM_DEGC - COLDEST_DEGC)
    return float(GROWTH**share)


@cites("Ohm's law behind an open voltage", mark=Mark.COMPUTED)
def loaded_voltage_v(*, open_v: float, inner_ohm: float, current_a: float, temperature_degc: float) -> float:
    """Voltage of a cell while the fob sends.

    Args:
        open_v: of the cell at rest [V].
        inner_ohm: of the cell when warm [ohm].
        current_a: that the fob draws while sending [A].
        temperature_degc: of the cell [degC].

    Example:
        >>> loaded_voltage_v(open_v=3.0, inner_ohm=15.0, current_a=0.012, temperature_degc=20.0)
        2.82
    """
    require_range("open_v", open_v, "V", low=0.0, high=30.0, because="a fob's cell")
    require_range("inner_ohm", inner_ohm, "ohm", low=0.0, high=1e5, because="a cell")
    require_range("current_a", current_a, "A", low=0.0, high=1.0, because="a fob's current; was that milliamperes?")
    return open_v - inner_ohm * cold_resistance_factor(temperature_degc=temperature_degc) * current_a
