"""Several receivers in one map: at each spot the one that is heard worst."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from farpress.core.reach.field import ReachMap
from farpress.errors import InputError

__all__ = ["weakest_of"]


def weakest_of(maps: Sequence[ReachMap]) -> ReachMap:
    """One map of several receivers of an address: the least chance and the least margin at each spot.

    Args:
        maps: of one address, level, and the same cells.

    Raises:
        InputError: maps of several addresses or levels, or of other cells.
    """
    first = maps[0]
    for found in maps[1:]:
        is_alike = (found.premises, found.level, found.held) == (first.premises, first.level, first.held)
        if not is_alike or not (
            np.array_equal(found.x_m, first.x_m) and np.array_equal(found.y_m, first.y_m)
        ):
            raise InputError(
                f"Maps of {first.premises}, {first.level or 'open ground'}, and {found.premises},"
                f" {found.level or 'open ground'}, are not of the same ground: name one address, one level."
            )
    if len(maps) == 1:
        return first
    chance, spread = (np.stack([getattr(found, name) for found in maps]) for name in ("chance", "spread_db"))
    worst = chance.argmin(axis=0)[None]
    named = [(found.receiver, note) for found in maps for note in found.notes]
    shared = [note for note in dict.fromkeys(note for _, note in named) if _holds_for_all(note, maps)]
    own = [f"{receiver}: {note}" for receiver, note in named if note not in shared]
    left_out = (max(found.left_out_db[0] for found in maps), max(found.left_out_db[1] for found in maps))
    return replace(
        first,
        receiver=" and ".join(found.receiver for found in maps),
        group=" and ".join(dict.fromkeys(found.group for found in maps)),
        chance=np.take_along_axis(chance, worst, 0)[0],
        margin_db=np.minimum.reduce([found.margin_db for found in maps]),
        spread_db=np.take_along_axis(spread, worst, 0)[0],
        stands=np.logical_and.reduce([found.stands for found in maps]),
        notes=(*shared, *own),
        offset_db=0.0,
        within={
            presses: np.minimum.reduce([found.within[presses] for found in maps])
            for presses in first.within
            if all(presses in found.within for found in maps)
        },
        left_out_db=left_out,
        more_aerials_m=tuple(found.aerial_m for found in maps[1:]),
    )


def _holds_for_all(note: str, maps: Sequence[ReachMap]) -> bool:
    return all(note in found.notes for found in maps)
