"""Ways of radio kept by all they are made from: the scene to the last digit, the frequency and both ends."""

from __future__ import annotations

import functools
import hashlib
from collections.abc import Callable
from dataclasses import fields, is_dataclass
from typing import Any, Final

import numpy as np

from farpress.core.reach.direct import PathLoss, PathTerm, TermKind
from farpress.core.reach.scene import Barrier, PathEnd, Scene
from farpress.core.reach.terrain import Terrain
from farpress.kept.plain import Plain
from farpress.kept.units import Units
from farpress.sources import Citation, Mark

__all__ = ["HEIGHTS", "WAYS", "kept_height", "kept_way", "scene_digest"]

WAYS: Final[Units[PathLoss]] = Units(
    "ways", most=8192, plain=Plain(PathLoss, PathTerm, TermKind, Citation, Mark)
)
"""All ways; as many as some hundred jobs have, our choice."""


HEIGHTS: Final[Units[float]] = Units("heights", most=65_536, plain=Plain())
"""Heights of hilly ground at single points; what makes triangles loads for longer than an edit takes."""


def kept_height(terrain: Terrain, x: float, y: float) -> float:
    """Height of the ground at a point of the plan [m]; see `Terrain.height_m`."""
    key = f"{_ground_digest(terrain)} {float(x)!r} {float(y)!r}"
    return HEIGHTS.once(key, lambda: float(terrain.height_m(x, y)))


@functools.lru_cache(maxsize=64)
def _ground_digest(terrain: Terrain) -> str:
    digest = hashlib.sha256()
    _add(digest, terrain)
    return digest.hexdigest()


def kept_way(
    scene: bytes,
    fob: PathEnd,
    aerial: PathEnd,
    frequency_hz: float,
    *,
    unwalled: bool,
    make: Callable[[], PathLoss],
) -> PathLoss:
    """The way between two ends, made where it is not known.

    Args:
        scene: `scene_digest` of what stands between them.
        fob, aerial: the two ends as they are asked for.
        frequency_hz: of the fob [Hz].
        unwalled: what it costs to get into the building is added.
        make: computes it from nothing else than these.
    """
    ends = repr((fob, aerial, frequency_hz, unwalled))  # every digit, and which of them are whole numbers
    return WAYS.once(hashlib.sha256(scene + ends.encode()).hexdigest(), make)


def scene_digest(scene: Scene) -> bytes:
    """A hash of everything in a scene."""
    digest = hashlib.sha256()
    _add(digest, scene)
    return digest.digest()


@functools.lru_cache(maxsize=4096)
def _barrier_digest(barrier: Barrier) -> bytes:
    """A hash of one barrier; many walls are of one build, and few builds change."""
    digest = hashlib.sha256()
    _add_fields(digest, barrier)
    return digest.digest()


def _add_fields(digest: Any, value: Any) -> None:
    digest.update(f"d {type(value).__name__} ".encode())
    for field in fields(value):
        _add(digest, getattr(value, field.name))


def _add(digest: Any, value: Any) -> None:
    """A value into a hash: what is in it, piece by piece, each with its kind and how many."""
    kind = type(value)
    if kind is Barrier:
        digest.update(_barrier_digest(value))
    elif isinstance(value, np.ndarray):
        digest.update(f"a {value.dtype.str} {value.shape} ".encode())
        digest.update(np.ascontiguousarray(value).tobytes())
    elif is_dataclass(value):
        _add_fields(digest, value)
    elif isinstance(value, (tuple, list)):
        digest.update(f"t {kind.__name__} {len(value)} ".encode())
        for inner in value:
            _add(digest, inner)
    elif value is None or isinstance(value, (str, bool, int, float, complex)):
        text = repr(value)
        digest.update(f"v {kind.__name__} {len(text)} {text} ".encode("utf-8", "surrogatepass"))
    else:
        raise TypeError(f"{kind.__name__} has no digest")
