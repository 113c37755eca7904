"""What has to be known before a link can be computed or trusted: by kind, with words for people."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import Enum

__all__ = ["Gap", "GapKind", "gaps_text", "sensitivity_gap"]


class GapKind(Enum):
    """What a missing value is about."""

    FOB_POWER = "radiated power of the fob"
    FOB_CARRIED = "what a pocket or a car costs"
    SENSITIVITY = "sensitivity of the receiver"
    AERIAL_HEIGHT = "height of the aerial"
    AERIAL_MISSING = "no aerial is drawn"
    AERIAL_GAIN = "gain of the aerial"
    HOUSING = "what a steel housing holds back"
    AERIAL_TILT = "how the aerial stands"
    COAX_KIND = "kind and length of the coax"
    COAX_LOSS = "loss of the coax"
    WALLS_UNDRAWN = "no wall of the building is drawn"
    WALL_LOSS = "loss of a wall or slab"
    WALL_HEIGHT = "edges of a wall"
    SENDERS = "what others send on the channel"
    NOISE = "what noise on site costs the receiver"
    STOREY = "storey of a place indoors"
    UNDERGROUND = "what stands round and over a room below the ground"

    @property
    def has_stand_in(self) -> bool:
        """Whether the link is computed without the value: a published statistic stands in for walls; without
        what others send, or the noise, a press comes through at least as often as with it, and so a failure
        stands; an aerial of which nobody said how it stands is taken upright.
        """
        return self in (GapKind.WALLS_UNDRAWN, GapKind.SENDERS, GapKind.NOISE, GapKind.AERIAL_TILT)

    @property
    def is_coax(self) -> bool:
        """Whether it is about the coax."""
        return self in (GapKind.COAX_KIND, GapKind.COAX_LOSS)


@dataclass(frozen=True)
class Gap:
    """One missing value: its kind, and the words that say what to draw, read or look up."""

    kind: GapKind
    says: str


def gaps_text(gaps: Iterable[Gap]) -> str:
    """The words of some gaps, each once, with semicolons between.

    >>> coax = Gap(GapKind.COAX_LOSS, "the loss of the coax 'thin': see its data sheet")
    >>> gaps_text([coax, coax])
    "the loss of the coax 'thin': see its data sheet"
    """
    return "; ".join(dict.fromkeys(gap.says for gap in gaps))


def sensitivity_gap(receiver: str) -> Gap:
    """What to ask where a receiver's sheet gives no sensitivity."""
    return Gap(GapKind.SENSITIVITY, f"the sensitivity of {receiver}: see its data sheet")
