"""What readings on site say about every prediction at a receiver: offset, walls, and the field around each
place.

Bayes with Gaussian doubt: an offset shared by the receiver, a correction of each kind of wall,
and a residual that near places share (exponential covariance over the distance of places and
aerials). Heard presses out of tried ones count by their chance (Laplace approximation), and a level by its
scatter. Both likelihoods are robust: a level that lies far off scatters with the tail of Student's t, and a
press that was missed may have been spoiled by something else than a weak level. Nothing moves further than
the readings warrant.
"""

from __future__ import annotations

import functools
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from farpress.core.reach.normal import log_normal_share
from farpress.errors import InputError, require_range
from farpress.sources import Mark, cites

__all__ = ["RANGE_M", "After", "Read", "Spot", "Updated", "information_bits", "updated"]

RANGE_M: Final = 6.0
"""Distance over which the residual of two places is alike to 1/e: our choice, a room or two."""

_TAIL_DOF: Final = 4.0
"""Degrees of freedom of the tail with which levels scatter far off: our choice, as is common for robust
regression.
"""

_TAIL_FROM: Final = 2.0
"""Standard deviations from where the tail begins: nearer, levels scatter as a meter does; our choice."""

_ROUNDS: Final = 60


class Spot(NamedTuple):
    """A way from a place to an aerial: both ends [m], spread of places like it [dB], and the walls it depends
    on.

    `walls` names each kind of wall with the decibels that one standard deviation of its loss moves here.
    """

    place_m: tuple[float, float, float]
    aerial_m: tuple[float, float, float]
    local_sd_db: float
    walls: tuple[tuple[str, float], ...] = ()


class Read(NamedTuple):
    """A reading: its spot, and a level or counted presses.

    Level: `residual_db` is level read less level predicted, `sd_db` its scatter. Presses: `heard` of
    `tried`, the predicted margin over the level at which half are heard, and the slope of that chance
    (decibels for one standard deviation); `spoiled_share` of the presses are lost whatever their level.
    """

    spot: Spot
    residual_db: float | None = None
    sd_db: float = 3.0
    heard: int = 0
    tried: int = 0
    margin_db: float = 0.0
    slope_db: float = 6.0
    spoiled_share: float = 0.0


class After(NamedTuple):
    """A prediction after the readings: amount to add [dB], spread left in all, and of the offset alone
    [dB].
    """

    add_db: float
    sd_db: float
    offset_sd_db: float


@dataclass(frozen=True)
class Updated:
    """Everything known after some readings; ask it about spots.

    Attributes:
        spots: one for each level and each sum of presses under the same conditions, n of them.
        weights: solution of the linear system, (n,).
        spread: covariance of these with their scatter, (n, n) [dB^2].
        shared_sd_db, range_m: as given.
    """

    spots: tuple[Spot, ...]
    weights: NDArray[np.float64]
    spread: NDArray[np.float64]
    shared_sd_db: float
    range_m: float

    def at(self, spot: Spot) -> After:
        """The correction of one spot."""
        before = float(_covariance([spot], [spot], self.shared_sd_db, self.range_m)[0, 0])
        if not self.spots:
            return After(0.0, float(np.sqrt(before)), self.shared_sd_db)
        link = _covariance([spot], self.spots, self.shared_sd_db, self.range_m)[0]
        left = before - float(link @ np.linalg.solve(self.spread, link))
        sd = float(np.sqrt(max(left, 0.0)))
        return After(float(link @ self.weights), sd, min(self._offset_sd_db, sd))

    @functools.cached_property
    def _offset_sd_db(self) -> float:
        """Spread left of the receiver's offset, all readings counted [dB]."""
        same = np.full(len(self.spots), self.shared_sd_db**2)
        left = self.shared_sd_db**2 - float(same @ np.linalg.solve(self.spread, same))
        return float(np.sqrt(max(left, 0.0)))

    def offset_db(self) -> tuple[float, float]:
        """The offset of the receiver and the spread left of it [dB]."""
        if not self.spots:
            return 0.0, self.shared_sd_db
        same = np.full(len(self.spots), self.shared_sd_db**2)
        return float(same @ self.weights), self._offset_sd_db

    def wall_moves(self) -> dict[str, tuple[float, float]]:
        """Kind of wall → by how many of its standard deviations its loss moved, and what is left of one."""
        found = {}
        for name in dict.fromkeys(wall for spot in self.spots for wall, _ in spot.walls):
            link = np.array([dict(spot.walls).get(name, 0.0) for spot in self.spots])
            left = 1.0 - float(link @ np.linalg.solve(self.spread, link))
            found[name] = (-float(link @ self.weights), float(np.sqrt(max(left, 0.0))))
        return found

    def between(self, first: Spot, other: Spot) -> float:
        """Covariance left between two spots [dB^2]."""
        before = float(_covariance([first], [other], self.shared_sd_db, self.range_m)[0, 0])
        if not self.spots:
            return before
        a = _covariance([first], self.spots, self.shared_sd_db, self.range_m)[0]
        b = _covariance([other], self.spots, self.shared_sd_db, self.range_m)[0]
        return before - float(a @ np.linalg.solve(self.spread, b))


@cites(
    "Gaussian process regression, textbook",
    place="linear features and exponential covariance; Laplace for counts, Student's t beyond two deviations",
    mark=Mark.MEMORY,
)
def updated(*, readings: Sequence[Read], shared_sd_db: float, range_m: float = RANGE_M) -> Updated:
    """What is known at a receiver after some readings.

    Args:
        readings: levels and counted presses; presses on one way under the same conditions are added up
            first, as their likelihoods multiply to that of the sum.
        shared_sd_db: spread of the receiver's offset before any reading [dB].
        range_m: distance over which residuals are alike to 1/e [m].

    Raises:
        InputError: a reading with neither level nor presses, or more heard than tried.

    Example:
        A level 6 dB below the prediction in the kitchen; the street, 40 m off, is moved by less:

        >>> kitchen = Spot((10.0, 27.0, 1.2), (17.5, 23.0, 2.6), 5.0)
        >>> known = updated(readings=[Read(kitchen, residual_db=-6.0)], shared_sd_db=6.0)
        >>> (
        ...     round(known.at(kitchen).add_db, 2),
        ...     round(known.at(Spot((14.0, -25.0, 1.0), (17.5, 23.0, 2.6), 5.0)).add_db, 2),
        ... )
        (-5.23, -3.09)
    """
    require_range("shared_sd_db", shared_sd_db, "dB", low=0.0, because="a standard deviation")
    require_range("range_m", range_m, "m", low=0.1, high=1000.0, because="our choice")
    for read in readings:
        if read.residual_db is None and not 0 <= read.heard <= read.tried:
            raise InputError(
                f"A reading with {read.heard} presses heard of {read.tried}: heard cannot be more than tried."
            )
        if read.residual_db is None and read.tried == 0:
            raise InputError(
                "A reading holds neither a level nor tried presses: give 'level', or 'heard' and 'of'."
            )
        require_range("sd_db", read.sd_db, "dB", low=0.1, because="our choice, no reading is exact")
        require_range("spoiled_share", read.spoiled_share, "", low=0.0, high=0.95, because="our choice")
    readings = _pooled(readings)
    spots = tuple(read.spot for read in readings)
    if not spots:
        return Updated((), np.zeros(0), np.zeros((0, 0)), shared_sd_db, range_m)
    prior = _covariance(spots, spots, shared_sd_db, range_m)
    weights, spread, latent = _settled(readings, prior, np.zeros(len(spots)), is_robust=False)
    # the robust likelihoods are flat far off: begun where every reading pulls with all its weight
    if any(read.spoiled_share > 0.0 or read.residual_db is not None for read in readings):
        weights, spread, latent = _settled(readings, prior, latent, is_robust=True)
    return Updated(spots, np.asarray(weights, dtype=np.float64), spread, shared_sd_db, range_m)


@cites(
    "Information of a further reading, textbook",
    place="half the binary logarithm of the variances' ratio",
    mark=Mark.MEMORY,
)
def information_bits(*, known: Updated, about: Spot, read: Spot, sd_db: float) -> tuple[float, float, float]:
    """What a reading at one spot would tell about another: bits, and the spread before and after it [dB].

    Args:
        known: what the readings so far say.
        about: the spot that matters.
        read: the spot of the reading to come.
        sd_db: scatter of that reading [dB].
    """
    require_range("sd_db", sd_db, "dB", low=0.1, because="our choice, no reading is exact")
    before, own = known.between(about, about), known.between(read, read)
    after = max(before - known.between(about, read) ** 2 / (own + sd_db**2), 1e-12)
    return (
        float(0.5 * np.log2(max(before, 1e-12) / after)),
        float(np.sqrt(max(before, 0.0))),
        float(np.sqrt(after)),
    )


def _pooled(readings: Sequence[Read]) -> tuple[Read, ...]:
    """The readings, presses under the same conditions added up where the first of them stood."""
    sums: dict[object, Read] = {}
    for number, read in enumerate(readings):
        if read.residual_db is not None:
            sums[number] = read
            continue
        conditions = (read.spot, read.margin_db, read.slope_db, read.spoiled_share)
        before = sums.get(conditions)
        if before is not None:
            read = read._replace(heard=before.heard + read.heard, tried=before.tried + read.tried)
        sums[conditions] = read
    return tuple(sums.values())


def _settled(
    readings: Sequence[Read], prior: NDArray[np.float64], latent: NDArray[np.float64], *, is_robust: bool
) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]:
    """Newton's steps from where we are to the nearest mode: weights, covariance with scatter, the mode."""
    weights: NDArray[np.float64] = np.zeros(len(latent))
    spread: NDArray[np.float64] = prior
    for _ in range(_ROUNDS):
        target, noise = _pseudo(readings, latent, is_robust=is_robust)
        spread = prior + np.diag(noise)
        weights = np.asarray(np.linalg.solve(spread, target), dtype=np.float64)
        new = prior @ weights
        step = float(np.max(np.abs(new - latent)))
        latent = latent + (new - latent) * min(1.0, 10.0 / max(step, 1e-12))
        if step < 1e-10:
            break
    return weights, spread, latent


def _pseudo(
    readings: Sequence[Read], latent: NDArray[np.float64], *, is_robust: bool
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Each reading as the Gaussian that touches its likelihood where we are: centres and variances."""
    pairs = [
        _level_touched(read, float(amount), is_robust)
        if read.residual_db is not None
        else _count_touched(read, float(amount), is_robust)
        for read, amount in zip(readings, latent, strict=True)
    ]
    return np.array([centre for centre, _ in pairs]), np.array([variance for _, variance in pairs])


def _level_touched(read: Read, latent: float, is_robust: bool) -> tuple[float, float]:
    """A level: Gaussian up to two standard deviations from where we are, beyond them by the tail of Student's
    t.
    """
    residual = read.residual_db or 0.0
    off = (residual - latent) ** 2 / read.sd_db**2 if is_robust else 0.0
    return residual, read.sd_db**2 * max(1.0, (_TAIL_DOF + off) / (_TAIL_DOF + _TAIL_FROM**2))


def _count_touched(read: Read, latent: float, is_robust: bool) -> tuple[float, float]:
    """A count: p = (1 - spoiled) * normal share of the margin, its logarithm's slope and bend."""
    z = (read.margin_db + latent) / read.slope_db
    log_density = -0.5 * z * z - 0.5 * np.log(2.0 * np.pi)
    log_over, log_under = (float(log_normal_share(deviate=sign * z)) for sign in (1.0, -1.0))
    log_missed, log_kept = log_under, 0.0
    if is_robust and read.spoiled_share > 0.0:
        log_kept = np.log1p(-read.spoiled_share)
        log_missed = np.logaddexp(log_under, np.log(read.spoiled_share) + log_over)
    up = float(np.exp(log_density - log_over))
    down = float(np.exp(log_kept + log_density - log_missed))
    missed = read.tried - read.heard
    slope = (read.heard * up - missed * down) / read.slope_db
    # where a miss is more likely spoiled than weak, its likelihood bends away: no Gaussian touches it
    bend = (read.heard * up * (z + up) + missed * down * max(down - z, 0.0)) / read.slope_db**2
    bend = max(bend, 1e-9)
    return latent + slope / bend, 1.0 / bend


def _covariance(
    first: Sequence[Spot], second: Sequence[Spot], shared_sd_db: float, range_m: float
) -> NDArray[np.float64]:
    places = [np.array([spot.place_m for spot in spots], dtype=np.float64) for spots in (first, second)]
    aerials = [np.array([spot.aerial_m for spot in spots], dtype=np.float64) for spots in (first, second)]
    away = sum(np.linalg.norm(pair[0][:, None] - pair[1][None], axis=2) for pair in (places, aerials))
    local = np.outer([spot.local_sd_db for spot in first], [spot.local_sd_db for spot in second])
    names = list(dict.fromkeys(name for spot in (*first, *second) for name, _ in spot.walls))
    walls = [
        np.array([[dict(spot.walls).get(name, 0.0) for name in names] for spot in spots]).reshape(
            len(spots), len(names)
        )
        for spots in (first, second)
    ]
    return np.asarray(shared_sd_db**2 + walls[0] @ walls[1].T + local * np.exp(-away / range_m))
