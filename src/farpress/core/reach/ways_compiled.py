"""The loops of `ways` as machine code: built at the first use on a machine, kept on disk, shared out over the
cores.
"""

from __future__ import annotations

import gc
import threading
import zlib
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor, as_completed
from typing import Any, Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from farpress.core.reach import ways_cones, ways_echoes, ways_kernel, ways_legs, ways_packed, ways_tiles
from farpress.sources import Mark, cites

__all__ = ["BUILT_ABOUT_S", "Compiled", "kept_as", "run_compiled", "warm_up"]

BUILT_ABOUT_S: Final = 20
"""How long the first build takes on a laptop of today: measured, said to people who wait for it."""

_SHARES = 16
_LOCK = threading.Lock()
_BUILT: list[Compiled] = []
_MODULES = (ways_packed, ways_legs, ways_cones, ways_kernel, ways_echoes, ways_tiles)


class Compiled(NamedTuple):
    """The two loops as machine code; arguments as in `ways_tiles`."""

    each_tile: Callable[..., None]
    look_ahead: Callable[..., None]


@cites("Ways from an aerial to points, as said in `ways`", mark=Mark.COMPUTED)
def run_compiled(
    *,
    solid: NDArray[np.float64],
    points: NDArray[np.float64],
    outdoors: NDArray[np.int64],
    firsts: NDArray[np.int64],
    aerial: NDArray[np.float64],
    ways: NDArray[np.float64],
    lists: NDArray[np.int64],
    ground: NDArray[np.float64],
    wave: float,
    extent: tuple[float, ...],
    between: int,
    progress: Callable[[int, int], object] | None = None,
) -> NDArray[np.float64]:
    """The rows of all points, on every core; arguments as in `ways_tiles._each_tile`.

    Args:
        solid: the packed scene.
        points, outdoors: in the order of the tiles, (n, 3) and (n,).
        firsts: first point of each tile, and n.
        aerial: (3,) [m].
        ways: see `ways_images`.
        lists: with the list of all walls and boxes in front, and room behind.
        ground: power over ground over the distance.
        wave: wavelength [m].
        between: a slab between the aerial and all points, or -1.
        extent: eight numbers, see `ways_tiles._look_ahead`.
        progress: told (done, of) now and then; may raise to cancel.
    """
    loops = warm_up()
    count = int(solid[0]) + int(solid[5])
    edge_at = np.tile(np.array([0, count]), int(solid[11]) + 1)
    loops.look_ahead(solid, aerial, ways, edge_at, lists, *extent, between)
    rows = np.zeros(points.shape[0] * ways_kernel._R)
    flat = points.ravel()
    tiles = len(firsts) - 1
    cuts = np.unique(np.linspace(0, tiles, min(_SHARES, max(tiles, 1)) + 1).astype(np.int64))

    room = len(lists)
    lists = np.concatenate(
        [lists, np.zeros((len(cuts) - 1) * (4 * count + 8), dtype=np.int64)]
    )  # each share writes in a room of its own

    def share(number: int) -> None:
        begun, ended = int(cuts[number]), int(cuts[number + 1])
        hits = np.zeros(ways_legs._H * (3 * count + 4))
        loops.each_tile(
            solid,
            flat,
            outdoors,
            firsts,
            begun,
            ended,
            aerial,
            ways,
            edge_at,
            lists,
            room + number * (4 * count + 8),
            between,
            hits,
            ground,
            wave,
            rows,
        )

    if len(cuts) < 3:
        for number in range(len(cuts) - 1):
            share(number)
        return rows.reshape(-1, ways_kernel._R)
    import numba

    with ThreadPoolExecutor(numba.get_num_threads()) as pool:
        waiting = [pool.submit(share, number) for number in range(len(cuts) - 1)]
        try:
            for done, one in enumerate(as_completed(waiting), start=1):
                one.result()
                if progress is not None:
                    progress(done, len(waiting))
        except BaseException:
            pool.shutdown(wait=True, cancel_futures=True)
            raise
    return rows.reshape(-1, ways_kernel._R)


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
    return [
        one
        for module in _MODULES
        for one in vars(module).values()
        if callable(one)
        and getattr(one, "__module__", "") == module.__name__
        and hasattr(one, "__code__")
        and one.__name__ not in ("packed",)
    ]


def _stamp() -> int:
    """Checksum of the loops and their constants: kept machine code is found again only for the very same
    ones.
    """
    constants = [
        (name, value)
        for module in _MODULES
        for name, value in sorted(vars(module).items())
        if isinstance(value, (int, float))
    ]
    return zlib.crc32(
        repr(
            [
                constants,
                *(
                    (one.__name__, one.__code__.co_code, one.__code__.co_consts, one.__code__.co_names)
                    for one in _parts()
                ),
            ]
        ).encode()
    )


def _build() -> Compiled:
    import numba
    from numba.extending import register_jitable

    stamp = _stamp()
    for one in _parts():
        register_jitable(one)
    each, look = ways_tiles._each_tile, ways_tiles._look_ahead

    def tiles(  # type: ignore[no-untyped-def]
        s,
        points,
        outdoors,
        firsts,
        begun,
        ended,
        aerial,
        ways,
        edge_at,
        lists,
        room,
        between,
        hits,
        ground,
        wave,
        rows,
    ):
        if stamp >= 0:
            each(
                s,
                points,
                outdoors,
                firsts,
                begun,
                ended,
                aerial,
                ways,
                edge_at,
                lists,
                room,
                between,
                hits,
                ground,
                wave,
                rows,
            )

    def ahead(s, aerial, ways, edge_at, lists, cx, cy, hx, hy, low, high, bottom, top, between):  # type: ignore[no-untyped-def]
        if stamp >= 0:
            look(s, aerial, ways, edge_at, lists, cx, cy, hx, hy, low, high, bottom, top, between)

    number, reals, whole = numba.float64, numba.float64[::1], numba.int64[::1]
    return Compiled(
        numba.njit(
            (
                reals,
                reals,
                whole,
                whole,
                numba.int64,
                numba.int64,
                reals,
                reals,
                whole,
                whole,
                numba.int64,
                numba.int64,
                reals,
                reals,
                number,
                reals,
            ),
            nogil=True,
            cache=True,
            error_model="numpy",
        )(tiles),
        numba.njit(
            (reals, reals, reals, whole, whole, *([number] * 8), numba.int64),
            nogil=True,
            cache=True,
            error_model="numpy",
        )(ahead),
    )
