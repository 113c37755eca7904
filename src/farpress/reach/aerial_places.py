"""Where an aerial could be screwed to a wall near its receiver: every kind at every place within the coax,
tried roughly, the best few named.

All places are computed in one go from each promise's end of the way (a way costs the same there and
back), each with every kind of aerial and every coax, and with the receiver itself moved there; only the best
come to the full budget in `aerial_search`.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from farpress.case.case import Case
from farpress.core.reach.aerial import coax_loss_db
from farpress.core.reach.normal import normal_deviate
from farpress.core.reach.shelter import sheltered
from farpress.core.reach.ways import ways_between
from farpress.domain.job import Promise
from farpress.domain.premises import Aerial, CoaxRun
from farpress.errors import InputError
from farpress.reach.arrangements import weakest_ways
from farpress.reach.map_loops import KEPT_LOOPS
from farpress.reach.radio_link import Radio
from farpress.reach.radio_receiver import FREQUENCY_HZ
from farpress.reach.radio_scene import place_end, terrain_of

__all__ = ["SPARE_M", "Mounting", "Places", "WallSpot", "best_places", "levels_at", "wall_spots"]

SPARE_M: Final = 1.0
"""Coax beyond the way along the walls: our choice, for bends and ends."""

STEP_M: Final = 1.5
"""Distance between places tried along a wall: our choice, two wavelengths."""

OFF_WALL_M: Final = 0.15
"""An aerial's distance from its wall: our choice, a bracket."""

KEPT: Final = 10
KEPT_INSIDE: Final = 4
APART_M: Final = 2.5


@dataclass(frozen=True)
class Mounting:
    """What is allowed.

    Attributes:
        coax_up_to_m: longest coax [m].
        heights_m: over the floor or ground at the wall [m].
    """

    coax_up_to_m: float = 10.0
    heights_m: tuple[float, ...] = (1.8, 2.6, 3.4)

    def __post_init__(self) -> None:
        if not 0.0 < self.coax_up_to_m <= 50.0:
            raise InputError(
                f"The longest coax is given as {self.coax_up_to_m:g} m; allowed is more than 0 up to 50 m"
                " (our choice; beyond that coax eats what the place gains)."
            )
        if not self.heights_m or not all(0.3 <= height <= 20.0 for height in self.heights_m):
            raise InputError(
                "The heights to try are given as"
                f" {', '.join(f'{height:g}' for height in self.heights_m) or 'none'}; allowed are 0.3 to 20 m"
                " over floor or ground."
            )


@dataclass(frozen=True)
class Places:
    """The most promising places.

    Attributes:
        aerials: aerials on coax, each of the best kind there on the best coax.
        boxes: places on a wall for the receiver itself, its aerial inside: where, and on which level.
        tried: how many pairs of a place and a kind with its coax were looked at.
    """

    aerials: tuple[Aerial, ...] = ()
    boxes: tuple[tuple[tuple[float, float, float], str | None], ...] = ()
    tried: int = 0


def best_places(
    case: Case,
    radio: Radio,
    premises: str,
    receiver: str,
    asked: Sequence[tuple[Promise, tuple[str, str]]],
    mounting: Mounting,
    progress: Callable[[int, int], bool] | None = None,
) -> Places:
    """The most promising aerials on walls, on the outer and inner face, at most `KEPT`, and places for the
    receiver itself, at most `KEPT_INSIDE`.

    Args:
        case, radio: the job and its links.
        premises, receiver: which receiver.
        asked: promises with their places.
        mounting: what is allowed.
        progress: told how many promises' ways of how many are computed; returns False to stop.
    """
    house = case.job.premises[premises]
    box = house.receivers[receiver]
    spots, lengths, levels = _spots(radio, premises, receiver, mounting)
    parts = {
        name: part.sheet.gain_dbi
        for name, part in case.equipment.aerial_parts.items()
        if part.sheet.gain_dbi is not None
    }
    cables = {
        name: part.sheet
        for name, part in case.equipment.coax_parts.items()
        if part.sheet.loss_db_per_100m is not None
    }
    sheet = case.equipment.receivers.get(f"{premises}/{receiver}")
    inside = (
        None
        if sheet is None or sheet.sheet.aerial == "connector" or box.housing == "steel"
        else sheet.sheet.gain_dbi
    )
    if not len(spots) or ((not parts or not cables) and inside is None):
        return Places()
    gains = np.array(list(parts.values()))
    costs = np.array(
        [
            [
                coax_loss_db(
                    loss_db_per_100m=cable.loss_db_per_100m or 0.0,
                    length_m=float(length),
                    connector_pairs=2,
                    connector_pair_db=0.5 if cable.connectors_db is None else cable.connectors_db,
                    frequency_hz=FREQUENCY_HZ,
                )
                for length in lengths
            ]
            for cable in cables.values()
        ]
    ).reshape(len(cables), len(spots))
    pairs = [(part, cable) for part in parts for cable in cables]
    rows = [gains[list(parts).index(part)] - costs[list(cables).index(cable)] for part, cable in pairs] + (
        [np.full(len(spots), inside)] if inside is not None else []
    )
    given = np.array(
        rows
    )  # gain less coax of each kind at each spot; the last row is the aerial inside the receiver
    today = radio.aerial(premises, receiver)
    worst = np.full(given.shape, np.inf)
    indoors = sheltered(scene=radio.plan(premises).scene, points_m=spots)
    over = (
        np.round(np.maximum(spots[:, 2] - terrain_of(house).height_m(spots[:, 0], spots[:, 1]), 0.3) * 2.0)
        / 2.0
    )
    for number, (promise, location) in enumerate(asked):
        place = house.places[location[1]]
        link = radio.link(
            group=promise.to, premises=premises, receiver=receiver, place=place, place_path="/".join(location)
        )
        if link.margin_db is None or link.path is None:
            continue
        end = radio.roofed(premises, place_end(house, place))
        loss = np.zeros(len(spots))
        for height in sorted(set(over.tolist())):
            some = over == height
            loss[some] = weakest_ways(
                [
                    ways_between(
                        around=around,
                        aerial=end,
                        points_m=spots[some],
                        over_ground_m=float(height),
                        outdoors=~indoors[some],
                        kept=KEPT_LOOPS,
                    )
                    for around in radio.arounds(premises)
                ]
            ).loss_db
        margin = link.margin_db + link.path.loss_db - loss - today.gain_dbi + today.behind_db + given
        wanted = float(link.spread_db) * _needed_sd(promise.at_least_share)
        worst = np.minimum(worst, (margin - wanted) / link.spread_db)
        if progress is not None and not progress(number + 1, len(asked)):
            break
    aerials, boxes = [], []
    if pairs:
        best = worst[: len(pairs)].argmax(axis=0)
        for n in _apart(worst[best, np.arange(len(spots))], spots, KEPT):
            part, cable = pairs[best[n]]
            aerials.append(
                Aerial(
                    part=part,
                    at=tuple(round(float(metres), 2) for metres in spots[n]),
                    level=levels[n],
                    coax=CoaxRun(part=cable, length_m=float(lengths[n]), connector_pairs=2),
                    tilt_deg=0.0,
                )
            )
    if inside is not None:
        for n in _apart(np.where(indoors, worst[-1], -np.inf), spots, KEPT_INSIDE):
            x, y, z = (round(float(metres), 2) for metres in spots[n])
            boxes.append(((x, y, z), levels[n]))
    return Places(
        tuple(aerials),
        tuple(boxes),
        len(pairs) * len(spots) + (int(indoors.sum()) if inside is not None else 0),
    )


def _apart(score: NDArray[np.float64], spots: NDArray[np.float64], most: int) -> list[int]:
    """The best spots, none nearer to another than `APART_M`."""
    kept: list[int] = []
    for n in np.argsort(-score, kind="stable"):
        if (
            np.isfinite(score[n])
            and len(kept) < most
            and all(math.dist(spots[n], spots[m]) >= APART_M for m in kept)
        ):
            kept.append(int(n))
    return kept


def _needed_sd(share: float) -> float:
    return normal_deviate(share=min(max(share, 0.01), 0.999))


def _spots(
    radio: Radio, premises: str, receiver: str, mounting: Mounting
) -> tuple[NDArray[np.float64], NDArray[np.float64], list[str | None]]:
    """Places on both faces of every wall within the coax: x, y, z, coax length, level."""
    house = radio.case.job.premises[premises]
    box = house.receivers[receiver]
    here = radio.aerial(premises, receiver).end
    if here is None:
        return np.zeros((0, 3)), np.zeros(0), []
    x0, y0, z0 = box.at if len(box.at) == 3 else (box.at[0], box.at[1], here.at_m[2])
    found: list[tuple[float, float, float, float]] = []
    for spot in wall_spots(radio, premises):
        x, y = spot.x_m, spot.y_m
        if abs(x - x0) + abs(y - y0) + SPARE_M > mounting.coax_up_to_m:
            continue
        for height in mounting.heights_m:
            z = spot.floor_m + height
            way = math.ceil(abs(x - x0) + abs(y - y0) + abs(z - z0) + SPARE_M)
            if spot.carries(z) and way <= mounting.coax_up_to_m:
                found.append((x, y, z, float(way)))
    if not found:
        return np.zeros((0, 3)), np.zeros(0), []
    rows = np.array(list(dict.fromkeys(found)))
    return rows[:, :3], rows[:, 3], levels_at(radio, premises, rows[:, :3])


@dataclass(frozen=True)
class WallSpot:
    """A place on one face of a wall: where, the floor or ground below, and from where to where the wall
    reaches [m].
    """

    x_m: float
    y_m: float
    floor_m: float
    base_m: float
    top_m: float

    def carries(self, height_m: float) -> bool:
        """Whether the wall is there at this height."""
        return self.base_m <= height_m <= self.top_m - 0.1


def wall_spots(radio: Radio, premises: str, step_m: float = STEP_M) -> Iterator[WallSpot]:
    """Places along both faces of every wall, so far apart [m]."""
    house = radio.case.job.premises[premises]
    terrain, scene = terrain_of(house), radio.plan(premises).scene
    panels = scene.panels
    for n, barrier in enumerate(scene.panel_barriers):
        if panels.hole_in[n] >= 0 or barrier is None:
            continue
        start, end = panels.start_m[n], panels.end_m[n]
        length = float(np.hypot(*(end - start)))
        if length < 0.3:
            continue
        along = (end - start) / length
        for u in np.linspace(0.15, length - 0.15, max(int(length / step_m) + 1, 1)):
            for side in (-OFF_WALL_M, OFF_WALL_M):
                x, y = (
                    float(start[0] + u * along[0] + side * along[1]),
                    float(start[1] + u * along[1] - side * along[0]),
                )
                storeys = (
                    storey.floor_m
                    for storey in house.levels.values()
                    if abs(storey.floor_m - panels.base_m[n]) < 0.3
                )
                floor = max([float(terrain.height_m(x, y)), *storeys])
                yield WallSpot(x, y, floor, float(panels.base_m[n]), float(panels.top_m[n]))


def levels_at(radio: Radio, premises: str, points_m: NDArray[np.float64]) -> list[str | None]:
    """The storey of each point that has walls round it; None for a point out of doors."""
    house = radio.case.job.premises[premises]
    levels: list[str | None] = []
    for row, inside in zip(points_m, sheltered(scene=radio.plan(premises).scene, points_m=points_m)):
        below = [(storey.floor_m, name) for name, storey in house.levels.items() if storey.floor_m <= row[2]]
        levels.append(max(below)[1] if inside and below else None)
    return levels
