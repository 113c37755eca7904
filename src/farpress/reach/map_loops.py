"""Whether the first map on this machine has to wait for its fast loops, and building them before anybody
asks.
"""

from __future__ import annotations

import contextlib
import sys
from pathlib import Path

__all__ = ["remember_built", "wait_before_first_map", "warm_up"]

_LOOPS = "farpress.core.reach.ways_compiled"


def wait_before_first_map() -> str:
    """What to tell somebody who asks for the first map on this machine; empty when it starts at once."""
    from farpress.core.reach.ways_compiled import BUILT_ABOUT_S, kept_as

    loaded, folder, name = kept_as()
    if loaded or (Path(folder) / name).exists():
        return ""
    return (
        f"The first map on this machine: its fast loops are built now, about {BUILT_ABOUT_S} s on a free"
        " core, and kept for later."
    )


def warm_up() -> None:
    """Build the fast loops of maps, or take them from disk, before anybody asks; safe in a thread."""
    from farpress.core.reach.ways_compiled import warm_up as build

    build()
    remember_built()


def remember_built() -> None:
    """Leave a mark beside loops that were built; where none can be left, the next first map says that it
    waits.
    """
    if _LOOPS not in sys.modules:
        return
    loaded, folder, name = sys.modules[_LOOPS].kept_as()
    mark = Path(folder) / name
    if loaded and not mark.exists():
        with contextlib.suppress(OSError):
            mark.touch()
