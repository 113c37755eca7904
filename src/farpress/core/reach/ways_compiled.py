"""The loops of `ways` as machine code: built at the first use on a machine, kept on disk, shared out over the
cores.
"""

from __future__ import annotations

import gc
import threading
import zlib
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor, as_completed
from itertools import pairwise
from typing import Any, Final, NamedTuple, cast

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
from farpress.core.reach.ways_arrays import as_arrays, layout
from farpress.core.reach.ways_packed import Packed
from farpress.core.reach.ways_tiles import Extent
from farpress.core.reach.ways_work import (
    Ahead,
    Area,
    Hit,
    ImageRow,
    ListSpan,
    Met,
    Mirrors,
    Point,
    PointRow,
    Received,
    Scratch,
    Setting,
)
from farpress.sources import Mark, cites

__all__ = ["BUILT_ABOUT_S", "Compiled", "kept_as", "run_compiled", "warm_up"]

BUILT_ABOUT_S: Final = 20
"""How long the first build takes on a laptop of today: measured, said to people who wait for it."""

_SHARES: Final = 16
_LOCK = threading.Lock()
_BUILT: list[Compiled] = []
_MODULES: Final = (
    ways_packed,
    ways_shared,
    ways_work,
    ways_crossing,
    ways_legs,
    ways_cones,
    ways_kernel,
    ways_echoes,
    ways_shared,
    ways_thrown,
    ways_edges,
    ways_tiles,
)


class Compiled(NamedTuple):
    """The two loops as machine code; arguments as in `ways_tiles`."""

    each_tile: Callable[..., None]
    look_ahead: Callable[..., None]


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
    """
    loops = warm_up()
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
    import numba

    with ThreadPoolExecutor(numba.get_num_threads()) as pool:
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
def warm_up() -> Compiled:
    """Build the loops, or take them from disk, so that the next map starts at once; safe to call from another
    thread.
    """
    with _LOCK:
        if not _BUILT:
            collects = gc.isenabled()
            gc.disable()  # a tenth of the building time
            try:
                _BUILT.append(_build())
            finally:
                if collects:
                    gc.enable()
    return _BUILT[0]


@cites("Ways from an aerial to points, as said in `ways`", mark=Mark.COMPUTED)
def kept_as() -> tuple[bool, str, str]:
    """Whether the loops are loaded; in which folder they are kept; and a name that only these very loops
    have.
    """
    import numba
    from numba.core.caching import FunctionCache

    folder = FunctionCache(kept_as).cache_path  # type: ignore[no-untyped-call]
    return bool(_BUILT), str(folder), f"ways-{_stamp():08x}-{numba.__version__}.built"


def _parts() -> list[Callable[..., Any]]:
    """Every function of the loops."""
    return [
        part
        for module in _MODULES
        for part in vars(module).values()
        if callable(part) and getattr(part, "__module__", "") == module.__name__ and hasattr(part, "__code__")
    ]


def _stamp() -> int:
    """Checksum of the loops, their constants and their rows: kept machine code is found again only for the
    very same ones.
    """
    own = [(name, value) for module in _MODULES for name, value in sorted(vars(module).items())]
    constants = [(name, value) for name, value in own if isinstance(value, (int, float))]
    rows = [(name, list(value.__annotations__)) for name, value in own if isinstance(value, type)]
    code = [
        (part.__name__, part.__code__.co_code, part.__code__.co_consts, part.__code__.co_names)
        for part in _parts()
    ]
    return zlib.crc32(repr([constants, rows, code]).encode())


def _build() -> Compiled:
    import numba
    from numba.extending import register_jitable

    stamp = _stamp()
    for part in _parts():
        register_jitable(part)
    each, look = ways_tiles._each_tile, ways_tiles._look_ahead

    def tiles(setting, mirrors, spots, firsts, groups, share, scratch, received):  # type: ignore[no-untyped-def]
        if stamp >= 0:
            each(setting, mirrors, spots, firsts, groups, share, scratch, received)

    def ahead(setting, mirrors, lists, extent):  # type: ignore[no-untyped-def]
        if stamp >= 0:
            look(setting, mirrors, lists, extent)

    def compiled(loop: Callable[..., None], example: tuple[object, ...]) -> Callable[..., None]:
        signature = tuple(numba.typeof(argument) for argument in example)  # type: ignore[no-untyped-call]
        # the loops allocate nothing; counting references to every array at every call would treble their time
        options: dict[str, Any] = {"nogil": True, "cache": True, "error_model": "numpy", "_nrt": False}
        return cast("Callable[..., None]", numba.njit(signature, **options)(loop))

    each_example, look_example = _examples()
    return Compiled(compiled(tiles, each_example), compiled(ahead, look_example))


def _examples() -> tuple[tuple[object, ...], tuple[object, ...]]:
    """Arguments of both loops for a scene of nothing: their types are those of every scene."""
    lists: Any = np.zeros(1, dtype=np.int64)

    def none_of(kind: type[Any]) -> Any:
        return np.zeros(0, dtype=layout(kind))

    packed = as_arrays(Packed([], [], [], [], [], [], [], []))
    setting = Setting(packed, Point(0.0, 0.0, 0.0), cast("Any", np.zeros(2)), 1.0, -1)
    mirrors = Mirrors(none_of(ImageRow), 0, none_of(Ahead), none_of(ListSpan))
    scratch = Scratch(lists, 0, 0, none_of(Hit))
    extent = Extent(Area(0.0, 0.0, 0.0, 0.0), 0.0, 0.0, 0.0, 0.0)
    return (
        (setting, mirrors, none_of(PointRow), lists, lists, Met(0, 0), scratch, none_of(Received)),
        (setting, mirrors, lists, extent),
    )
