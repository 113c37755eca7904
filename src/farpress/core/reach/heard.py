"""The chance that a press is heard, from the margin and its spread.

Part of the spread is shared by all presses at one spot (walls, the model, this person's fob);
part is drawn anew with each press (how the hand holds it). Only the latter is mended by
pressing again. Repeats of the telegram during one press share both.
"""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import ndtr, ndtri

from farpress.errors import require_range
from farpress.sources import Mark, cites

__all__ = ["heard_in_stillness_share", "heard_share", "margin_for_share_db", "presses_in_ten"]

_SMALLEST_DB: Final = 1e-9


@cites("Log-normal shadowing, textbook", place="P = Phi(margin / sigma); shared part integrated", mark=Mark.MEMORY)
def heard_share(
    *, margin_db: ArrayLike, shared_sd_db: ArrayLike, press_sd_db: float, presses: int, clear_share: float = 1.0
) -> NDArray[np.float64]:
    """Chance that at least one of several presses is heard.

    For one press this is Phi(M / sigma) with sigma of both parts together.

    Args:
        margin_db: median level over the needed level [dB]; any shape.
        shared_sd_db: spread that all presses at the spot share [dB]; broadcasts.
        press_sd_db: spread from press to press [dB].
        presses: number of presses allowed, 1 or more.
        clear_share: chance that no burst of another transmitter covers a press.

    Returns:
        Share of cases, of the common shape.

    Raises:
        OutOfRange: negative spread, no press, or a share outside 0 to 1.

    Example:
        >>> float(heard_share(margin_db=10.25, shared_sd_db=8.0, press_sd_db=0.0, presses=1))
        0.900
        >>> float(heard_share(margin_db=10.25, shared_sd_db=7.0, press_sd_db=4.0, presses=2))
        0.947
    """
    margin, shared = np.broadcast_arrays(np.asarray(margin_db, dtype=np.float64), np.asarray(shared_sd_db, dtype=np.float64))
    require_range("margin_db", margin, "dB", because="a number is wanted")
    require_range("shared_sd_db", shared, "dB", low=0.0, because="a standard deviation")
    require_range("press_sd_db", press_sd_db, "dB", low=0.0, because="a standard deviation")
    require_range("presses", presses, "", low=1, high=100, because="our choice")
    require_range("clear_share", clear_share, "", low=0.0, high=1.0, because="a share")
    if presses == 1 or press_sd_db < 0.05:  # pressing again with the same hand in the same way changes nothing but the bursts
        total = np.sqrt(shared**2 + press_sd_db**2)
        return np.asarray(ndtr(margin / np.maximum(total, _SMALLEST_DB)) * (1.0 - (1.0 - clear_share) ** presses))
    # An even sum over the shared part; its steps stay narrow beside the press part, where the sum is as good as exact.
    steps = 160 * max(1, int(np.ceil(float(np.max(shared, initial=0.0)) / press_sd_db / 4.0)))
    grid = np.linspace(-8.0, 8.0, steps + 1)
    weight = np.exp(-0.5 * grid**2)
    one = ndtr((margin[..., None] + shared[..., None] * grid) / press_sd_db) * clear_share
    return np.asarray(np.sum((1.0 - (1.0 - one) ** presses) * weight, axis=-1) / weight.sum())


@cites("Log-normal shadowing, textbook", mark=Mark.MEMORY)
def margin_for_share_db(*, share: float, sd_db: float) -> float:
    """Median margin that one press needs to be heard in a share of cases [dB].

    Args:
        share: of cases in which the press is to be heard, above 0 and below 1.
        sd_db: spread of the level, all parts together [dB].

    Example:
        >>> margin_for_share_db(share=0.95, sd_db=8.0)
        13.16
    """
    require_range("share", share, "", low=1e-6, high=1.0 - 1e-6, because="certainty needs an endless margin")
    return float(ndtri(share)) * sd_db


@cites("Rayleigh fading, textbook", place="P = exp(-10^(-M/10))", mark=Mark.MEMORY)
def heard_in_stillness_share(*, margin_db: float) -> float:
    """Chance for a hand that stays where it is, out of sight, among reflections alone (Rayleigh).

    Moving the hand by half a wavelength, 35 cm, draws anew. Not part of `heard_share`, whose spread
    was measured over places and already holds most of it; a stricter view of one single spot.

    Example:
        >>> heard_in_stillness_share(margin_db=9.77)
        0.900
    """
    return float(np.exp(-(10.0 ** (-margin_db / 10.0))))


@cites("Words for a chance, rounded down", mark=Mark.CHOICE)
def presses_in_ten(share: float) -> str:
    """A chance in the words of the trade; "9 of 10 presses" rounds down, so that it promises nothing extra.

    Example:
        >>> presses_in_ten(0.968), presses_in_ten(0.9961), presses_in_ten(0.02)
        ('9 of 10 presses', '99 of 100 presses', 'hardly any press')
    """
    if share >= 0.99:
        return "99 of 100 presses" if share < 0.999 else "more than 99 of 100 presses"
    tenths = int(share * 10.0 + 1e-9)
    return f"{tenths} of 10 presses" if tenths else "hardly any press"
