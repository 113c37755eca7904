"""What the loops of `ways` hand to each other: points, images, legs, tiles, and room to work in.

Rows that are only read are tuples; rows that are written are small objects. Machine code has
arrays of the same rows in both places (see `ways_arrays`).
"""

from __future__ import annotations

from collections.abc import MutableSequence, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from farpress.core.reach.ways_packed import Packed

__all__ = [
    "Ahead",
    "Area",
    "Bundle",
    "Crossing",
    "Fan",
    "Gains",
    "HeightBand",
    "Hit",
    "ImageRow",
    "Leg",
    "ListSpan",
    "Lost",
    "Met",
    "Mirrors",
    "Point",
    "PointRow",
    "Received",
    "Route",
    "Scratch",
    "Setting",
    "Sides",
    "SlabsPassed",
    "Tile",
]


class Point(NamedTuple):
    """A point, or the way from one to another [m]."""

    x: float
    y: float
    z: float


class Gains(NamedTuple):
    """Power gains between isotropic aerials by upright and by level waves, each half of all that is sent."""

    upright: float
    level: float


class Lost(NamedTuple):
    """What upright and level waves lose [dB], and the variance of that [dB^2]."""

    upright: float
    level: float
    variance: float


@dataclass(slots=True)
class PointRow:
    """A point of the map [m].

    Attributes:
        open_air: 0 both ends indoors, 1 one, 2 both or with a way over the roof.
        block: number of the few points, next to each other in their order, that share what faint ways bring.
    """

    x: float
    y: float
    z: float
    open_air: int
    block: int


class ImageRow(NamedTuple):
    """An image of the aerial in one wall, or in two one after the other.

    Attributes:
        i, j: first and last wall that throws back; the same for one wall.
        parent: number of the image in the first wall alone.
        mx, my: image in the first wall [m].
        kx, ky: last image [m].
        side: signed distance of what is mirrored last from the last wall [m].
        bright: brightest echo times (wavelength / 4 pi)^2.
        right_x, right_y, left_x, left_y: the piece of the last wall that the image before sees [m].
        right_xi, right_yi, left_xi, left_yi: the same on the first wall [m].
    """

    i: int
    j: int
    parent: int
    mx: float
    my: float
    kx: float
    ky: float
    side: float
    bright: float
    right_x: float
    right_y: float
    left_x: float
    left_y: float
    right_xi: float
    right_yi: float
    left_xi: float
    left_yi: float


@dataclass(slots=True)
class Ahead:
    """What is known of an image before any point is looked at.

    Attributes:
        through: share of power that its legs let through at most.
        slab: share that a slab between lets through.
        out, out_end: walls and boxes that the leg from the aerial can meet, in the lists.
        mid, mid_end: those of the leg between two walls.
        back, back_end: those of the leg to the points.
    """

    through: float
    slab: float
    out: int
    out_end: int
    mid: int
    mid_end: int
    back: int
    back_end: int


@dataclass(slots=True)
class ListSpan:
    """Where a list begins and ends."""

    begun: int
    ended: int


@dataclass(slots=True)
class Hit:
    """A wall that a leg crosses on the plan.

    Attributes:
        wall: its number.
        u: place along it [m].
        t: share of the whole way.
        cosine: of the angle on the plan.
    """

    wall: int
    u: float
    t: float
    cosine: float


@dataclass(slots=True)
class Received:
    """What arrives at a point: power gains between isotropic aerials, and decibels where it says so.

    Attributes:
        gain: all ways together.
        strongest: the strongest way.
        spread: spread from walls [dB]; while the loops run, times power.
        direct, reflected, round_edges, over_tops, higher: by kind. While the loops run `reflected` and
            `higher` hold echoes of first and second order; at the end all of them, and those beyond.
        straight_db: what walls, slabs and steel on the straight line cost [dB].
        left_out: what faint ways that were left out could bring at most.
        guided: of the second order, what two parallel faces throw to each other.
        onward: what these two go on to throw, from the third order on.
        by_floors: through the slab between two storeys by their floors and ceilings, two bounces and more.
        again_upright, again_level: what all ways with bounces there bring, against the one without, before
            any wall; for two walls that throw back.
        more_upright, more_level: the same of two bounces and more; for one wall, whose ways with one bounce
            are followed by themselves.
        echoed: echoes of walls that come by those ways.
    """

    gain: float
    strongest: float
    spread: float
    direct: float
    reflected: float
    round_edges: float
    over_tops: float
    higher: float
    straight_db: float
    left_out: float
    guided: float
    onward: float
    by_floors: float
    again_upright: float
    again_level: float
    more_upright: float
    more_level: float
    echoed: float


class Mirrors(NamedTuple):
    """Images, those of one wall first; what is known of each; and the list of each upright edge."""

    images: Sequence[ImageRow]
    singles: int
    ahead: MutableSequence[Ahead]
    edge_lists: MutableSequence[ListSpan]


class Setting(NamedTuple):
    """What stays the same for a whole map.

    Attributes:
        scene: the packed scene.
        aerial: the receiving end [m].
        ground: power over ground against free space, over the distance.
        wave: wavelength [m].
        between: a slab that lies between the aerial and every point; -1 for none.
        most: the most that arrives, against free space.
    """

    scene: Packed
    aerial: Point
    ground: Sequence[float]
    wave: float
    between: int
    most: float


class Scratch(NamedTuple):
    """Room to work in.

    Attributes:
        lists: numbers of walls and, counted on after them, of boxes: all of them first, then shorter lists.
        room: where in lists four times as many fit as there are walls and boxes.
        picked: where in lists a number of every image fits.
        hits: room for what a way meets, for each wall three times over.
    """

    lists: MutableSequence[int]
    room: int
    picked: int
    hits: MutableSequence[Hit]


class Met(NamedTuple):
    """Walls and boxes that a leg may meet: lists[begun:ended]."""

    begun: int
    ended: int


class Area(NamedTuple):
    """A box on the plan: middle and half sides [m]."""

    x: float
    y: float
    half_x: float
    half_y: float


class HeightBand(NamedTuple):
    """Heights between which legs run, and those for which the least loss has to hold [m]."""

    low: float
    high: float
    least_low: float
    least_high: float


class Sides(NamedTuple):
    """Walls on one side of which legs keep, -1 for none, and the sign of that side."""

    back: int
    back_sign: float
    too: int
    too_sign: float


class Fan(NamedTuple):
    """Directions from a point of the plan, or as if from it: right and left rim; zeros for all of them."""

    x: float
    y: float
    right_x: float
    right_y: float
    left_x: float
    left_y: float


class Bundle(NamedTuple):
    """Legs that lie in a fan, start between (qx, qy) and (px, py), and end in an area."""

    fan: Fan
    area: Area
    qx: float
    qy: float
    px: float
    py: float


class Leg(NamedTuple):
    """A straight leg of a way from a to b, which it takes from share t0 to t1.

    An end that touches has a wall within `touch` behind it in its way [m]; two walls are skipped
    (-1 for none): those that throw it back.
    """

    a: Point
    b: Point
    touch_a: float
    touch_b: float
    skip: int
    skip_too: int
    t0: float
    t1: float


class Crossing(NamedTuple):
    """Where a way meets a wall: place along it, height [m], share of the way, cosine of the angle."""

    u: float
    z: float
    t: float
    cosine: float


class Route(NamedTuple):
    """A whole way: length [m], length on the plan over that, start and rise [m].

    It is thrown back at height `floor` from share `turn` on; no way turns beyond share 1.
    """

    length: float
    slope: float
    z: float
    rise: float
    turn: float
    floor: float


class SlabsPassed(NamedTuple):
    """Numbers of slabs: beyond the aerial, between it and a point, and beyond the point; -1 for none."""

    near: int
    between: int
    far: int


class Tile(NamedTuple):
    """A handful of neighbouring points, first to last.

    Attributes:
        first, last: the points.
        area: the box round them on the plan.
        p_low, p_high: their heights [m].
        low, high: those and the aerial's.
        bottom, top: those and every slab's.
        is_open_air: whether the ground counts at any of them.
        is_clear: whether neither slab nor box can be in a way without a floor.
        is_under: whether the slab between covers all of them.
    """

    first: int
    last: int
    area: Area
    p_low: float
    p_high: float
    low: float
    high: float
    bottom: float
    top: float
    is_open_air: bool
    is_clear: bool
    is_under: bool
