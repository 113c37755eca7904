"""How fast the edge of a leaf goes, from its length and the time of its travel."""

from __future__ import annotations

import math

from farpress.errors import require_range
from farpress.sources import Mark, cites

__all__ = ["mean_speed_m_per_s", "tip_speed_m_per_s"]


@cites("way of the edge divided by the time of travel, a mean", mark=Mark.COMPUTED)
def mean_speed_m_per_s(*, way_m: float, travel_s: float) -> float:
    """Mean speed of an edge that runs along a straight way [m/s]; in the middle it may be faster.

    Args:
        way_m: of the edge: clear width of a sliding gate, height of a roller door [m].
        travel_s: from one end to the other [s].

    Raises:
        OutOfRange: a negative way, or a travel of no time.

    Example:
        >>> mean_speed_m_per_s(way_m=6.0, travel_s=14.0)
        0.4286
    """
    require_range("way_m", way_m, "m", low=0.0, because="a way is not negative")
    require_range("travel_s", travel_s, "s", low=1e-3, because="a travel takes time")
    return way_m / travel_s


@cites("arc of the tip, radius times angle, divided by the time of travel", mark=Mark.COMPUTED)
def tip_speed_m_per_s(*, leaf_m: float, angle_deg: float, travel_s: float) -> float:
    """Mean speed of the tip of a leaf that turns on hinges [m/s]; in the middle it may be faster.

    Args:
        leaf_m: from hinge to tip [m].
        angle_deg: through which it turns [degrees].
        travel_s: from one end to the other [s].

    Raises:
        OutOfRange: a negative length, an angle beyond a full turn, or a travel of no time.

    Example:
        >>> tip_speed_m_per_s(leaf_m=5.5, angle_deg=90.0, travel_s=14.0)
        0.6171
    """
    require_range("angle_deg", angle_deg, "deg", low=0.0, high=360.0, because="a leaf turns once at the most")
    return mean_speed_m_per_s(way_m=leaf_m * math.radians(angle_deg), travel_s=travel_s)
