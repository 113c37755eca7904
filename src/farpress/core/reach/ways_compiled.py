"""The loops of `ways` as machine code: built in two seconds where nobody kept them, shared out over the
cores.
"""

from __future__ import annotations

import functools
import hashlib
import threading
from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor, as_completed
from itertools import pairwise
from typing import Any, Final, Protocol, cast

import numpy as np
from numpy.typing import NDArray

from farpress.core.reach import (
    ways_cones,
    ways_crossing,
    ways_echoes,
    ways_edges,
    ways_kernel,
    ways_legs,
    ways_packed,
    ways_shared,
    ways_thrown,
    ways_tiles,
    ways_work,
)
from farpress.core.reach.typed.code import MachineLoops, built, loaded, made_for, written
from farpress.core.reach.typed.kinds import Kind
from farpress.core.reach.ways_arrays import layout
from farpress.core.reach.ways_at_hand import BUILT, Compiled
from farpress.core.reach.ways_tiles import Extent
from farpress.core.reach.ways_work import Hit, Met, Mirrors, PointRow, Received, Scratch, Setting
from farpress.sources import Mark, cites

__all__ = ["KeptCode", "look_for", "run_compiled", "warm_up"]

_SHARES: Final = 16
_LOCK = threading.Lock()
_MODULES: Final = (
    ways_packed,
    ways_shared,
    ways_work,
    ways_crossing,
    ways_legs,
    ways_cones,
    ways_kernel,
    ways_echoes,
    ways_thrown,
    ways_edges,
    ways_tiles,
)
_ROWS: Final = (
    ways_packed.WallRow,
    ways_packed.OpeningRow,
    ways_packed.SlabRow,
    ways_packed.BoxRow,
    ways_packed.CornerRow,
    ways_packed.MaterialRow,
    ways_packed.EdgeRow,
    ways_packed.EchoRow,
    ways_work.ImageRow,
    ways_work.Ahead,
    ways_work.ListSpan,
    PointRow,
    Hit,
    Received,
)


class KeptCode(Protocol):
    """Somewhere machine code is kept from one run to the next."""

    def take(self, name: str) -> bytes | None:
        """What was kept under a name; None where nothing usable is there."""

    def put(self, name: str, code: bytes) -> None:
        """Keep it, if that can be done."""


@cites("Ways from an aerial to points, as said in `ways`", mark=Mark.COMPUTED)
def run_compiled(
    *,
    setting: Setting,
    mirrors: Mirrors,
    spots: NDArray[Any],
    firsts: NDArray[np.int64],
    groups: NDArray[np.int64],
    lists: NDArray[np.int64],
    extent: Extent,
    progress: Callable[[int, int], object] | None = None,
    kept: KeptCode | None = None,
) -> NDArray[Any]:
    """What arrives at all points, on every core: rows of `Received`.

    Args:
        setting: scene in arrays, aerial, ground and wavelength.
        mirrors: images, what is known of them, and the lists of edges, in arrays.
        spots: the points, in the order of the tiles, (n,).
        firsts: first point of each tile, and n.
        groups: first tile of each group of neighbouring tiles, and the number of tiles.
        lists: with the list of all walls and boxes in front, and room behind.
        extent: what every way keeps within.
        progress: told (done, of) now and then; may raise to cancel.
        kept: where the machine code is looked for and left.
    """
    loops = warm_up(kept)
    loops.look_ahead(setting, mirrors, lists, extent)
    received = np.zeros(len(spots), dtype=layout(Received))
    whole = len(groups) - 1
    cuts = np.unique(np.linspace(0, whole, min(_SHARES, max(whole, 1)) + 1).astype(np.int64)).tolist()
    shares = [Met(begun, ended) for begun, ended in pairwise(cuts)]
    # each share writes in a room of its own
    count = len(setting.scene.walls) + len(setting.scene.boxes)
    first_room, room = len(lists), 4 * count + 8 + len(mirrors.images)
    lists = np.concatenate([lists, np.zeros(len(shares) * room, dtype=np.int64)])

    def run(number: int) -> None:
        hits = np.zeros(3 * count + 4, dtype=layout(Hit))
        own_room = first_room + number * room
        scratch = Scratch(cast("Any", lists), own_room, own_room + 4 * count + 8, cast("Any", hits))
        loops.each_tile(setting, mirrors, spots, firsts, groups, shares[number], scratch, received)

    if len(shares) < 2:
        for number in range(len(shares)):
            run(number)
        return received
    with ThreadPoolExecutor() as pool:
        waiting = [pool.submit(run, number) for number in range(len(shares))]
        try:
            for done, share in enumerate(as_completed(waiting), start=1):
                share.result()
                if progress is not None:
                    progress(done, len(waiting))
        except BaseException:
            pool.shutdown(wait=True, cancel_futures=True)
            raise
    return received


@cites("Ways from an aerial to points, as said in `ways`", mark=Mark.COMPUTED)
def warm_up(kept: KeptCode | None = None) -> Compiled:
    """Build the loops, or take them from where they are kept, so that the next map starts at once; safe to
    call from another thread.

    Args:
        kept: where the machine code is looked for and left.
    """
    with _LOCK:
        if not BUILT:
            BUILT.append(_compiled(_loops(kept)))
    return BUILT[0]


@cites("Ways from an aerial to points, as said in `ways`", mark=Mark.COMPUTED)
def look_for(kept: KeptCode) -> None:
    """Have the loops at hand where they are kept; nothing is built.

    Args:
        kept: where the machine code is looked for.
    """
    with _LOCK:
        if not BUILT:
            text, handed = _text()
            code = kept.take(_name(text))
            if code is not None:
                BUILT.append(_compiled(loaded(code, handed)))


def _compiled(loops: MachineLoops) -> Compiled:
    return Compiled(functools.partial(loops.call, "each_tile"), functools.partial(loops.call, "look_ahead"))


def _loops(kept: KeptCode | None) -> MachineLoops:
    text, handed = _text()
    if kept is None:
        return loaded(built(text), handed)
    name = _name(text)
    code = kept.take(name)
    if code is None:
        code = built(text)
        kept.put(name, code)
    return loaded(code, handed)


def _name(text: str) -> str:
    """A name that only these very loops have, for this very processor."""
    return hashlib.sha256(f"{made_for()}\n{text}".encode()).hexdigest()


def _text() -> tuple[str, Mapping[str, Sequence[Kind]]]:
    """The loops in assembly language, and what each is handed."""
    return written(
        entries={"each_tile": ways_tiles._each_tile, "look_ahead": ways_tiles._look_ahead},
        modules=_MODULES,
        rows={kind: layout(kind) for kind in _ROWS},
    )
