"""What a core may carry where it is warm, and where its neighbours are loaded too."""

from __future__ import annotations

from typing import Final

import numpy as np

from farpress.errors import require_range
from farpress.sources import Mark, cites

__all__ = ["ambient_factor", "bundle_factor"]

_AMBIENT: Final = (
    (10.0, 1.22),
    (20.0, 1.12),
    (25.0, 1.06),
    (30.0, 1.00),
    (40.0, 0.87),
    (50.0, 0.71),
    (60.0, 0.50),
)
_BUNDLE: Final = ((3, 1.0), (5, 0.75), (7, 0.65), (10, 0.55), (14, 0.50), (19, 0.45), (24, 0.40))


@cites("DIN VDE 0298-4", edition="2013", place="Table 17, PVC for 70 °C", mark=Mark.COPY)
def ambient_factor(*, ambient_degc: float) -> float:
    """Share of the rating at 30 degC that is left in warmer air (or gained in cooler); between rows by a
    straight line.

    >>> ambient_factor(ambient_degc=40.0)
    0.87
    """
    require_range(
        "ambient_degc",
        ambient_degc,
        "degC",
        low=-40.0,
        high=60.0,
        because="the table ends at 60 degC: PVC cable has no place in hotter air",
    )
    return float(np.interp(ambient_degc, [row[0] for row in _AMBIENT], [row[1] for row in _AMBIENT]))


@cites("DIN VDE 0298-4", edition="2013", place="Table 26, many loaded cores in one sheath", mark=Mark.COPY)
def bundle_factor(*, loaded_cores: int) -> float:
    """Share of the rating that is left when so many cores of one sheath are loaded; the next row where there
    is none.

    >>> bundle_factor(loaded_cores=6)
    0.65
    """
    require_range(
        "loaded_cores", loaded_cores, "", low=1, high=24, because="the table ends at 24 loaded cores"
    )
    return next(share for cores, share in _BUNDLE if loaded_cores <= cores)
