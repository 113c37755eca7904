"""How full the channel is: bursts of strangers, and everybody's own presses at the busiest time."""

from __future__ import annotations

import functools
from typing import Final, NamedTuple

from farpress.case.case import Case
from farpress.core.reach.contention import (
    clear_press_share,
    overlap_free_share,
    simulated_clear_share,
    telegram_hit_share,
)
from farpress.core.reach.press import Telegrams
from farpress.dates import stretch_s
from farpress.sources import Citation, Mark, cited

__all__ = ["CAPTURE_DB", "LEVEL_SD_DB", "Busy", "busiest", "hit_share"]

CAPTURE_DB: Final = 8.0
"""By how much the stronger of two presses must be stronger to come through: our choice within 6 dB to 12 dB
(from memory)."""

LEVEL_SD_DB: Final = 6.0
"""Spread of two fobs' levels from one place against each other: our choice, car, hand and fob of each."""

_LIGHT: Final = 0.02


class Busy(NamedTuple):
    """The busiest time at a place: share of presses that stay clear, in words, and where the number comes
    from.
    """

    clear_share: float
    says: str
    sources: tuple[Citation, ...]


def busiest(
    case: Case, place_path: str, *, telegram_s: float | None, period_s: float | None, telegrams: Telegrams
) -> Busy | None:
    """What the counted arrivals at a place do to one press from there; None where none are counted.

    Args:
        case: the job.
        place_path: "premises/place".
        telegram_s, period_s: of the fob; 60 ms and 100 ms where its sheet is silent.
        telegrams: what a press sends.
    """
    premises = place_path.split("/")[0]
    found: list[tuple[float, str, int]] = []
    for traffic in case.job.traffic:
        location = case.place(traffic.place, premises)
        if location is None or "/".join(location) != place_path:
            continue
        found += [
            (number / length, stretch, number)
            for stretch, number in traffic.arrivals.items()
            if (length := stretch_s(stretch)) > 0.0
        ]
    if not found:
        return None
    rate, stretch, number = max(found)
    burst_s = telegram_s or 0.06
    share = _clear(round(rate, 4), burst_s, max(period_s or 0.1, burst_s), telegrams.sent, telegrams.needed)
    free = overlap_free_share(
        presses_per_s=rate, press_s=(telegrams.sent - 1) * max(period_s or 0.1, burst_s) + burst_s
    )
    says = (
        f"{stretch}: {number} presses; {100.0 * share:.1f} % keep telegrams enough clear ({100.0 * free:.0f}"
        " % meet no other press at all)"
    )
    sources = (
        *cited(simulated_clear_share),
        Citation("capture ratio, and spread of two fobs at one place", mark=Mark.CHOICE),
    )
    return Busy(share, says, sources)


@functools.lru_cache(maxsize=64)
def _clear(rate: float, telegram_s: float, period_s: float, sent: int, needed: int) -> float:
    if (
        rate * ((sent - 1) * period_s + telegram_s) < _LIGHT
    ):  # light enough for the closed form, and no worse than it says
        return clear_press_share(presses_per_s=rate, telegram_s=telegram_s, telegrams_needed=needed)
    return simulated_clear_share(
        presses_per_s=min(rate, 100.0),
        telegram_s=telegram_s,
        period_s=period_s,
        sent=sent,
        needed=needed,
        capture_db=CAPTURE_DB,
        gap_sd_db=LEVEL_SD_DB,
    )


def hit_share(case: Case, premises: str, receiver: str, telegram_s: float | None) -> float | None:
    """Chance that one telegram of a press is met by a telegram of what sends near this receiver by itself.

    0 where nothing does; None where something does and a length or a time of it, or of the fob, is not known.
    """
    sources = [
        source
        for source in case.job.premises[premises].interference.values()
        if source.sends and (not source.at or receiver in source.at)
    ]
    if not sources:
        return 0.0
    others = [
        (source.telegram_s, source.every_s, source.senders)
        for source in sources
        if source.telegram_s is not None and source.every_s is not None and source.every_s > 0.0
    ]
    if telegram_s is None or len(others) < len(sources):
        return None
    return telegram_hit_share(others=others, telegram_s=telegram_s)
