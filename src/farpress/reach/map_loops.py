"""The fast loops of maps: kept in the user's cache folder, and built before anybody asks."""

from __future__ import annotations

import base64
import binascii
import os
from pathlib import Path
from typing import Final

from farpress.kept import store

__all__ = ["KEPT_LOOPS", "LOOPS", "look_for_loops", "warm_up"]

LOOPS: Final = "FARPRESS_LOOPS"
"""Environment variable: a folder of the user's own where machine code is kept, also where no results are. It
is made from the program alone: nobody's job is in it.
"""


_ANY: Final = store.entry_key("loops are kept")


class _KeptLoops:
    """Machine code under a name that only these very loops have, for this very processor."""

    def take(self, name: str) -> bytes | None:
        """What was kept under a name; None where nothing usable is there."""
        folder = _own_folder()
        if folder is None and not store.is_wanted():
            return None
        found = store.take(store.entry_key("loops", name), folder=folder)
        if not isinstance(found, str):
            return None
        try:
            code = base64.b64decode(found, validate=True)
        except (binascii.Error, ValueError):
            return None
        if not self.are_any():
            store.put(_ANY, True, folder=folder)
        return code

    def put(self, name: str, code: bytes) -> None:
        """Keep it, if that can be done."""
        folder = _own_folder()
        if folder is not None or store.is_wanted():
            text = base64.b64encode(code).decode("ascii")
            if store.put(store.entry_key("loops", name), text, folder=folder):
                store.put(_ANY, True, folder=folder)

    def are_any(self) -> bool:
        """Whether any loops were ever kept; to find out which takes as long as a dozen ways."""
        folder = _own_folder()
        return (folder is not None or store.is_wanted()) and store.take(_ANY, folder=folder) is True


def _own_folder() -> Path | None:
    """The folder that `LOOPS` names; None where it names none, or one that hangs on where one stands."""
    given = os.environ.get(LOOPS, "")
    return Path(given) if given and Path(given).is_absolute() else None


KEPT_LOOPS: Final = _KeptLoops()
"""Where maps look for their loops, and leave them."""


_FEWEST: Final = 16
"""So many ways are made before anybody looks for the loops: finding them takes as long; our choice."""

_asked: list[None] = []


def look_for_loops() -> None:
    """Somebody is about to make a way: have the loops at hand where many are made, and they are kept."""
    _asked.append(None)
    if len(_asked) == _FEWEST and KEPT_LOOPS.are_any():
        from farpress.core.reach.ways_compiled import look_for

        look_for(KEPT_LOOPS)


def warm_up() -> None:
    """Build the fast loops of maps, or take them from disk, before anybody asks; safe in a thread."""
    from farpress.core.reach.ways_compiled import warm_up as build

    build(KEPT_LOOPS)
