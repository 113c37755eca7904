"""Minutes of work that a design is weighed by: our choice throughout; a firm's own norms come first."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Final

__all__ = [
    "BOX_MIN",
    "COAX_MIN_PER_M",
    "CONTACT_MIN",
    "METRE_MIN",
    "OUTSIDE_MIN",
    "RELAY_MIN",
    "SUPPLY_MIN",
    "cable_m",
]

BOX_MIN: Final = 120
"""A receiver mounted, connected, set and tried."""

OUTSIDE_MIN: Final = 30
"""More where it hangs in the weather."""

CONTACT_MIN: Final = 15
"""One output connected at both ends and set."""

RELAY_MIN: Final = 30
"""A relay or contactor fitted."""

SUPPLY_MIN: Final = 60
"""A supply mounted; its mains side by a licensed person comes to that."""

METRE_MIN: Final = 4
"""A metre of cable drawn and fixed."""

COAX_MIN_PER_M: Final = 6
"""A metre of coaxial cable."""

_DETOUR: Final = 1.3
_ENDS_M: Final = 2.0
"""Way of a cable over the straight line, and what goes into its ends: our choice."""


def cable_m(start: Sequence[float], end: Sequence[float]) -> int:
    """Way of a cable between two points of the plan, bends and ends in it, in whole metres.

    Where both have a height the way up or down counts too.

    Example:
        >>> cable_m((0, 0, 0.5), (10, 0, 2.5))
        17
    """
    up = abs(start[2] - end[2]) if len(start) == len(end) == 3 else 0.0
    return math.ceil(_DETOUR * math.dist(start[:2], end[:2]) + up + _ENDS_M)
