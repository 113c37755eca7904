"""What is left: how soon a room is full, how far steps by feel are out, how soon a way is clear."""

from __future__ import annotations

import math

from farpress.errors import require_range
from farpress.sources import Mark, cites

__all__ = ["clearing_time_s", "fill_time_s", "lost_steps"]


@cites("room divided by what runs in", mark=Mark.COMPUTED)
def fill_time_s(*, room_m3: float, flow_m3_per_h: float) -> float:
    """Time until a room is full, or run out [s].

    Args:
        room_m3: what still fits in, or may run out [m3].
        flow_m3_per_h: what runs [m3/h].

    Raises:
        OutOfRange: no room, or nothing runs.

    Example:
        >>> fill_time_s(room_m3=2.2, flow_m3_per_h=3.0)
        2640.0
    """
    require_range("room_m3", room_m3, "m3", low=1e-6, because="a volume")
    require_range("flow_m3_per_h", flow_m3_per_h, "m3/h", low=1e-6, because="without a flow it never fills")
    return 3600.0 * room_m3 / flow_m3_per_h


@cites("mean and standard deviation of a binomial count", mark=Mark.COMPUTED)
def lost_steps(*, presses: int, heard_share: float) -> tuple[float, float]:
    """Steps that are lost on average, and their standard deviation.

    Presses are taken to be independent, which is the best case.

    Args:
        presses: how many there are.
        heard_share: of them that are heard.

    Raises:
        OutOfRange: no press, or a share that is none.

    Example:
        >>> lost_steps(presses=20, heard_share=0.88)
        (2.4, 1.453)
    """
    require_range("presses", presses, "presses", low=1, because="a count")
    require_range("heard_share", heard_share, "", low=0.0, high=1.0, because="a share")
    missed = 1.0 - heard_share
    return round(presses * missed, 9), math.sqrt(presses * missed * heard_share)


@cites("way divided by speed", mark=Mark.COMPUTED)
def clearing_time_s(*, way_m: float, speed_m_per_s: float) -> float:
    """Time until whoever entered a way last has left it [s].

    Args:
        way_m: from where it is entered to where it is left [m].
        speed_m_per_s: of the slowest [m/s].

    Raises:
        OutOfRange: no way, or somebody who stands.

    Example:
        >>> clearing_time_s(way_m=60.0, speed_m_per_s=4.0)
        15.0
    """
    require_range("way_m", way_m, "m", low=1e-3, because="a way")
    require_range("speed_m_per_s", speed_m_per_s, "m/s", low=1e-3, because="who stands never leaves")
    return way_m / speed_m_per_s
