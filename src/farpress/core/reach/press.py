"""One press, or two: level, fading where the hand is, telegrams that come through, and whose fob it is.

Four kinds of chance are kept apart. What all presses at a spot share (the model, the place, this
person's fob); how the hand holds it this time; the fading between ways, the same while the hand
is still and new after half a wavelength (35 cm); and noise and bursts, which repeats mend.
"""

from __future__ import annotations

import functools
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from farpress.core.reach.normal import normal_share
from farpress.core.reach.rice import rice_factor, rice_share
from farpress.errors import require_range
from farpress.sources import Mark, cites

__all__ = [
    "MOVED_SHARE",
    "USUAL",
    "Telegrams",
    "people_share",
    "press_margin_db",
    "press_share",
    "still_press_share",
    "telegram_share",
    "telegram_spread",
]

MOVED_SHARE: Final = 0.5
"""Share of second presses for which the hand has moved 35 cm or turned: our choice."""

_LOWEST_DB, _STEP_DB, _COUNT = -60.0, 0.5, 281
_MARGINS: Final[NDArray[np.float64]] = np.asarray(_LOWEST_DB + _STEP_DB * np.arange(_COUNT), dtype=np.float64)
_K_LOWEST_DB: Final = -10
_K_HIGHEST_DB: Final = 20


class Telegrams(NamedTuple):
    """What one press sends and the receiver wants: bits of a telegram, telegrams sent, telegrams needed in a
    row.
    """

    bits: int = 66
    sent: int = 4
    needed: int = 1


USUAL: Final = Telegrams()


@cites(
    "Log-normal places, Rice fading, repeated telegrams",
    place="chances multiplied in the order said in the module",
    mark=Mark.COMPUTED,
)
def press_share(
    *,
    margin_db: ArrayLike,
    shared_sd_db: ArrayLike,
    press_sd_db: float,
    strongest_share: ArrayLike,
    presses: int,
    telegrams: Telegrams = USUAL,
    clear_share: float = 1.0,
    moved_share: float = MOVED_SHARE,
) -> NDArray[np.float64]:
    """Chance that at least one of several presses is heard.

    A later press with the hand moved draws hold and fading anew; with the hand still it mends only
    bursts.

    Args:
        margin_db: mean level over the needed one [dB]; any shape.
        shared_sd_db: spread that all presses at the spot share [dB]; broadcasts.
        press_sd_db: spread of how the hand holds the fob [dB].
        strongest_share: share of the power by the strongest way; broadcasts.
        presses: 1 or more.
        telegrams: what a press sends.
        clear_share: chance that no burst or other fob takes a whole press away.
        moved_share: share of later presses with the hand moved.

    Example:
        20 dB of margin among echoes alone, nothing else in doubt:

        >>> float(
        ...     press_share(margin_db=20.0, shared_sd_db=0.0, press_sd_db=0.0, strongest_share=0.0, presses=1)
        ... )
        0.99
    """
    margin, shared, strongest = np.broadcast_arrays(
        *(np.asarray(values, dtype=np.float64) for values in (margin_db, shared_sd_db, strongest_share))
    )
    require_range("margin_db", margin, "dB", because="a number is wanted")
    require_range("shared_sd_db", shared, "dB", low=0.0, because="a standard deviation")
    require_range("press_sd_db", press_sd_db, "dB", low=0.0, because="a standard deviation")
    require_range("strongest_share", strongest, "", low=0.0, high=1.0, because="a share")
    require_range("presses", presses, "", low=1, high=100, because="our choice")
    require_range("clear_share", clear_share, "", low=0.0, high=1.0, because="a share")
    require_range("moved_share", moved_share, "", low=0.0, high=1.0, because="a share")
    grid = np.linspace(-4.5, 4.5, 55) if np.max(shared, initial=0.0) > 0.0 else np.zeros(1)
    weight = np.exp(-0.5 * grid**2)
    one_press = _curve(
        margin[..., None] + shared[..., None] * grid, strongest[..., None], press_sd_db, telegrams
    )
    moved = 1.0 - (1.0 - one_press * clear_share) ** presses
    still = one_press * (1.0 - (1.0 - clear_share) ** presses)
    share = np.sum(
        (moved_share * moved + (1.0 - moved_share) * still if presses > 1 else one_press * clear_share)
        * weight,
        axis=-1,
    )
    return np.asarray(np.minimum(share / weight.sum(), 1.0))  # weights are rounded; a share is at most one


@cites(
    "Log-normal places, Rice fading", place="share of persons whose presses reach a share", mark=Mark.COMPUTED
)
def people_share(
    *,
    margin_db: ArrayLike,
    shared_sd_db: ArrayLike,
    press_sd_db: float,
    strongest_share: ArrayLike,
    of_presses: float = 0.9,
    telegrams: Telegrams = USUAL,
) -> NDArray[np.float64]:
    """Share of people (their fobs, and spots like this one) for whom at least a share of single presses is
    heard.

    Args:
        margin_db: mean level over the needed one [dB].
        shared_sd_db: spread that a person's presses share [dB]; broadcasts.
        press_sd_db: spread of how the hand holds the fob [dB].
        strongest_share: share of the power by the strongest way; broadcasts.
        of_presses: "9 of 10 presses" is 0.9.
        telegrams: what a press sends.
    """
    margin, shared, strongest = np.broadcast_arrays(
        *(np.asarray(values, dtype=np.float64) for values in (margin_db, shared_sd_db, strongest_share))
    )
    need = np.asarray(
        [
            press_margin_db(
                share=of_presses, press_sd_db=press_sd_db, strongest_share=float(s), telegrams=telegrams
            )
            for s in strongest.ravel()
        ]
    )
    return normal_share(deviate=(margin - need.reshape(margin.shape)) / np.maximum(shared, 1e-9))


@cites("Rice fading and repeated telegrams", place="inverse of the chance of one press", mark=Mark.COMPUTED)
def press_margin_db(
    *, share: float, press_sd_db: float, strongest_share: float, telegrams: Telegrams = USUAL
) -> float:
    """Mean level over the needed one at which one press is heard in a share of cases, the spot being known
    [dB].

    Args:
        share: above 0 and below 1.
        press_sd_db: spread of how the hand holds the fob [dB].
        strongest_share: share of the power by the strongest way.
        telegrams: what a press sends.
    """
    require_range("share", share, "", low=1e-6, high=1.0 - 1e-6, because="certainty needs an endless margin")
    curve = _curve(_MARGINS, np.full(_COUNT, strongest_share), press_sd_db, telegrams)
    return float(np.interp(share, np.maximum.accumulate(curve), _MARGINS))


@cites(
    "Non-coherent detection of two-level keying, textbook",
    place="bit error exp(-g/2)/2, 1 in 1000 at the sensitivity",
    mark=Mark.MEMORY,
)
def telegram_share(*, over_sensitivity_db: ArrayLike, bits: int) -> NDArray[np.float64]:
    """Chance that one telegram comes through noise without a wrong bit.

    The sheet's sensitivity is taken as the level of one wrong bit in a thousand (common practice).

    Args:
        over_sensitivity_db: level over the sensitivity [dB].
        bits: of the telegram.

    Example:
        >>> float(telegram_share(over_sensitivity_db=0.0, bits=66))
        0.936
    """
    require_range("bits", bits, "", low=1, high=4096, because="our choice")
    ratio = 2.0 * np.log(500.0) * 10.0 ** (np.asarray(over_sensitivity_db, dtype=np.float64) / 10.0)
    return np.asarray((1.0 - 0.5 * np.exp(-ratio / 2.0)) ** bits)


@cites(
    "Log-normal places, Rice fading",
    place="level of one press, the same for all its telegrams",
    mark=Mark.COMPUTED,
)
def telegram_spread(
    *, margin_db: float, sd_db: float, strongest_share: float, bits: int
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """How the chance of one telegram spreads over presses: chances, and the share of presses that has each;
    shape (38,) both.

    The level is drawn once for a press (place, fob, hand, fading); its telegrams then meet the
    noise one by one.

    Args:
        margin_db: mean level over the needed one [dB].
        sd_db: spread of the level from press to press, fading left out [dB].
        strongest_share: share of the power by the strongest way.
        bits: of a telegram.

    Example:
        With 30 dB of margin and no spread every telegram of nearly every press is heard:

        >>> shares, presses = telegram_spread(margin_db=30.0, sd_db=0.0, strongest_share=0.5, bits=66)
        >>> float(shares @ presses) > 0.998
        True
    """
    require_range("margin_db", margin_db, "dB", because="a number is wanted")
    require_range("sd_db", sd_db, "dB", low=0.0, because="a standard deviation")
    edges = np.linspace(-6.0, 3.0, 37)
    grid = np.linspace(-5.0, 5.0, 81) if sd_db > 0.0 else np.zeros(1)
    weight = np.exp(-0.5 * grid**2)
    above = (
        rice_share(
            margin_db=margin_db + sd_db * grid[None, :] - edges[:, None],
            factor=rice_factor(strongest_share=strongest_share),
        )
        @ weight
        / weight.sum()
    )
    presses = -np.diff(above, prepend=1.0, append=0.0)
    levels = np.concatenate([[edges[0] - 0.125], (edges[1:] + edges[:-1]) / 2.0, [edges[-1] + 0.125]])
    return telegram_share(over_sensitivity_db=levels, bits=bits), np.asarray(presses)


@cites("Runs of successes, textbook", place="recursion over telegrams", mark=Mark.MEMORY)
def still_press_share(*, over_sensitivity_db: ArrayLike, telegrams: Telegrams) -> NDArray[np.float64]:
    """Chance that a press with a steady level brings enough telegrams in a row through the noise.

    Args:
        over_sensitivity_db: level over the sensitivity [dB].
        telegrams: what a press sends and the receiver wants.
    """
    heard = telegram_share(over_sensitivity_db=over_sensitivity_db, bits=telegrams.bits)
    run = [
        np.ones_like(heard),
        *(np.zeros_like(heard) for _ in range(telegrams.needed - 1)),
    ]  # by length of the run so far
    done = np.zeros_like(heard)
    for _ in range(telegrams.sent):
        done = done + run[-1] * heard
        run = [sum(run[1:], run[0]) * (1.0 - heard), *(state * heard for state in run[:-1])]
    return np.asarray(done)


def _curve(
    margin: NDArray[np.float64], strongest: NDArray[np.float64], press_sd_db: float, telegrams: Telegrams
) -> NDArray[np.float64]:
    """Chance of one press against the mean margin and the strongest way's share: from tables, between their
    rows.
    """
    factor_db = 10.0 * np.log10(np.clip(strongest, 1e-3, 0.9901) / (1.0 - np.clip(strongest, 1e-3, 0.9901)))
    row = np.clip(factor_db, _K_LOWEST_DB, _K_HIGHEST_DB) - _K_LOWEST_DB
    low = np.minimum(row.astype(np.int64), _K_HIGHEST_DB - _K_LOWEST_DB - 1)
    share = row - low
    sd = round(press_sd_db, 2)
    place = np.clip((margin - _LOWEST_DB) / _STEP_DB, 0.0, _COUNT - 1.001)
    left = place.astype(np.int64)
    part = place - left
    found = np.zeros(np.broadcast_shapes(margin.shape, strongest.shape))
    low, share, left, part = np.broadcast_arrays(low, share, left, part)
    for k in sorted(set(low.ravel().tolist())):
        here = low == k
        for n, weight in ((k, 1.0 - share[here]), (k + 1, share[here])):
            table = _table(n + _K_LOWEST_DB, sd, telegrams)
            found[here] += weight * (
                table[left[here]] * (1.0 - part[here]) + table[left[here] + 1] * part[here]
            )
    return found


@functools.lru_cache(maxsize=256)
def _table(factor_db: int, press_sd_db: float, telegrams: Telegrams) -> NDArray[np.float64]:
    """Chance of one press over the mean margin, fading, noise and hold together."""
    fine, faded = _faded(factor_db, telegrams)
    if press_sd_db < 0.02:
        return np.asarray(np.interp(_MARGINS, fine, faded))
    grid = np.linspace(-5.0, 5.0, 81)
    weight = np.exp(-0.5 * grid**2)
    return np.asarray(np.interp(_MARGINS[:, None] + press_sd_db * grid, fine, faded) @ weight / weight.sum())


@functools.lru_cache(maxsize=256)
def _faded(factor_db: int, telegrams: Telegrams) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Mean margins [dB], and the chance of one press there by fading and noise, the hold still."""
    nodes = np.linspace(-6.0, 3.0, 37)
    steps = np.diff(
        still_press_share(over_sensitivity_db=nodes, telegrams=telegrams), prepend=0.0, append=1.0
    )
    levels = np.append(nodes - 0.125, 3.0)
    factor = 0.0 if factor_db <= _K_LOWEST_DB else 10.0 ** (factor_db / 10.0)
    fine = np.arange(_LOWEST_DB - 30.0, _LOWEST_DB + _STEP_DB * _COUNT + 30.0, 0.25)
    faded = (
        np.interp(fine[:, None] - levels[None, :], fine, rice_share(margin_db=fine, factor=factor)) @ steps
    )
    return fine, faded
