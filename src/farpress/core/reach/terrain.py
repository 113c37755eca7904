"""The ground as surveyed points: its height anywhere, and what its shape costs a press that runs over it.

Between the points the ground is flat from point to point (triangles); beyond them it goes on as the
plane that fits all points. A plane costs nothing here: its two rays are counted elsewhere.
"""

from __future__ import annotations

import functools
from dataclasses import dataclass
from typing import Any, Final, NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from farpress.core.reach.knife_edge import knife_edge_loss_db
from farpress.core.reach.triangles import triangles_between
from farpress.sources import Mark, cites
from farpress.units import wavelength_m

__all__ = ["ProfileCosts", "Terrain", "bullington_loss_db", "profile_costs"]

FLAT_M: Final = 0.05
"""Points nearer to one plane than this are a plane: our choice, an installer's levelling is no better."""

FEW: Final = 64
"""Points up to which our own triangles are quicker than loading a library for them; measured, our choice."""

SAMPLES: Final = 33

SHADED_DB: Final = 6.0
"""Behind an edge that takes this much nothing is thrown on by the ground between: the ray that grazes it."""

PARTED_SHARE: Final = 0.2
"""Horizons of the two ends this far apart, as a share of the way, are a hill and no edge: our choice."""

EDGES_AT_MOST: Final = 80
"""Up to so many edges between surveyed points the ground is looked at where the way crosses each: a bank of a
metre is not stepped over. Measured, our choice; with more of them the points are dense enough."""

IN_LINE_SHARE: Final = 0.01
"""Points that spread across their own line by less than this share of its length say nothing of how the
ground falls to its sides, which is then level: our choice."""

_AT_ONCE: Final = 4000


class ProfileCosts(NamedTuple):
    """What n profiles of the ground cost.

    Attributes:
        lost_db: more than over smooth ground, (n,) [dB].
        aerial_m, points_m: heights of the aerial and of the points over the smooth ground, (n,) [m].
        edge_share: how far one edge stands in the way, 0 to 1, (n,).
    """

    lost_db: NDArray[np.float64]
    aerial_m: NDArray[np.float64]
    points_m: NDArray[np.float64]
    edge_share: NDArray[np.float64]


@dataclass(frozen=True)
class Terrain:
    """Surveyed points of the ground, (x, y, height) each [m]."""

    points: tuple[tuple[float, float, float], ...] = ()

    @functools.cached_property
    def plane(self) -> tuple[float, float, float]:
        """Height at the origin and the two slopes of the plane that fits best; level at 0 without points."""
        if not self.points:
            return 0.0, 0.0, 0.0
        points = np.array(self.points)
        middle = points.mean(axis=0)
        tilt = np.linalg.lstsq(points[:, :2] - middle[:2], points[:, 2] - middle[2], rcond=IN_LINE_SHARE)[0]
        return float(middle[2] - tilt @ middle[:2]), float(tilt[0]), float(tilt[1])

    @functools.cached_property
    def is_plane(self) -> bool:
        """Whether every point lies on one plane, so that there is no hill to go over."""
        points = np.array(self.points).reshape(-1, 3)
        return len(points) < 4 or bool(
            np.abs(points[:, 2] - self._flat(points[:, 0], points[:, 1])).max() <= FLAT_M
        )

    def _flat(self, x: NDArray[np.float64], y: NDArray[np.float64]) -> NDArray[np.float64]:
        begun, east, north = self.plane
        return np.asarray(begun + east * x + north * y)

    @functools.cached_property
    def _triangles(self) -> tuple[Any, NDArray[np.float64]] | None:
        """Triangles between the points, and what the points stand over the plane, (n,) [m]; None where they
        lie in one line.
        """
        points = np.array(self.points)
        mesh = _triangles_by_library(points[:, :2]) if len(points) > FEW else triangles_between(points[:, :2])
        return None if mesh is None else (mesh, points[:, 2] - self._flat(points[:, 0], points[:, 1]))

    @functools.cached_property
    def _edges(self) -> NDArray[np.float64]:
        """Edges between the points on the plan, x1, y1, x2, y2 each, (e, 4) [m]; none where there are too
        many to look at.
        """
        if self.is_plane or self._triangles is None:
            return np.zeros((0, 4))
        mesh = self._triangles[0]
        pairs, _ = np.unique(
            np.sort(np.concatenate([mesh.simplices[:, pair] for pair in ([0, 1], [1, 2], [2, 0])]), axis=1),
            axis=0,
            return_index=True,  # without it numpy loads its masked arrays, which takes longer than all else
        )
        if len(pairs) > EDGES_AT_MOST:
            return np.zeros((0, 4))
        return np.hstack([mesh.points[pairs[:, 0]], mesh.points[pairs[:, 1]]])

    @cites("Intersection of two lines, textbook", mark=Mark.MEMORY)
    def crossed_at(self, aerial_m: tuple[float, ...], points_m: NDArray[np.float64]) -> NDArray[np.float64]:
        """Shares of the ways from an aerial to points (n, 2 or 3) at which they cross the edges between the
        surveyed points, (n, e); the middle of the way for an edge that is not crossed.
        """
        ax, ay, bx, by = (column[None, :] for column in self._edges.T)
        way = points_m[:, :2] - np.asarray(aerial_m[:2])
        dx, dy = way[:, 0:1], way[:, 1:2]
        ex, ey, fx, fy = bx - ax, by - ay, ax - aerial_m[0], ay - aerial_m[1]
        spread = dx * ey - dy * ex
        safe = np.where(np.abs(spread) > 1e-12, spread, 1.0)
        share, along = (fx * ey - fy * ex) / safe, (fx * dy - fy * dx) / safe
        crossed = (
            (np.abs(spread) > 1e-12) & (share > 0.005) & (share < 0.995) & (along >= 0.0) & (along <= 1.0)
        )
        return np.where(crossed, share, 0.5)

    @cites("Linear interpolation in a Delaunay triangulation, textbook", mark=Mark.MEMORY)
    def height_m(self, x: ArrayLike, y: ArrayLike) -> NDArray[np.float64]:
        """Height of the ground at points of the plan [m]; beyond the surveyed points as at the nearest place
        of their rim, along the plane.

        Example:
            A dam 2 m high across a level field:

            >>> dam = Terrain(
            ...     (
            ...         (0.0, 0.0, 0.0),
            ...         (0.0, 20.0, 0.0),
            ...         (20.0, 0.0, 0.0),
            ...         (20.0, 20.0, 0.0),
            ...         (10.0, 0.0, 2.0),
            ...         (10.0, 20.0, 2.0),
            ...     )
            ... )
            >>> float(dam.height_m(10.0, 7.0)), float(dam.height_m(5.0, 10.0)), dam.is_plane
            (2.0, 1.0, False)
        """
        x, y = np.broadcast_arrays(np.asarray(x, dtype=np.float64), np.asarray(y, dtype=np.float64))
        flat = self._flat(x, y)
        triangles = None if self.is_plane else self._triangles
        if triangles is None:
            return flat
        mesh, over = triangles
        places = np.stack([x.ravel(), y.ravel()], axis=1)
        triangle = mesh.find_simplex(places)
        outside = triangle < 0
        if outside.any():
            places[outside] = _onto_rim(
                places[outside], mesh.points[mesh.convex_hull], mesh.points.mean(axis=0)
            )
            triangle[outside] = mesh.find_simplex(places[outside])
        return np.asarray(flat + _between(mesh, over, places, triangle).reshape(x.shape))


def _triangles_by_library(points: NDArray[np.float64]) -> Any:
    from scipy.spatial import Delaunay, QhullError  # a quarter of a second: not for a few points

    try:
        return Delaunay(points)
    except QhullError:
        return None


def _between(
    mesh: Any, over: NDArray[np.float64], places: NDArray[np.float64], triangle: NDArray[np.int64]
) -> NDArray[np.float64]:
    """Values of the corners, weighed by how near each is (barycentric); 0 where no triangle is."""
    turned = mesh.transform[triangle]
    first_two = np.einsum("nij,nj->ni", turned[:, :2], places - turned[:, 2])
    weights = np.column_stack([first_two, 1.0 - first_two.sum(axis=1)])
    height = np.sum(weights * over[mesh.simplices[triangle]], axis=1)
    return np.where((triangle >= 0) & np.isfinite(height), height, 0.0)


def _onto_rim(
    places: NDArray[np.float64], edges: NDArray[np.float64], middle: NDArray[np.float64]
) -> NDArray[np.float64]:
    """The nearest places on the rim of the surveyed points, a hair inside."""
    best, where = np.full(len(places), np.inf), places.copy()
    for a, b in edges:
        along = b - a
        share = np.clip((places - a) @ along / max(float(along @ along), 1e-12), 0.0, 1.0)
        on = a + share[:, None] * along
        apart = np.hypot(*(on - places).T)
        nearer = apart < best
        best[nearer], where[nearer] = apart[nearer], on[nearer]
    return np.asarray(where + 1e-6 * (middle - where))


@cites(
    "Rec. ITU-R P.526",
    place="single knife edge; general terrain: one edge in place of all (Bullington), earth taken as flat",
    mark=Mark.MEMORY,
)
def bullington_loss_db(
    *,
    distance_m: ArrayLike,
    heights_m: ArrayLike,
    start_m: ArrayLike,
    end_m: ArrayLike,
    frequency_hz: float,
    at_share: ArrayLike | None = None,
) -> NDArray[np.float64]:
    """Diffraction loss over r profiles of k places each [dB].

    Where both ends have the same place for their horizon it is one edge, and costs what the single knife
    edge costs; Bullington's addition for what else there may be comes in as the horizons part.

    Args:
        distance_m: length along the ground, (r,) [m].
        heights_m: ground between the ends, without them, (r, k) [m].
        start_m, end_m: heights of the two aerials over the same zero, (r,) [m].
        frequency_hz: carrier frequency [Hz].
        at_share: where on the way these heights are, 0 to 1, (r, k); at even steps where it is left out.

    Example:
        One edge that just reaches the line of sight half-way: 6.0 dB:

        >>> float(
        ...     bullington_loss_db(
        ...         distance_m=[100.0],
        ...         heights_m=[[-50.0, 2.0, -50.0]],
        ...         start_m=[2.0],
        ...         end_m=[2.0],
        ...         frequency_hz=433.92e6,
        ...     )[0]
        ... )
        6.033
    """
    return _bullington(distance_m, heights_m, start_m, end_m, frequency_hz, at_share)[0]


def _bullington(
    distance_m: ArrayLike,
    heights_m: ArrayLike,
    start_m: ArrayLike,
    end_m: ArrayLike,
    frequency_hz: float,
    at_share: ArrayLike | None,
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Diffraction loss (r,) [dB], and how far one edge stands in the way, 0 to 1, (r,)."""
    length = np.asarray(distance_m, dtype=np.float64)[:, None]
    ground = np.asarray(heights_m, dtype=np.float64)
    a, b = np.asarray(start_m, dtype=np.float64)[:, None], np.asarray(end_m, dtype=np.float64)[:, None]
    even = np.arange(1, ground.shape[1] + 1) / (ground.shape[1] + 1.0)
    share = np.broadcast_to(even if at_share is None else np.asarray(at_share), ground.shape)
    before = share * length
    behind = length - before
    wave = wavelength_m(frequency_hz)
    rising, falling = (ground - a) / before, (ground - b) / behind
    up, down = rising.max(axis=1), falling.max(axis=1)
    horizons = [np.take_along_axis(share, seen.argmax(axis=1)[:, None], axis=1) for seen in (rising, falling)]
    is_parted = np.clip(np.abs(horizons[0] - horizons[1])[:, 0] / PARTED_SHARE, 0.0, 1.0)
    line = (b - a)[:, 0] / length[:, 0]
    clear = ((ground - a - line[:, None] * before) * np.sqrt(2.0 * length / (wave * before * behind))).max(
        axis=1
    )
    flat = length[:, 0]
    point = np.clip(
        (b[:, 0] - a[:, 0] + down * flat) / np.where(np.abs(up + down) > 1e-12, up + down, 1.0),
        0.02 * flat,
        0.98 * flat,
    )
    high = a[:, 0] + up * point - a[:, 0] - line * point
    v = np.where(up < line, clear, high * np.sqrt(2.0 * flat / (wave * point * (flat - point))))
    edge = knife_edge_loss_db(parameter=v)
    lost = edge + is_parted * (1.0 - np.exp(-edge / 6.0)) * (10.0 + 0.02 * flat / 1000.0)
    return np.asarray(lost), (1.0 - is_parted) * np.minimum(edge / SHADED_DB, 1.0)


@cites(
    "Rec. ITU-R P.526",
    place="terrain against the smooth ground that fits it (after the delta-Bullington form)",
    mark=Mark.MEMORY,
)
def profile_costs(
    *,
    terrain: Terrain,
    aerial_m: tuple[float, float, float],
    points_m: NDArray[np.float64],
    frequency_hz: float,
) -> ProfileCosts:
    """What the ground between costs more than smooth ground, and how high both ends stand over that smooth
    ground.

    The smooth ground is the straight line that fits the profile, nowhere above the real ground at its
    ends, so that an end on a hill stands high. Terrain below it gains nothing.

    Args:
        terrain: the ground.
        aerial_m: x, y, z of one end [m].
        points_m: the other ends, (n, 3) [m].
        frequency_hz: carrier frequency [Hz].
    """
    lost, high_a, high_p, edge = (np.zeros(len(points_m)) for _ in range(4))
    share, weight, fit = _profile()
    for first in range(0, len(points_m), _AT_ONCE):
        part = slice(first, first + _AT_ONCE)
        x = aerial_m[0] + share * (points_m[part, 0:1] - aerial_m[0])
        y = aerial_m[1] + share * (points_m[part, 1:2] - aerial_m[1])
        ground = terrain.height_m(x, y)
        begun, ended = fit @ ground.T
        begun, ended = np.minimum(begun, ground[:, 0]), np.minimum(ended, ground[:, -1])
        smooth = begun[:, None] * weight[0] + ended[:, None] * weight[1]
        ends = np.full(len(x), aerial_m[2]), points_m[part, 2]
        length = np.maximum(np.hypot(x[:, -1] - x[:, 0], y[:, -1] - y[:, 0]), 0.5)
        evenly = np.broadcast_to(share[1:-1], ground[:, 1:-1].shape)
        on = terrain.crossed_at(aerial_m, points_m[part])
        x, y = (aerial_m[k] + on * (points_m[part, k : k + 1] - aerial_m[k]) for k in (0, 1))
        steps = terrain.height_m(x, y)
        both, places = np.hstack([ground[:, 1:-1], steps]), np.hstack([evenly, on])
        real, edge[part] = _bullington(length, both, *ends, frequency_hz, places)
        plain, _ = _bullington(length, smooth[:, 1:-1], *ends, frequency_hz, evenly)
        lost[part] = np.maximum(real - plain * (1.0 - edge[part]), 0.0)
        high_a[part], high_p[part] = ends[0] - begun, ends[1] - ended
    return ProfileCosts(lost, high_a, high_p, edge)


@functools.cache
def _profile() -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]:
    """Shares of the way at which the ground is looked at (k,), how much of both ends stands there (2, k), and
    the fit of a straight line to heights there (2, k).
    """
    share = np.arange(SAMPLES + 2) / (SAMPLES + 1.0)
    weight = np.stack([1.0 - share, share])
    return share, weight, np.asarray(np.linalg.pinv(weight.T))
