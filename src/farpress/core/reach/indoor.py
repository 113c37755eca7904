"""Loss in rooms without knowing the walls: two forms of Rec. ITU-R P.1238, and floors.

A sanity band beside the wall-by-wall sum, never added to it. The tables begin at 300 MHz
or far above; each result says when it is extrapolated or when it undercuts free space.
"""

from __future__ import annotations

from typing import Final, NamedTuple

import numpy as np

from farpress.core.reach.free_space import free_space_loss_db
from farpress.errors import require_range
from farpress.sources import Mark, cites

__all__ = [
    "ENVIRONMENTS",
    "Environment",
    "IndoorLoss",
    "floors_loss_db",
    "indoor_loss",
    "multi_wall_loss_db",
    "power_law_loss_db",
]

BELOW_FREE_SPACE_DB: Final = 3.0
"""No prediction lies further below free space than this: our choice, a corridor guides no better."""


class Environment(NamedTuple):
    """One row of the site-general table: coefficients, spread [dB], ranges [Hz, m]."""

    alpha: float
    beta: float
    gamma: float
    sigma_db: float
    lowest_hz: float
    highest_hz: float
    nearest_m: float
    farthest_m: float


ENVIRONMENTS: Final[dict[str, Environment]] = {
    "office in sight": Environment(1.46, 34.62, 2.03, 3.76, 300e6, 83.5e9, 2.0, 27.0),
    "office out of sight": Environment(2.46, 29.53, 2.38, 5.04, 300e6, 82e9, 4.0, 30.0),
    "corridor in sight": Environment(1.63, 28.12, 2.25, 4.07, 300e6, 83.5e9, 2.0, 160.0),
    "corridor out of sight": Environment(2.77, 29.27, 2.48, 7.63, 625e6, 83.5e9, 4.0, 94.0),
    "hall in sight": Environment(2.31, 24.52, 2.06, 2.69, 625e6, 70.28e9, 2.0, 101.0),
    "hall out of sight": Environment(3.79, 21.01, 1.34, 9.05, 625e6, 70.28e9, 5.0, 108.0),
}
"""Rec. ITU-R P.1238-11 Table 2, read in an independent implementation."""


class IndoorLoss(NamedTuple):
    """Median loss and spread [dB], and what is to be said about them."""

    loss_db: float
    sigma_db: float
    is_extrapolated: bool
    is_raised_to_floor: bool


@cites("Rec. ITU-R P.1238", edition="11", place="Table 2, site-general", mark=Mark.COPY)
def indoor_loss(*, environment: str, distance_m: float, frequency_hz: float) -> IndoorLoss:
    """Site-general loss: 10 alpha log d + beta + 10 gamma log f(GHz).

    Never below free space less 3 dB; `is_raised_to_floor` tells when that rule acted.

    Args:
        environment: one of `ENVIRONMENTS`.
        distance_m: at least 1 m [m].
        frequency_hz: carrier frequency [Hz].

    Example:
        >>> indoor_loss(environment="office out of sight", distance_m=10.0, frequency_hz=433.92e6).loss_db
        45.500
    """
    require_range("distance_m", distance_m, "m", low=1.0, because="Rec. ITU-R P.1238, distances over 1 m")
    row = ENVIRONMENTS[environment]
    raw = 10.0 * row.alpha * np.log10(distance_m) + row.beta + 10.0 * row.gamma * np.log10(frequency_hz / 1e9)
    floor = float(free_space_loss_db(distance_m=distance_m, frequency_hz=frequency_hz)) - BELOW_FREE_SPACE_DB
    outside = not (
        row.lowest_hz <= frequency_hz <= row.highest_hz and row.nearest_m <= distance_m <= row.farthest_m
    )
    return IndoorLoss(float(max(raw, floor)), row.sigma_db, outside, bool(raw < floor))


@cites("Rec. ITU-R P.1238", edition="9", place="power-loss form, Tables 2 to 4", mark=Mark.MEMORY)
def power_law_loss_db(
    *, coefficient: float, distance_m: float, frequency_hz: float, floors_db: float
) -> float:
    """Older form: 20 log f(MHz) + N log d - 28 + Lf [dB].

    Args:
        coefficient: power-loss coefficient N of the kind of building.
        distance_m: at least 1 m [m].
        frequency_hz: carrier frequency [Hz].
        floors_db: loss of the floors between [dB].

    Example:
        >>> power_law_loss_db(coefficient=33.0, distance_m=20.0, frequency_hz=433.92e6, floors_db=9.0)
        76.682
    """
    require_range("distance_m", distance_m, "m", low=1.0, because="Rec. ITU-R P.1238, distances over 1 m")
    return float(20.0 * np.log10(frequency_hz / 1e6) + coefficient * np.log10(distance_m) - 28.0 + floors_db)


@cites("COST 231 final report", place="multi-wall model, floors", mark=Mark.MEMORY)
def floors_loss_db(*, floors: int, one_floor_db: float, bend: float = 0.46) -> float:
    """Loss of several floors: less than floors times one, as waves also go round [dB].

    Args:
        floors: number of slabs crossed, 0 or more.
        one_floor_db: loss of one slab [dB].
        bend: empirical exponent, 0.46 fitted at 1.8 GHz.

    Example:
        >>> floors_loss_db(floors=3, one_floor_db=18.3)
        43.589
    """
    require_range("floors", floors, "", low=0, high=20, because="our choice")
    return float(floors ** ((floors + 2) / (floors + 1) - bend) * one_floor_db) if floors else 0.0


@cites("COST 231 final report", place="multi-wall model", mark=Mark.MEMORY)
def multi_wall_loss_db(
    *,
    distance_m: float,
    frequency_hz: float,
    light_walls: int,
    heavy_walls: int,
    floors: int,
    light_db: float = 3.4,
    heavy_db: float = 6.9,
    floor_db: float = 18.3,
) -> float:
    """Free space and the walls and floors in the way, by kind [dB]; a peer of `direct`, not its engine.

    Args:
        distance_m: straight distance [m].
        frequency_hz: carrier frequency [Hz].
        light_walls, heavy_walls, floors: how many of each are crossed.
        light_db, heavy_db, floor_db: loss of one of each [dB]; fitted at 1.8 GHz.

    Example:
        >>> multi_wall_loss_db(distance_m=10.0, frequency_hz=433.92e6, light_walls=2, heavy_walls=1, floors=0)
        58.896
    """
    base = float(free_space_loss_db(distance_m=distance_m, frequency_hz=frequency_hz))
    return (
        base
        + light_walls * light_db
        + heavy_walls * heavy_db
        + floors_loss_db(floors=floors, one_floor_db=floor_db)
    )
