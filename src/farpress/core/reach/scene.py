"""What stands between places and aerials of one address, as plain geometry, and the two ends of a way."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property
from typing import Literal, NamedTuple

import numpy as np
from numpy.typing import NDArray

from farpress.core.reach.crossings import Panels
from farpress.core.reach.slab import SlabLayer
from farpress.core.reach.terrain import Terrain
from farpress.sources import Citation

__all__ = ["Barrier", "PathEnd", "Scene", "SteelBox", "WholeWalls"]


@dataclass(frozen=True)
class Barrier:
    """What one crossing of a wall, slab or pane costs.

    Attributes:
        says: its name.
        loss_db, sd_db: planning value straight through, and its spread [dB].
        layers: for the shape over the angle; empty where it has none.
        is_steel: opaque; the loss is what leaks round it.
        is_free_standing: nothing above it: a press also comes over its top.
        extrapolated: materials used outside the frequencies of their table.
        sources: of the planning value and the materials.
    """

    says: str
    loss_db: float
    sd_db: float
    layers: tuple[SlabLayer, ...] = ()
    is_steel: bool = False
    is_free_standing: bool = False
    extrapolated: tuple[str, ...] = ()
    sources: tuple[Citation, ...] = ()


@dataclass(frozen=True)
class SteelBox:
    """An upright box of steel: outline (m, 2) on the plan, lower and upper edge [m]."""

    says: str
    outline: NDArray[np.float64]
    base_m: float
    top_m: float


@dataclass(frozen=True)
class Scene:
    """What stands between places and aerials of one address.

    Attributes:
        panels: wall pieces and openings.
        panel_barriers: what each is made of; None for an open passage.
        slab_heights_m, slab_outlines, slab_barriers: of the slabs, one each.
        boxes: steel boxes.
        ground_permittivity, ground_conductivity_s_per_m: of the ground out of doors.
        terrain, street: the ground's shape, and among what buildings it lies (empty: none); counted by
            `ways` alone.
    """

    panels: Panels
    panel_barriers: tuple[Barrier | None, ...]
    slab_heights_m: tuple[float, ...] = ()
    slab_outlines: tuple[NDArray[np.float64] | None, ...] = ()
    slab_barriers: tuple[Barrier, ...] = ()
    boxes: tuple[SteelBox, ...] = ()
    ground_permittivity: float = 15.0
    ground_conductivity_s_per_m: float = 0.01
    terrain: Terrain = field(default_factory=Terrain)
    street: Literal["", "suburban", "urban"] = ""

    @cached_property
    def whole_walls(self) -> WholeWalls:
        """Its wall pieces, without openings and open passages."""
        barriers = self.panel_barriers
        chosen = [
            number
            for number, hole_in in enumerate(self.panels.hole_in.tolist())
            if hole_in < 0 and barriers[number] is not None
        ]
        panels = self.panels
        return WholeWalls(
            panels.start_m[chosen],
            panels.end_m[chosen],
            panels.base_m[chosen],
            panels.top_m[chosen],
            np.array([_stands_free(barriers[number]) for number in chosen], dtype=np.bool_),
        )


class WholeWalls(NamedTuple):
    """Wall pieces of a scene: ends on the plan (n, 2) and edges (n,) [m], and which of them stand free."""

    start_m: NDArray[np.float64]
    end_m: NDArray[np.float64]
    base_m: NDArray[np.float64]
    top_m: NDArray[np.float64]
    stands_free: NDArray[np.bool_]


def _stands_free(barrier: Barrier | None) -> bool:
    return barrier is not None and barrier.is_free_standing


class PathEnd(NamedTuple):
    """One end of the way: where [m], how high over the ground or floor [m], and whether out of doors."""

    at_m: tuple[float, float, float]
    over_ground_m: float
    is_outdoors: bool
