"""How long a thing may be left as a press or a power cut leaves it, as its sheet says."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from farpress.case.driven import Driven
from farpress.core.rehearsal.left import fill_time_s
from farpress.domain.left_sheets import LeftAlone
from farpress.sources import Citation, Mark, cited
from farpress.units import write_quantity

__all__ = ["TIDE_TURNS_S", "Bears", "bears", "left_alone", "must_run"]

TIDE_TURNS_S: Final = 12.42 / 2 * 3600.0
"""From low to high water of a half-day tide, half of the moon's 12.42 h; from memory."""

_TIDE: Final = Citation("half-day tide, 12.42 h from high water to high water", mark=Mark.MEMORY)


_MAY_BE_OFF: Final = frozenset({"", "nothing", "no", "none"})
"""Written under `must_stay_on` where it was asked and may be off."""


@dataclass(frozen=True)
class Bears:
    """How long it may be left so.

    Attributes:
        seconds: None where nobody says.
        says: how it comes about, in words.
        sources: of it.
    """

    seconds: float | None
    says: str = ""
    sources: tuple[Citation, ...] = ()


def left_alone(driven: Driven) -> LeftAlone:
    """What its sheet says of being left alone; nothing where it does not."""
    return driven.sheet.left_alone or LeftAlone()


def must_run(driven: Driven) -> bool:
    """Whether somebody says that it must not be off, or what comes of it; not of what lets water run."""
    if driven.device is None or driven.traits.runs_water:
        return False
    said = (driven.sheet.must_stay_on or "").strip().casefold()
    return said not in _MAY_BE_OFF or driven.sheet.left_alone is not None


def bears(driven: Driven) -> Bears:
    """How long it may be left: as said, else by room and flow, else until the tide has turned."""
    sheet, cites = left_alone(driven), driven.cite("left_alone")
    if sheet.within_s is not None:
        return Bears(sheet.within_s, "as is said of it", cites)
    if sheet.room_m3 is not None and sheet.flow_m3_per_h is not None:
        room, flow = (write_quantity(sheet.room_m3, "volume"), write_quantity(sheet.flow_m3_per_h, "flow"))
        time_s = fill_time_s(room_m3=sheet.room_m3, flow_m3_per_h=sheet.flow_m3_per_h)
        return Bears(time_s, f"room for {room}, {flow} come", (*cites, *cited(fill_time_s)))
    if sheet.tide:
        return Bears(TIDE_TURNS_S, "from low to high water", (*cites, _TIDE))
    return Bears(None)
