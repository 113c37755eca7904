"""A way into a building of which no wall is drawn."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from farpress.core.reach.direct import PathLoss, PathTerm, TermKind
from farpress.core.reach.entry import entry_loss_db
from farpress.sources import cited

__all__ = ["into_a_building"]


def into_a_building(found: PathLoss, frequency_hz: float) -> PathLoss:
    """A way without walls, and what getting into a building of unknown walls costs beside it."""
    half, upper, lower = (
        entry_loss_db(frequency_hz=frequency_hz, share=share, building="traditional")
        for share in (0.5, 0.84, 0.16)
    )
    sd = (upper - lower) / 2.0
    term = PathTerm(TermKind.BUILDING_ENTRY, "into a building of unknown walls", half, sd)
    return replace(
        found,
        terms=(*found.terms, term),
        loss_db=found.loss_db + half,
        local_sd_db=float(np.hypot(found.local_sd_db, sd)),
        sources=found.sources + cited(entry_loss_db),
    )
