"""The ground's two rays as a table over the distance, piece by piece as somebody asks for them."""

from __future__ import annotations

import functools
from collections.abc import Sequence
from typing import Final, overload

import numpy as np
from numpy.typing import NDArray

from farpress.core.reach.free_space import NEAREST_M, free_space_loss_db
from farpress.core.reach.indoor import BELOW_FREE_SPACE_DB
from farpress.core.reach.two_ray import two_ray_loss_db
from farpress.core.reach.ways_packed import GROUND_FIRST_M, GROUND_STEP
from farpress.sources import Mark, cites

__all__ = ["FARTHEST_M", "GroundTable", "ground_table"]

FARTHEST_M: Final = 20_000.0
"""The table ends here; farther is not this trade's reach (our choice)."""

_COUNT: Final = int(np.log(FARTHEST_M * 1.2 / GROUND_FIRST_M) / GROUND_STEP) + 2
_PIECE: Final = 20
"""Distances that are worked out together; our choice."""


class GroundTable(Sequence[float]):
    """Power over ground against free space at the kernel's distances, each piece made once.

    Args:
        height_a_m, height_b_m: of the two aerials over the ground [m].
        frequency_hz: carrier frequency [Hz].
        permittivity: real relative permittivity of the ground.
        conductivity_s_per_m: of the ground [S/m].
    """

    def __init__(
        self,
        *,
        height_a_m: float,
        height_b_m: float,
        frequency_hz: float,
        permittivity: float,
        conductivity_s_per_m: float,
    ) -> None:
        self._asked = (height_a_m, height_b_m, frequency_hz, permittivity, conductivity_s_per_m)
        self._pieces: dict[int, list[float]] = {}
        self._whole, self._filled = np.full(_COUNT, np.nan), set[int]()

    def __len__(self) -> int:
        return _COUNT

    @overload
    def __getitem__(self, index: int) -> float: ...

    @overload
    def __getitem__(self, index: slice) -> Sequence[float]: ...

    def __getitem__(self, index: int | slice) -> float | Sequence[float]:
        """The power at a distance, by its number."""
        if isinstance(index, slice):
            return self.whole().tolist()[index]  # type: ignore[no-any-return]
        number, place = divmod(range(_COUNT)[index], _PIECE)
        if number not in self._pieces:  # always the same piece, so the same digits for one way and for a map
            part = _distances()[number * _PIECE : (number + 1) * _PIECE]
            self._pieces[number] = _power_over_ground(part, *self._asked).tolist()
        return self._pieces[number][place]

    def whole(self) -> NDArray[np.float64]:
        """At every distance, (k,)."""
        return self.known_at(_distances())

    def known_at(self, distance_m: NDArray[np.float64]) -> NDArray[np.float64]:
        """The table with the pieces round some distances filled in, and no numbers elsewhere, (k,).

        Args:
            distance_m: along the ground; a step of the table more or less is there too, (n,) [m].
        """
        places = np.log(np.maximum(distance_m, GROUND_FIRST_M) / GROUND_FIRST_M) / GROUND_STEP
        around = np.clip(places[:, None] + (-1.0, 0.0, 1.0, 2.0), 0.0, _COUNT - 1)
        numbers = set((around.astype(np.int64) // _PIECE).ravel().tolist())
        for number in numbers - self._filled:
            first = number * _PIECE
            last = min(first + _PIECE, _COUNT)
            self._whole[first:last] = [self[place] for place in range(first, last)]
            self._filled.add(number)
        return self._whole


@functools.lru_cache(maxsize=4096)
@cites("Two-ray ground reflection, textbook", place="table over the distance", mark=Mark.MEMORY)
def ground_table(
    *,
    height_a_m: float,
    height_b_m: float,
    frequency_hz: float,
    permittivity: float,
    conductivity_s_per_m: float,
) -> GroundTable:
    """The table for two heights over some ground, one and the same for whoever asks.

    Args:
        height_a_m, height_b_m: of the two aerials over the ground [m].
        frequency_hz: carrier frequency [Hz].
        permittivity: real relative permittivity of the ground.
        conductivity_s_per_m: of the ground [S/m].
    """
    return GroundTable(
        height_a_m=height_a_m,
        height_b_m=height_b_m,
        frequency_hz=frequency_hz,
        permittivity=permittivity,
        conductivity_s_per_m=conductivity_s_per_m,
    )


@functools.cache
def _distances() -> NDArray[np.float64]:
    return np.asarray(GROUND_FIRST_M * np.exp(GROUND_STEP * np.arange(_COUNT)))


def _power_over_ground(
    distance_m: NDArray[np.float64],
    height_a_m: float,
    height_b_m: float,
    frequency_hz: float,
    permittivity: float,
    conductivity_s_per_m: float,
) -> NDArray[np.float64]:
    """Power over ground against free space: two rays, both polarisations, at most 3 dB better."""
    rays = [
        two_ray_loss_db(
            ground_distance_m=distance_m,
            height_a_m=height_a_m,
            height_b_m=height_b_m,
            frequency_hz=frequency_hz,
            permittivity=permittivity,
            conductivity_s_per_m=conductivity_s_per_m,
            polarisation=kind,
        )
        for kind in ("vertical", "horizontal")
    ]
    power = np.mean([10.0 ** (-loss / 10.0) for loss in rays], axis=0)
    free = free_space_loss_db(
        distance_m=np.maximum(np.hypot(distance_m, height_a_m - height_b_m), NEAREST_M),
        frequency_hz=frequency_hz,
    )
    return np.asarray(np.minimum(power * 10.0 ** (free / 10.0), 10.0 ** (BELOW_FREE_SPACE_DB / 10.0)))
