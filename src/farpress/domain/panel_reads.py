"""How an alarm panel reads an input, each way a row with its traits: what a way means stands here alone.

A new way is a row here, a word in `PanelInput.reads`, and its behaviour in `core/rehearsal/panels.py` where
it changes the panel's state.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

__all__ = ["PANEL_READS", "UNSAID_READING", "PanelReading", "panel_reading"]


@dataclass(frozen=True)
class PanelReading:
    """One way in which a panel reads an input.

    Attributes:
        name: as in a job file.
        says: in a table of inputs.
        is_pulse: it looks at the closing; a contact that stays closed is a fault.
        sets, unsets: what it can do; both where it changes over, or follows a level.
        is_part: it sets a part of the detectors only, with people inside.
        turns_round: each pulse changes it over.
        clears: it takes back an alarm that has been raised.
        is_zone: it watches a detection circuit, and raises an alarm as that zone is set up.
        begins_entry: it begins the entry time, as opening the way in does.
    """

    name: str
    says: str = ""
    is_pulse: bool = False
    sets: bool = False
    unsets: bool = False
    is_part: bool = False
    turns_round: bool = False
    clears: bool = False
    is_zone: bool = False
    begins_entry: bool = False

    @property
    def changes_state(self) -> bool:
        """Whether it sets or unsets."""
        return self.sets or self.unsets

    @property
    def article(self) -> str:
        """Before its name."""
        return "an" if self.name[:1] in "aeiou" else "a"


_ROWS: Final = (
    PanelReading(
        "toggling pulse",
        "set/unset input, changes over with each pulse",
        is_pulse=True,
        sets=True,
        unsets=True,
        turns_round=True,
    ),
    PanelReading("set pulse", "set input, pulse", is_pulse=True, sets=True),
    PanelReading("part set pulse", "part set input, pulse", is_pulse=True, sets=True, is_part=True),
    PanelReading("unset pulse", "unset input, pulse", is_pulse=True, unsets=True),
    PanelReading("clear pulse", "input that clears an alarm, pulse", is_pulse=True, clears=True),
    PanelReading("entry pulse", "input that begins the entry time, pulse", is_pulse=True, begins_entry=True),
    PanelReading("level", "set/unset input, closed = set", sets=True, unsets=True),
    PanelReading("zone", "detection circuit", is_zone=True),
    PanelReading("tamper", "tamper input"),
)

PANEL_READS: Final[dict[str, PanelReading]] = {row.name: row for row in _ROWS}
"""Every way of reading an input by its name in a job file."""

UNSAID_READING: Final = PanelReading("")
"""Stands for an input of which nobody says how it is read, and for the input of a device."""


def panel_reading(name: str | None) -> PanelReading:
    """The row of a way of reading; `UNSAID_READING` for None.

    Raises:
        KeyError: there is no such way.

    >>> panel_reading("unset pulse").unsets
    True
    """
    return UNSAID_READING if name is None else PANEL_READS[name]
