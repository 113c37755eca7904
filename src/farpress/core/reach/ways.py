"""Every way a press takes: straight, thrown back by walls and floors, round corners, over the top.

Powers are added, as a hand that moves a little meets every phase; the share of the strongest way
says how deep the fading between them is (`fading`). Not in it: furniture, people, diffraction
twice round the same side, scattering by rough faces. Echoes of third and higher order are a
geometric series after the first two.
"""

from __future__ import annotations

import functools
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Final, Literal, NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from farpress.core.reach.direct import PathLoss, PathTerm, TermKind, direct_path
from farpress.core.reach.ground_table import FARTHEST_M, ground_table
from farpress.core.reach.knife_edge import knife_edge_loss_db
from farpress.core.reach.scene import PathEnd, Scene
from farpress.core.reach.slab import slab_power
from farpress.core.reach.terrain import bullington_loss_db
from farpress.core.reach.ways_arrays import as_rows
from farpress.core.reach.ways_images import Mirrored
from farpress.core.reach.ways_outdoors import _roofed, _street_db, _terrain_db
from farpress.core.reach.ways_packed import Packed
from farpress.core.reach.ways_run import WaysRequest, received
from farpress.core.reach.ways_scene import packed_scene
from farpress.core.reach.ways_work import Point
from farpress.errors import InputError
from farpress.sources import Mark, cited, cites
from farpress.units import wavelength_m

if TYPE_CHECKING:
    from farpress.core.reach.ways_compiled import KeptCode

__all__ = ["GUIDED_DB", "Around", "Ways", "around", "many_ways_path", "ways_between"]

GUIDED_DB: Final = float(10.0 * np.log10(2.0))
"""The most that echoes bring above free space in rooms that are used, twice its power [dB]: our choice.
A bare corridor or hall guides a press further, by 5 to 10 dB at its far end; doors, goods and people spoil
that.
"""

_KINDS: Final = {
    "direct": "direct",
    "reflected": "reflected",
    "round edges": "round_edges",
    "over the top": "over_tops",
    "higher echoes": "higher",
}
"""Kinds of ways, and what `Received` calls them."""


class Ways(NamedTuple):
    """What n points get from one aerial.

    Attributes:
        loss_db: median loss between isotropic aerials, all ways together, (n,) [dB].
        straight_db: what walls, slabs and steel on the straight line cost, (n,) [dB].
        strongest_share: share of the power that comes by the strongest way, (n,).
        wall_sd_db: spread from the walls crossed, weighted by the ways' power, (n,) [dB].
        shares: kind of way → its share of the power, (n,).
        terrain_db: what of the loss is due to the shape of the ground, (n,) [dB].
        street_db: what scatter along built-up streets takes off it, (n,) [dB].
        left_out_db: how much less the loss could be at most, had no faint way been left out, (n,) [dB].
    """

    loss_db: NDArray[np.float64]
    straight_db: NDArray[np.float64]
    strongest_share: NDArray[np.float64]
    wall_sd_db: NDArray[np.float64]
    shares: dict[str, NDArray[np.float64]]
    terrain_db: NDArray[np.float64]
    street_db: NDArray[np.float64]
    left_out_db: NDArray[np.float64]


@dataclass(frozen=True)
class Around:
    """A scene made ready for one frequency, in arrays for machine code; `rows` are the same as tuples for
    plain code.
    """

    scene: Scene
    frequency_hz: float
    packed: Packed
    mirrored: Mirrored
    guided_db: float = GUIDED_DB

    @functools.cached_property
    def rows(self) -> Packed:
        """The packed scene as lists of tuples."""
        return as_rows(self.packed)


@cites(
    "Rec. ITU-R P.2040",
    edition="3",
    place="tables of transmission and reflection over the angle",
    mark=Mark.COPY,
)
def around(
    *,
    scene: Scene,
    frequency_hz: float,
    polarisation: Literal["mixed", "vertical", "level"] = "mixed",
    guided_db: float = GUIDED_DB,
) -> Around:
    """A scene made ready for `ways_between`.

    Args:
        scene: walls, slabs, steel and ground.
        frequency_hz: carrier frequency [Hz].
        guided_db: the most that echoes bring above free space; 3 in rooms that are used [dB].
        polarisation: "vertical" where both aerials stand upright, "level" where both lie; "mixed" for a fob
            held at any angle: the mean power of upright and level waves, each followed all the way (an
            upright one goes through floors well and through walls badly, a level one the other way round).
    """
    packed = packed_scene(scene=scene, frequency_hz=frequency_hz, polarisation=polarisation)
    return Around(scene, frequency_hz, packed, Mirrored(packed, wavelength_m(frequency_hz)), guided_db)


@cites("Image method, textbook", place="first and second order, power sum", mark=Mark.MEMORY)
@cites(
    "Rec. ITU-R P.526",
    place="single edge; one edge in place of several (Bullington); opening by Fresnel integrals",
    mark=Mark.MEMORY,
)
@cites(
    "Abramowitz, Stegun, Handbook of Mathematical Functions",
    place="7.3.32, 7.3.33, Fresnel integrals to 0.002",
    mark=Mark.MEMORY,
)
def ways_between(
    *,
    around: Around,
    aerial: PathEnd,
    points_m: ArrayLike,
    over_ground_m: float,
    outdoors: ArrayLike,
    compile_it: bool | None = None,
    progress: Callable[[int, int], object] | None = None,
    kept: KeptCode | None = None,
) -> Ways:
    """Every way between one aerial and many points.

    Args:
        around: the scene made ready.
        aerial: the receiving end.
        points_m: where presses come from, (n, 3) [m].
        over_ground_m: height of all these points over their ground or floor [m].
        outdoors: whether each point lies out of doors, (n,). With one end out of doors the ground counts
            with two
            rays; with both a way over the tops of walls does too, and with one where a slab is drawn over the
            other: through it and over the eaves.
        compile_it: run as machine code (True), as plain Python (False), or by the size of the work.
        progress: told (done, of) now and then while machine code runs; may raise to cancel.
        kept: where machine code is looked for and left.

    Raises:
        InputError: a coordinate that is no number, or points farther away than 20 km.
    """
    points = np.ascontiguousarray(np.asarray(points_m, dtype=np.float64).reshape(-1, 3))
    if not np.isfinite(points).all() or not np.isfinite(np.asarray(aerial.at_m)).all():
        raise InputError(
            "A point of the map or the aerial has a coordinate that is no number: give x, y and height in"
            " metres."
        )
    far = float(np.max(np.hypot(points[:, 0] - aerial.at_m[0], points[:, 1] - aerial.at_m[1]), initial=0.0))
    if far > FARTHEST_M:
        raise InputError(
            f"A point lies {far:.0f} m from the aerial; reach is computed up to {FARTHEST_M:.0f} m: check the"
            " plan's scale."
        )
    open_air = np.broadcast_to(np.asarray(outdoors, dtype=np.bool_), (len(points),)).astype(np.int64) + int(
        aerial.is_outdoors
    )
    open_air += _roofed(around.scene, aerial, points, open_air)
    scene = around.scene
    ground = ground_table(
        height_a_m=max(aerial.over_ground_m, 0.05),
        height_b_m=max(over_ground_m, 0.05),
        frequency_hz=around.frequency_hz,
        permittivity=scene.ground_permittivity,
        conductivity_s_per_m=scene.ground_conductivity_s_per_m,
    )
    here = received(
        asked=WaysRequest(
            around.packed,
            functools.partial(getattr, around, "rows"),
            around.mirrored,
            Point(*(float(number) for number in aerial.at_m)),
            points,
            open_air,
            ground,
            wavelength_m(around.frequency_hz),
            10.0 ** (around.guided_db / 10.0),
        ),
        compile_it=compile_it,
        progress=progress,
        kept=kept,
    )
    gain = here["gain"]
    kinds = {name: here[column] for name, column in _KINDS.items()}
    whole = np.maximum(sum(kinds.values()), 1e-300)
    both = np.broadcast_to(np.asarray(outdoors, dtype=np.bool_), (len(points),)) & aerial.is_outdoors
    hills = _terrain_db(scene, around.frequency_hz, aerial, points, over_ground_m, open_air)
    loss = hills - 10.0 * np.log10(np.maximum(gain, 1e-30))
    street = _street_db(
        scene,
        around.frequency_hz,
        aerial,
        points,
        over_ground_m,
        np.where(both, 2, 0),
        here["straight_db"],
        loss,
    )
    return Ways(
        loss + street,
        here["straight_db"],
        np.clip(here["strongest"] / whole, 0.0, 1.0),
        here["spread"],
        {name: power / whole for name, power in kinds.items()},
        hills,
        street,
        10.0 * np.log10(1.0 + here["left_out"] / np.maximum(gain, 1e-300)),
    )


@cites("Straight way and every other way together", place="terms as cited beside each", mark=Mark.COMPUTED)
def many_ways_path(*, around: Around, fob: PathEnd, aerial: PathEnd) -> PathLoss:
    """Loss between two ends line by line, every way counted.

    The lines are those of the straight way, then one for everything that comes by other ways.

    Args:
        around: the scene made ready.
        fob, aerial: the two ends.
    """
    straight = direct_path(scene=around.scene, fob=fob, aerial=aerial, frequency_hz=around.frequency_hz)
    found = ways_between(
        around=around,
        aerial=aerial,
        points_m=[fob.at_m],
        over_ground_m=fob.over_ground_m,
        outdoors=[fob.is_outdoors],
    )
    loss = float(found.loss_db[0])
    other = {
        name: float(share[0]) for name, share in found.shares.items() if name != "direct" and share[0] >= 0.05
    }
    names = {
        "reflected": "echoes of walls and floors",
        "higher echoes": "echoes of echoes",
        "round edges": "round corners",
        "over the top": "over the top",
    }
    by = (
        ", ".join(names[name] for name in sorted(other, key=lambda kind: -other[kind]))
        or "echoes, corners and tops"
    )
    hill, street = float(found.terrain_db[0]), float(found.street_db[0])
    moved = loss - hill - street - straight.loss_db
    terms = (
        (*straight.terms, PathTerm(TermKind.OTHER_WAYS, f"comes by other ways too ({by})", moved))
        if abs(moved) >= 0.05
        else straight.terms
    )
    if abs(hill) >= 0.05:
        terms += (PathTerm(TermKind.TERRAIN, "shape of the ground between", hill),)
    if street <= -0.05:
        terms += (
            PathTerm(TermKind.STREET, "no more than streets lose round corners in 9 of 10 places", street),
        )
    environment = straight.local_sd_db**2 - sum(term.sd_db**2 for term in straight.terms)
    local = float(np.sqrt(max(environment, 0.0) + float(found.wall_sd_db[0]) ** 2))
    total = float(sum(term.loss_db for term in terms))
    sources = (
        *straight.sources,
        *cited(ways_between),
        *cited(knife_edge_loss_db),
        *cited(slab_power),
        *(cited(bullington_loss_db) if hill else ()),
        *(cited(_street_db) if street else ()),
    )
    return replace(
        straight,
        terms=terms,
        loss_db=total,
        local_sd_db=local,
        sources=tuple(dict.fromkeys(sources)),
        strongest_share=float(found.strongest_share[0]),
        wall_sd_db=float(found.wall_sd_db[0]),
    )
