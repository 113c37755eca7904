"""Chances as a sentence writes them: never certain, and never as if enough where they fall short."""

from __future__ import annotations

import math

from farpress.units import write_share

__all__ = ["percent", "short_of"]


def percent(share: float) -> str:
    """Per cent, with a decimal where it matters, never rounded up to certainty."""
    if share > 0.995:
        return f"{int(share * 1000.0 + 1e-9) / 10.0:g} %"
    return write_share(share, ".0f") if share >= 0.005 else write_share(share, ".1f")


def short_of(share: float, wanted: float) -> str:
    """Per cent; a share just below what is wanted is never written as if it were enough.

    >>> short_of(0.9496, 0.95), short_of(0.949996, 0.95), short_of(0.96, 0.95)
    ('94.9 %', '94.9 %', '96 %')
    """
    if share >= wanted or percent(share) != percent(wanted):
        return percent(share)
    for digits in range(1, 7):
        cut = math.floor(share * 10.0 ** (2 + digits)) / 10.0**digits
        if cut > 0.0 and f"{cut:.{digits}f} %" != write_share(wanted, f".{digits}f"):
            return f"{cut:.{digits}f} %"
    return f"just under {percent(wanted)}"
