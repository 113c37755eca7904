"""What a terminal drawing shows: feed, loops at the side, a lane an output."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

__all__ = ["Feed", "Lane", "LoadMark", "Side", "TerminalPlan"]

LoadMark = Literal["coil", "lamp", "motor", "sounder", "load", "input"]


@dataclass(frozen=True)
class Feed:
    """What feeds the receiver: supply, volts in words, its terminals there, cable, fuse in words."""

    name: str
    says: str
    terminals: tuple[str, str] = ("+", "0 V")
    cable: str = ""
    cores: tuple[str, str] = ("", "")
    fuse: str = ""


@dataclass(frozen=True)
class Side:
    """An input or the tamper contact: its terminals, where it leads, its cable."""

    terminals: tuple[str, str]
    leads_to: str
    cable: str = ""
    cores: tuple[str, str] = ("", "")
    is_tamper: bool = False


@dataclass(frozen=True)
class Lane:
    """One output and what it works.

    Attributes:
        number: of the output.
        behaviour: in words, as "pulse 0.5 s".
        form: of the contact.
        terminals: numbers of common, break and make contact; empty where there is none.
        closes_at_rest: the break contact is used.
        load, load_says: name and one line about it.
        mark: which symbol stands for it.
        load_terminals: two names.
        cable: in words, as "cable-6x0.22, 24 m".
        cores: of the switched wire and of the way back.
        supply: what feeds the load over the contact; None for a contact free of potential.
        supply_terminals: of that supply, live side first.
        fuse: of that supply, in words.
        relay: interposing relay between; None for none.
        suppression: what sits across the load: "diode", "zener", "rc", "varistor" or None.
        scheme: of a supervised loop; empty for none.
        resistors: labels at the end of the line, at the contact, and across the mask contact where there
            is one.
        is_mains: the load's side is mains.
        note: volts and amperes in words.
        barred: why it must not be wired; empty where nothing bars it.
        turns: its changeover contact leads one core of the load to plus or to 0 V; the other core, and the
            other way round, is another output's.
    """

    number: str
    behaviour: str
    form: str
    terminals: tuple[str, str, str]
    closes_at_rest: bool
    load: str
    load_says: str
    mark: LoadMark
    load_terminals: tuple[str, str]
    cable: str = ""
    cores: tuple[str, str] = ("", "")
    supply: str | None = None
    supply_terminals: tuple[str, str] = ("+", "0 V")
    fuse: str = ""
    relay: str | None = None
    suppression: str | None = None
    scheme: str = ""
    resistors: tuple[str, ...] = ()
    is_mains: bool = False
    note: str = ""
    barred: str = ""
    turns: bool = False


@dataclass(frozen=True)
class TerminalPlan:
    """A receiver with its surroundings."""

    name: str
    says: str
    feed: Feed | None
    lanes: tuple[Lane, ...]
    sides: tuple[Side, ...] = ()
    aerial: str = ""
