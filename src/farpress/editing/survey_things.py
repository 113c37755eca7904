"""What a survey offers: kinds of things that can be worked, and rules that a customer would name."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from farpress.domain.kinds import kind_called

__all__ = ["NEVERS", "THINGS", "Function", "Thing", "thing_called"]

Function = tuple[str, str, str, Mapping[str, object]]
"""Name of a function, input of the thing, kind of function, and its output as in a job file."""


@dataclass(frozen=True)
class Thing:
    """A kind of thing that can be worked.

    Attributes:
        says: in words, for the list.
        part: of the catalogue; a device, or a panel where `is_panel`.
        functions: name (with {} for the thing's own name), input, kind of function, and the output as in
            a job file.
        is_panel: an alarm panel.
        height_m: where its part hangs [m].
    """

    says: str
    part: str
    functions: tuple[tuple[str, str, str, Mapping[str, object]], ...]
    is_panel: bool = False
    height_m: float = 1.0


_PULSE: Final = {"kind": "pulse", "for": "0.5 s"}
_MAINS: Final = {"via": "relay-12v-mains"}

THINGS: Final[dict[str, Thing]] = {
    "sliding gate": Thing(
        "sliding gate with its drive", "sliding-drive", (("open {}", "open", "open", _PULSE),)
    ),
    "swing gate": Thing("swing gate with its drive", "swing-drive", (("open {}", "open", "open", _PULSE),)),
    "barrier": Thing("barrier", "barrier", (("open {}", "open", "open", _PULSE),)),
    "garage door": Thing(
        "garage door with its drive", "garage-drive", (("{}", "start", "open", _PULSE),), height_m=2.3
    ),
    "door": Thing(
        "door or wicket with an electric strike",
        "strike-12v",
        (
            (
                "{}",
                "release",
                "unlock",
                {"kind": "pulse", "for": "4 s", "load_from": "main", "suppression": "diode"},
            ),
        ),
    ),
    "grille": Thing(
        "roller grille with its control",
        "roller-grille",
        (("open {}", "open", "open", _PULSE),),
        height_m=2.5,
    ),
    "bollard": Thing("rising bollard with its control", "bollard", (("lower {}", "down", "open", _PULSE),)),
    "shutter": Thing(
        "shutter, moved while the button is held",
        "shutter-motor",
        (
            ("{} up", "up", "up", {"kind": "follow", **_MAINS}),
            ("{} down", "down", "down", {"kind": "follow", **_MAINS}),
        ),
        height_m=2.4,
    ),
    "window": Thing(
        "window drive, moved while the button is held",
        "window-drive",
        (
            ("{} open", "up", "up", {"kind": "follow", "load_from": "main"}),
            ("{} shut", "down", "down", {"kind": "follow", "load_from": "main"}),
        ),
        height_m=2.4,
    ),
    "light": Thing(
        "lights on the mains",
        "led-230v",
        (("{}", "on", "light", {"kind": "pulse", "for": "4 min", "retrigger": True, **_MAINS}),),
        height_m=2.5,
    ),
    "water": Thing(
        "garden water valve",
        "valve-24vac",
        (
            (
                "{}",
                "on",
                "water",
                {"kind": "pulse", "for": "20 min", "load_from": "valves", "suppression": "varistor"},
            ),
        ),
        height_m=0.4,
    ),
    "alarm": Thing(
        "alarm panel with separate set and unset inputs",
        "panel-double-eol",
        (
            ("set {}", "set", "set", {"kind": "pulse", "for": "1 s"}),
            ("unset {}", "unset", "unset", {"kind": "pulse", "for": "1 s"}),
        ),
        is_panel=True,
        height_m=1.6,
    ),
    "call": Thing(
        "call for help: lamp and sounder in the house",
        "call-12v",
        (
            (
                "{}",
                "on",
                "call",
                {"kind": "pulse", "for": "60 s", "load_from": "main", "suppression": "diode"},
            ),
        ),
        height_m=2.3,
    ),
}
"""Kind of thing → how it is worked: our choice of the usual and careful way (open only at a gate, separate
set and unset)."""


def thing_called(word: str) -> str | None:
    """The kind of thing that is meant by a word of the trade or of every day; None if none is.

    >>> thing_called("boom"), thing_called("lamp")
    ('barrier', 'light')
    """
    if word in THINGS:
        return word
    kind = kind_called(word)
    return next((key for key in THINGS if kind is not None and kind_called(key) is kind), None)


NEVERS: Final[dict[str, str]] = {
    "power": "After a power cut nothing moves, waters or sounds by itself",
    "toggle": "Nothing is toggled: every press has one meaning",
    "both": "Up and down are never on together",
    "unset": "No single press both unsets the alarm and opens something",
}
"""Rules that a survey offers, as a customer would say them."""
