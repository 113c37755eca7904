"""What the prediction and the presses say together about the margin at one place.

The prediction gives a margin with its doubt, each press with or without a pad moves it.
Bayes' rule on a fine grid, so that nothing has to be a normal distribution afterwards.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Final, NamedTuple

import numpy as np

from farpress.core.proving.attenuated import PadResult
from farpress.errors import require_range
from farpress.sources import Mark, cites

__all__ = ["MarginBelief", "margin_belief"]

_STEPS: Final = 2001


class MarginBelief(NamedTuple):
    """Margin after the presses, and what it means.

    Attributes:
        margin_db: mean of the margin [dB].
        margin_sd_db: its standard deviation [dB].
        heard_share: chance that one of the presses allowed is heard.
        kept_chance: how sure it is that at least the wanted share is heard.
    """

    margin_db: float
    margin_sd_db: float
    heard_share: float
    kept_chance: float


@cites("Bayes' rule on a grid, probit likelihood", mark=Mark.COMPUTED)
def margin_belief(
    *,
    margin_db: float,
    margin_sd_db: float,
    press_sd_db: float,
    results: Sequence[PadResult],
    presses: int,
    wanted_share: float,
    clear_share: float = 1.0,
) -> MarginBelief:
    """Margin at a place after presses there.

    Args:
        margin_db: predicted margin [dB].
        margin_sd_db: doubt of the prediction: model, place and fob together [dB].
        press_sd_db: spread from press to press [dB].
        results: presses with their pads; 0 dB for none.
        presses: presses that the promise allows.
        wanted_share: that at least one of them is heard, as promised.
        clear_share: chance that no foreign transmitter covers a press.

    Raises:
        OutOfRange: spreads that are not positive, shares outside 0 to 1, no press allowed.

    Example:
        A margin predicted at 6 dB, give or take 7; eight presses through 6 dB all heard:

        >>> belief = margin_belief(
        ...     margin_db=6.0,
        ...     margin_sd_db=7.0,
        ...     press_sd_db=3.0,
        ...     results=[PadResult(6.0, 8, 0)],
        ...     presses=2,
        ...     wanted_share=0.95,
        ... )
        >>> round(belief.margin_db, 1), round(belief.kept_chance, 3)
        (14.2, 1.0)
    """
    from scipy.special import log_ndtr, ndtr

    require_range("margin_sd_db", margin_sd_db, "dB", low=0.01, because="no prediction is exact")
    require_range("press_sd_db", press_sd_db, "dB", low=0.01, because="presses differ")
    require_range("presses", presses, "", low=1, because="a promise allows a press")
    require_range("wanted_share", wanted_share, "", low=0.0, high=1.0, because="a share")
    require_range("clear_share", clear_share, "", low=1e-6, high=1.0, because="a share")
    margins = np.linspace(margin_db - 8.0 * margin_sd_db, margin_db + 8.0 * margin_sd_db, _STEPS)
    log_weight = -(((margins - margin_db) / margin_sd_db) ** 2) / 2.0
    for result in results:
        # a heard press was clear and strong enough; a lost one was either covered or too weak
        log_heard = log_ndtr((margins - result.pad_db) / press_sd_db) + math.log(clear_share)
        log_weight += result.heard * log_heard + (
            result.lost * np.log1p(-np.exp(np.minimum(log_heard, -1e-15))) if result.lost else 0.0
        )
    weight = np.exp(log_weight - log_weight.max())
    weight /= weight.sum()
    mean = float(weight @ margins)
    each = clear_share * ndtr(margins / press_sd_db)
    share = 1.0 - (1.0 - each) ** presses
    return MarginBelief(
        mean,
        float(math.sqrt(max(weight @ (margins - mean) ** 2, 0.0))),
        float(weight @ share),
        float(weight[share >= wanted_share].sum()),
    )
