"""Whether a fuse at the supply notices a short circuit at the far end of a thin cable."""

from __future__ import annotations

from typing import Final

from farpress.errors import require_range
from farpress.sources import Mark, cites

__all__ = ["FUSE_SERIES_A", "OPERATES_AT", "OPERATES_SURELY_AT", "end_short_circuit_a", "largest_fuse_a"]

FUSE_SERIES_A: Final = (
    0.05,
    0.063,
    0.08,
    0.1,
    0.125,
    0.16,
    0.2,
    0.25,
    0.315,
    0.4,
    0.5,
    0.63,
    0.8,
    1.0,
    1.25,
    1.6,
    2.0,
    2.5,
    3.15,
    4.0,
    5.0,
    6.3,
    8.0,
    10.0,
)
"""Rated currents of miniature fuses [A]: R10 series of IEC 60127, from memory."""

OPERATES_AT: Final = 2.1
"""Multiple of the rated current at which a fuse operates within minutes: IEC 60127-2, from memory."""

OPERATES_SURELY_AT: Final = 4.0
"""Multiple at which it operates within seconds: IEC 60127-2, from memory."""


@cites("Ohm's law", mark=Mark.COMPUTED)
def end_short_circuit_a(*, voltage_v: float, source_ohm: float, loop_ohm: float) -> float:
    """Current of a dead short at the end of a cable [A].

    >>> end_short_circuit_a(voltage_v=12.0, source_ohm=0.2, loop_ohm=9.6)
    1.224
    """
    require_range("voltage_v", voltage_v, "V", low=0.0, because="the voltage that drives the fault")
    require_range("source_ohm", source_ohm, "ohm", low=0.0, because="a resistance")
    require_range("loop_ohm", loop_ohm, "ohm", low=0.0, because="a resistance")
    require_range(
        "source_ohm + loop_ohm",
        source_ohm + loop_ohm,
        "ohm",
        low=1e-6,
        because="without resistance the current has no limit",
    )
    return voltage_v / (source_ohm + loop_ohm)


@cites("IEC 60127-2", place="2.1 times the rated current; R10 series", mark=Mark.MEMORY)
def largest_fuse_a(*, short_circuit_a: float, multiple: float = OPERATES_AT) -> float | None:
    """Largest fuse of the series that still operates at a short-circuit current [A]; None if none does.

    Args:
        short_circuit_a: that flows [A].
        multiple: of its rating at which a fuse counts as operating.

    >>> largest_fuse_a(short_circuit_a=1.224)
    0.5
    """
    require_range("short_circuit_a", short_circuit_a, "A", low=0.0, because="a current")
    return max((rating for rating in FUSE_SERIES_A if rating * multiple <= short_circuit_a), default=None)
