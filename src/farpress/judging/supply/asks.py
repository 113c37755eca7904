"""The questions about supplies, each in one wording, and what the rooms of a supply call a cable.

The same question is asked once, however many findings wait for it, so each has one home here.
"""

from __future__ import annotations

from collections.abc import Iterable

from farpress.case.cabling import End, on_same_cable
from farpress.domain.finding import Ask, Who
from farpress.domain.premises import CableRun
from farpress.domain.refs import CableRef, Ref, SupplyRef

__all__ = [
    "cable_of",
    "cable_ref",
    "cores_of",
    "current_of",
    "fuse_of",
    "kind_of",
    "least_volts_of",
    "lowest_volts_of",
    "most_volts_of",
    "rated_current_of",
    "rated_volts_of",
    "rest_current_of",
    "source_ohm_of",
    "unknown_currents",
    "voltage_of",
]


def cable_ref(ends: tuple[End, ...], end: End, supply: str) -> Ref:
    """The cable of an end, by the first thing it leads to; the thing itself where it has none.

    Args:
        ends: of the supply.
        end: one of them.
        supply: path of the supply, "larkfen/main".
    """
    if end.run is None:
        return end.subjects[0]
    return CableRef(f"{SupplyRef(supply).premises}/{on_same_cable(ends, end)[0].name}")


def current_of(end: End) -> Ask:
    """What an end draws."""
    also = " Write 0 mA where it stands in the supply's other_load." if end.is_panel else ""
    return Ask(f"Find the {end.ask or f'current of {end.who}'}, on its label or data sheet.{also}")


def rest_current_of(end: End) -> Ask:
    """What an end draws while nothing happens."""
    if end.ask:
        return current_of(end)
    return Ask(f"Find the current of {end.who} while it waits, or measure it.", Who.METER, 5.0)


def unknown_currents(ends: Iterable[End]) -> tuple[Ask, ...]:
    """The questions for every end whose current is not known."""
    return tuple(current_of(end) for end in ends if end.ask)


def cable_of(end: End) -> Ask:
    """Which cable, and how long."""
    return Ask(f"Name the cable to {end.who} and its length.", Who.INSTALLER, 5.0)


def cores_of(run: CableRun) -> Ask:
    """What copper a cable has."""
    return Ask(f"Find the area or the resistance of the cable {run.part}.")


def least_volts_of(end: End) -> Ask:
    """The least volts an end works with."""
    return Ask(f"Find the lowest voltage {end.who} works with, on its label or data sheet.")


def most_volts_of(end: End) -> Ask:
    """The most volts an end bears."""
    return Ask(f"Find the highest voltage {end.who} stands, on its label or data sheet.")


def rated_volts_of(end: End) -> Ask:
    """The volts a coil or a panel is made for."""
    return Ask(f"Read the rated voltage of {end.who} off its label.", Who.LABEL, 2.0)


def lowest_volts_of(supply: str) -> Ask:
    """How low a supply comes down."""
    return Ask(
        f"Find the lowest voltage of {supply} or the end voltage of its battery, in the data sheet, or"
        " measure it with everything switched on.",
        Who.METER,
        10.0,
    )


def kind_of(who: str) -> Ask:
    """Alternating or direct current."""
    return Ask(f"Read off the label of {who} whether it is for alternating or direct current.")


def fuse_of(supply: str) -> Ask:
    """The fuse of a supply."""
    return Ask(f"Find the fuse of this output of {supply}; where there is none, fit one.", Who.INSTALLER, 5.0)


def rated_current_of(supply: str) -> Ask:
    """What a supply gives."""
    return Ask(f"Read off the label of {supply} how many amperes it gives for ever.", Who.LABEL, 2.0)


def voltage_of(supply: str) -> Ask:
    """The rated voltage of a supply."""
    return Ask(f"Read the voltage of {supply} off its label.", Who.LABEL, 2.0)


def source_ohm_of(supply: str) -> Ask:
    """How soft a supply is."""
    return Ask(
        f"Find how far the voltage of {supply} falls under load, or measure its resistance: volts lost over"
        " amperes drawn.",
        Who.METER,
        10.0,
    )
