"""Resistors of a supervised loop at the place where they sit, as they are drawn and as they were found."""

from __future__ import annotations

from dataclasses import dataclass

from farpress.case.circuit.parts import EndOfLine, Terminal
from farpress.case.circuit.workshop import Workshop
from farpress.domain.parts import Loop
from farpress.domain.zones import Zone

__all__ = ["LoopLine", "leak", "loop_line", "zone_of"]


@dataclass(frozen=True)
class LoopLine:
    """Where the cable of a loop begins and ends, once its resistors are in.

    Attributes:
        panel: at the panel's end of the cable; the live terminal itself, or the one behind a resistor there.
        near, far: at the contact's end of the cable, the live core first.
    """

    panel: Terminal
    near: Terminal
    far: Terminal


def zone_of(shop: Workshop, works: str) -> Zone | None:
    """What the job says of the zone that a panel's input is; None where it says nothing."""
    panel, _, name = works.partition(".")
    entry = shop.case.job.premises[shop.premises].panels.get(panel)
    return entry.zones.get(name) if entry is not None else None


def loop_line(
    shop: Workshop,
    place: str,
    loop: Loop,
    live: Terminal,
    contact: tuple[Terminal, Terminal],
    zone: Zone | None,
    *,
    is_closed_at_rest: bool,
) -> LoopLine:
    """Put the resistors of a loop in.

    Args:
        shop: where they go.
        place: of the contact, in their names: "R1.2".
        loop: whose resistors are known.
        live: the panel's terminal.
        contact: both sides of the contact, the live one first.
        zone: what the job says of where its resistors sit, and of what was found.
        is_closed_at_rest: the contact breaks when it is worked.
    """
    near, far = contact
    normal, alarm = _values(loop, zone)
    at_panel = zone is not None and zone.resistor == "panel"

    def resistor(says: str, a: Terminal, b: Terminal, ohm: float | None) -> None:
        if ohm is not None:
            shop.resistors.append(EndOfLine(f"{says} of {place}", a, b, ohm))

    if zone is not None and zone.found is not None and zone.found.bridged:
        shop.join(near, far)
    if loop.scheme == "single end-of-line" and not is_closed_at_rest:
        if at_panel:
            resistor("end-of-line resistor", live, f"{live} common", normal)
        else:
            resistor("end-of-line resistor", near, far, normal)
        return LoopLine(live, near, far)
    if loop.scheme == "two-resistor":
        line = f"{place}.line"
        resistor("end-of-line resistor", line, far, normal)
        resistor("alarm resistor", line, near, alarm or 0.0)
        return LoopLine(live, _moved(shop, near, line), far)
    if loop.scheme != "single end-of-line":
        resistor("alarm resistor", near, far, alarm)
    if at_panel:
        behind = _moved(shop, live, f"{live} behind its resistor")
        resistor("end-of-line resistor", live, behind, normal)
        return LoopLine(behind, near, far)
    line = _moved(shop, near, f"{place}.line")
    resistor("end-of-line resistor", line, near, normal)
    return LoopLine(live, line, far)


def _values(loop: Loop, zone: Zone | None) -> tuple[float, float | None]:
    """Resistors in the line and across the contact, as they were found [ohm]."""
    normal, alarm = loop.normal_ohm or 0.0, loop.alarm_ohm
    found = zone.found if zone is not None else None
    if found is None:
        return normal, alarm
    if found.swapped and alarm is not None:
        normal, alarm = alarm, normal
    if found.missing == "normal":
        normal = 0.0
    return normal, None if found.missing == "alarm" else alarm


def _moved(shop: Workshop, terminal: Terminal, behind: Terminal) -> Terminal:
    """A core that is drawn to a terminal ends at the resistor that is clamped there."""
    shop.moved[terminal] = behind
    return behind


def leak(shop: Workshop, place: str, ends: tuple[Terminal, Terminal], ohm: float | None) -> None:
    """What was found between the cores at the far end."""
    if ohm is not None:
        shop.resistors.append(EndOfLine(f"leak at {place}", ends[0], ends[1], ohm))
