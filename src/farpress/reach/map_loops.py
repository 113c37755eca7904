"""The fast loops of maps: kept in the user's cache folder, and built before anybody asks."""

from __future__ import annotations

import base64
import binascii
from typing import Final

from farpress.kept import store

__all__ = ["KEPT_LOOPS", "look_for_loops", "warm_up"]


class _KeptLoops:
    """Machine code under a name that only these very loops have, for this very processor."""

    def take(self, name: str) -> bytes | None:
        """What was kept under a name; None where nothing usable is there."""
        found = store.take(store.entry_key("loops", name)) if store.is_wanted() else None
        if not isinstance(found, str):
            return None
        try:
            return base64.b64decode(found, validate=True)
        except (binascii.Error, ValueError):
            return None

    def put(self, name: str, code: bytes) -> None:
        """Keep it, if that can be done."""
        if store.is_wanted():
            store.put(store.entry_key("loops", name), base64.b64encode(code).decode("ascii"))


KEPT_LOOPS: Final = _KeptLoops()
"""Where maps look for their loops, and leave them."""


_FEWEST: Final = 16
"""So many ways are made before anybody looks for the loops: finding them takes as long; our choice."""

_asked: list[None] = []


def look_for_loops() -> None:
    """Somebody is about to make a way: have the loops at hand where many are made, and they are kept."""
    _asked.append(None)
    if len(_asked) == _FEWEST:
        from farpress.core.reach.ways_compiled import look_for

        look_for(KEPT_LOOPS)


def warm_up() -> None:
    """Build the fast loops of maps, or take them from disk, before anybody asks; safe in a thread."""
    from farpress.core.reach.ways_compiled import warm_up as build

    build(KEPT_LOOPS)
