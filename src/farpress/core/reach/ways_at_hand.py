"""The loops of `ways` as machine code, where somebody has had them built or found; light to load."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final, NamedTuple

from farpress.sources import Mark, cites

__all__ = ["BUILT", "Compiled", "at_hand"]


class Compiled(NamedTuple):
    """The two loops as machine code; arguments as in `ways_tiles`."""

    each_tile: Callable[..., None]
    look_ahead: Callable[..., None]


BUILT: Final[list[Compiled]] = []
"""They are put here once, and stay."""


@cites("Ways from an aerial to points, as said in `ways`", mark=Mark.COMPUTED)
def at_hand() -> Compiled | None:
    """The loops, where somebody has had them built or found."""
    return BUILT[0] if BUILT else None
