"""How well a computed drop of volts is known."""

from __future__ import annotations

from typing import Final

from farpress.core.wiring.drop import dc_drop_v
from farpress.sources import Citation, Mark, cited
from farpress.units import write_share

__all__ = ["DROP_DOUBT", "DROP_SOURCES"]

DROP_DOUBT: Final = 0.1
"""Standard uncertainty of a computed drop, as a share of it: lengths and core resistances are known to about
10 %; our choice."""

DROP_SOURCES: Final = (
    *cited(dc_drop_v),
    Citation(f"drop known to {write_share(DROP_DOUBT, '.0f')}", mark=Mark.CHOICE),
)
