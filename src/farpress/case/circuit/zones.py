"""Zones of a panel that no output works: their contacts, resistors at their place, and what was found."""

from __future__ import annotations

from typing import Final

from farpress.case.circuit.loop_resistors import leak, loop_line
from farpress.case.circuit.parts import ClosingContact, EndOfLine, NotKnown, Terminal
from farpress.case.circuit.states import OF_ZONE
from farpress.case.circuit.workshop import Workshop, pull_up
from farpress.case.cores import cores_of_run
from farpress.core.wiring.zones import leak_for_ohm
from farpress.domain.parts import Loop, PanelInput, PanelSheet
from farpress.domain.zones import Zone
from farpress.phrases import called

__all__ = ["add_zones"]

DRY: Final = 100.0
"""A dry cable has this many times the resistors of its zone between its cores; common practice, no source."""


def add_zones(shop: Workshop) -> None:
    """Every zone that the job describes beside the inputs that outputs work."""
    house = shop.case.job.premises[shop.premises]
    worked = {
        works for output in shop.case.outputs() if output.premises == shop.premises for works in output.works
    }
    for panel, entry in house.panels.items():
        sheet = shop.case.equipment.panels[f"{shop.premises}/{panel}"].sheet
        for name, zone in entry.zones.items():
            if f"{panel}.{name}" not in worked:
                _zone(shop, panel, sheet, name, zone)


def _zone(shop: Workshop, panel: str, sheet: PanelSheet, name: str, zone: Zone) -> None:
    given = (sheet.inputs or {}).get(name)
    loop = zone.loop or (given.loop if given is not None else None) or sheet.zone_loop
    place = f"{panel} {called('zone', name)}"
    if loop is None or loop.scheme == "masked":
        shop.unknown.append(NotKnown(place, "how it is supervised"))
        return
    is_plain = loop.scheme in ("closed", "open")
    if (loop.normal_ohm is None and not is_plain) or (
        loop.scheme in ("double end-of-line", "two-resistor") and loop.alarm_ohm is None
    ):
        shop.unknown.append(NotKnown(place, "the resistors of its loop"))
        return
    live = f"{panel}.{called('zone', name)}"
    common = f"{live} common"
    pull_up(shop, live, common, PanelInput(loop=loop))
    shop.join(common, f"{panel}.0")
    makes = loop.scheme == "two-resistor"
    near, far, end = _making(shop, place, zone) if makes else _contacts(shop, place, loop, zone)
    line_panel, line_near = live, near
    if not is_plain:
        line = loop_line(shop, place, loop, live, (near, far), zone, is_closed_at_rest=not makes)
        line_panel, line_near = line.panel, line.near
    path = ("premises", shop.premises, "panels", panel, "zones", name, "cable")
    metres = zone.cable.length_m if zone.cable is not None else 0.0
    (out, back), _ = cores_of_run(zone.cable)
    shop.conduct(f"{place}, out", line_panel, line_near, zone.cable, path, metres, out)
    shop.conduct(f"{place}, back", common, end, zone.cable, path, metres, back)
    leak(shop, place, (line_near, end), _leak_ohm(shop, path, loop, zone))


def _contacts(shop: Workshop, place: str, loop: Loop, zone: Zone) -> tuple[Terminal, Terminal, Terminal]:
    """One contact that opens, then the closed ones in series with it: its two sides, and where the line ends.

    The contact of one thing has that thing's terminals, which cores may be drawn to.
    """
    count = zone.contacts or max(1, len(zone.holds))
    name = zone.holds[0] if count == 1 and zone.holds else f"{place}.contact"
    near, far = f"{name} 1", f"{name} 2"
    within = zone.contact_ohm if zone.each_resistor else zone.contact_ohm * count
    inner = near
    if within > 0:
        inner = f"{place}.closed contacts"
        shop.resistors.append(EndOfLine(f"closed contacts of {place}", near, inner, within))
    contact = ClosingContact(f"contact of {place}", inner, far, f"{place}{OF_ZONE}", closed_at_rest=True)
    shop.contacts[contact.name] = contact
    beside = zone.contact_ohm
    if loop.alarm_ohm:
        beside = zone.contact_ohm * loop.alarm_ohm / (zone.contact_ohm + loop.alarm_ohm)
    if not zone.each_resistor or count == 1 or beside <= 0:
        return near, far, far
    end = f"{place}.last contact"
    shop.resistors.append(EndOfLine(f"further contacts of {place}", far, end, beside * (count - 1)))
    return near, far, end


def _making(shop: Workshop, place: str, zone: Zone) -> tuple[Terminal, Terminal, Terminal]:
    """One contact that makes, of those side by side across the line; the others stand open."""
    count = zone.contacts or max(1, len(zone.holds))
    name = zone.holds[0] if count == 1 and zone.holds else f"{place}.contact"
    near, far, inner = f"{name} 1", f"{name} 2", f"{name} 1"
    if zone.contact_ohm > 0:
        inner = f"{place}.closed contacts"
        shop.resistors.append(EndOfLine(f"closed contacts of {place}", near, inner, zone.contact_ohm))
    contact = ClosingContact(f"contact of {place}", inner, far, f"{place}{OF_ZONE}", closed_at_rest=False)
    shop.contacts[contact.name] = contact
    return near, far, far


def _leak_ohm(shop: Workshop, path: tuple[str | int, ...], loop: Loop, zone: Zone) -> float | None:
    """What was found between the cores, or what a reading shows there [ohm]; None for nothing."""
    found = zone.found
    if found is None or found.leak_ohm is not None or found.read_ohm is None:
        return None if found is None else found.leak_ohm
    if found.swapped or found.bridged or found.missing:
        return None
    rest = loop.normal_ohm or 0.0
    cable = sum(core.ohm(20.0) for core in shop.conductors if core.run_path == path)
    implied = leak_for_ohm(far_ohm=rest, loop_ohm=cable, read_ohm=found.read_ohm) if rest else None
    return implied if implied and implied < DRY * rest else None
