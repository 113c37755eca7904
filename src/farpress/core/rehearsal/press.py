"""How a receiver sees one press: losses that split it, pauses that merge, the run-on.

A fob sends telegrams at a steady pace while its button is held; the receiver calls the
press ended when none has come for its drop-out time. Nothing here says how likely a loss
is: that is `runs`.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from farpress.errors import require_range
from farpress.sources import Mark, cites

__all__ = ["losses_that_split", "overtravel_m", "presses_seen", "run_on_s"]

_TIE = 1e-9
"""Relative slack by which two times count as equal; covers rounding of decimal milliseconds."""


@cites("computed from the formula in the docstring", mark=Mark.COMPUTED)
def losses_that_split(*, dropout_s: float, repeat_s: float, telegram_wins_tie: bool = False) -> int:
    """Telegrams that must be lost in a row for one long press to be seen as two.

    With k losses the next good telegram comes (k + 1) repeats after the last one. The
    press has ended once that is at least the drop-out time: k = ceil(drop-out/repeat) - 1.

    Args:
        dropout_s: time without a telegram until the press counts as ended [s].
        repeat_s: from the start of one telegram to the next [s].
        telegram_wins_tie: a telegram that ends exactly at the drop-out time still
            counts. Unknown for most receivers, so the bad order is the default.

    Raises:
        OutOfRange: a time that is not positive (our choice).

    Example:
        >>> losses_that_split(dropout_s=0.4, repeat_s=0.1)
        3
        >>> losses_that_split(dropout_s=0.4, repeat_s=0.1, telegram_wins_tie=True)
        4
    """
    require_range(
        "dropout_s",
        dropout_s,
        "s",
        low=1e-6,
        because="a receiver without a drop-out time sees no press at all",
    )
    require_range("repeat_s", repeat_s, "s", low=1e-6, because="telegrams need a pace")
    ratio = dropout_s / repeat_s
    nearest = round(ratio)
    is_tie = abs(ratio - nearest) <= _TIE * max(1.0, ratio)
    whole = nearest if is_tie else math.floor(ratio)
    return whole if telegram_wins_tie or not is_tie else max(whole - 1, 0)


@cites("computed from the rule in the docstring", mark=Mark.COMPUTED)
def presses_seen(*, pauses_s: Sequence[float], dropout_s: float) -> int:
    """Presses a receiver counts when a thumb presses `len(pauses_s) + 1` times.

    A pause shorter than the drop-out time is not noticed: the two presses merge, a
    toggle flips once, a step-by-step drive moves once.

    Args:
        pauses_s: from letting go to the next press [s], in order.
        dropout_s: time without a telegram until the press counts as ended [s].

    Raises:
        OutOfRange: a negative pause or a drop-out time that is not positive.

    Example:
        >>> presses_seen(pauses_s=[0.2, 0.8], dropout_s=0.4)
        2
    """
    require_range(
        "dropout_s",
        dropout_s,
        "s",
        low=1e-6,
        because="a receiver without a drop-out time sees no press at all",
    )
    if len(pauses_s):
        require_range("pauses_s", list(pauses_s), "s", low=0.0, because="a pause is not negative")
    return 1 + sum(pause >= dropout_s for pause in pauses_s)


@cites("computed from the rule in the docstring", mark=Mark.COMPUTED)
def run_on_s(*, dropout_s: float, relay_s: float, stops_after_s: float) -> float:
    """Time a thing goes on moving after the thumb has let go, at most [s].

    Args:
        dropout_s: of the receiver, from the last good telegram [s].
        relay_s: release time of the relays between receiver and motor [s].
        stops_after_s: from losing the command to standing still [s].

    Raises:
        OutOfRange: a negative time.

    Example:
        >>> run_on_s(dropout_s=0.4, relay_s=0.01, stops_after_s=0.1)
        0.51
    """
    for name, value in (("dropout_s", dropout_s), ("relay_s", relay_s), ("stops_after_s", stops_after_s)):
        require_range(name, value, "s", low=0.0, because="a time is not negative")
    return dropout_s + relay_s + stops_after_s


@cites("computed as speed times time; a motor that slows down travels less", mark=Mark.COMPUTED)
def overtravel_m(*, speed_m_per_s: float, run_on_time_s: float) -> float:
    """Way a leaf goes on after the thumb has let go, at most [m].

    Full speed is taken until standstill, which is on the safe side.

    Args:
        speed_m_per_s: speed of the leaf's closing edge [m/s].
        run_on_time_s: from letting go to standing still, see `run_on_s` [s].

    Raises:
        OutOfRange: a negative speed or time.

    Example:
        >>> overtravel_m(speed_m_per_s=0.25, run_on_time_s=0.5)
        0.125
    """
    require_range("speed_m_per_s", speed_m_per_s, "m/s", low=0.0, because="a speed is not negative")
    require_range("run_on_time_s", run_on_time_s, "s", low=0.0, because="a time is not negative")
    return speed_m_per_s * run_on_time_s
