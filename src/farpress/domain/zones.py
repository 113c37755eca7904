"""Detection circuits and areas of an alarm panel, as they are mounted."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from farpress.domain.cables import CableRun
from farpress.domain.device_sheets import Loop
from farpress.domain.quantity import Metres, Model, Ohms, Rate, Seconds, Share

__all__ = ["AlarmArea", "FoundZone", "Zone"]


class FoundZone(Model):
    """A zone as it is found on site, where that differs from what is drawn."""

    swapped: bool = Field(False, description="the two resistors lie in each other's place")
    bridged: bool = Field(False, description="a wire lies across the contacts")
    missing: Literal["normal", "alarm"] | None = Field(None, description="resistor that is not there")
    leak_wet_ohm: Ohms | None = Field(
        None, description="between the cores in rain or after it, where it was measured wet as well"
    )
    leak_ohm: Ohms | None = Field(
        None, description="between the cores: damp, a bad joint, an old resistor left across it"
    )
    read_ohm: Ohms | None = Field(None, description="at the panel's end, the zone at rest and taken off")


class Zone(Model):
    """A detection circuit of a panel, worked by contacts of doors, windows and detectors."""

    loop: Loop | None = Field(
        None,
        description="how it is supervised; absent: as the input of that name, or the panel's 'zone_loop'",
    )
    holds: tuple[str, ...] = Field((), description="what is in it, as [side-door.contact]")
    contacts: Annotated[int, Field(ge=1, le=1000)] | None = Field(
        None, description="how many contacts lie in series; absent: as many as it holds, or one"
    )
    side_by_side: bool = Field(
        False, description="its contacts that break lie in parallel: the line opens only when all are open"
    )
    contact_ohm: Ohms = Field(0.0, description="of one closed contact")
    each_resistor: bool | None = Field(
        None,
        description="each contact has a resistor of its own across it; false: one lies across them all;"
        " side by side with a single resistor: each has that resistor of its own in series",
    )
    resistor: Literal["far end", "panel", "between"] | None = Field(
        None, description="where the resistor at the end of the line really sits"
    )
    unwatched_m: Metres | None = Field(
        None, description="of its cable, what lies behind a resistor that sits between: it is not watched"
    )
    told: Literal["at any time", "while set", "after the entry time"] | None = Field(
        None, description="when the panel tells of it: always, only while set, or then after the entry time"
    )
    cable: CableRun | None = Field(None, description="from the panel to its far end")
    found: FoundZone | None = Field(None, description="as it is found on site")
    taken_away_per_day: Rate | None = Field(
        None,
        description="how often what it watches leaves, line and all, as a boat, a caravan or an exhibit on"
        " loan: 4 per year",
    )
    isolated_by: Literal["a user by code", "the alarm company", "a bridge", "nobody"] | None = Field(
        None, description="who takes it out of the system while it is away, or what is done instead"
    )


class AlarmArea(Model):
    """A part of an alarm system that is set and unset on its own."""

    inputs: tuple[str, ...] = Field((), description="panel inputs that set and unset it; absent: all of them")
    zones: tuple[str, ...] = Field((), description="zones that tell of it; absent: not said")
    people_inside: Literal["never", "while part set", "at any time"] | None = Field(
        None, description="whether somebody may be inside when it is set"
    )
    arrivals_per_day: dict[str, Rate] = Field(
        default_factory=dict,
        description="when → how many come in, as {Saturday: 14 per hour, night: 0.4 per hour}",
    )
    stay_s: Seconds | None = Field(None, description="how long one of them stays, on average")
    set_prevented_by: tuple[Literal["open door", "movement", "person-in switch", "time"], ...] | None = Field(
        None, description="what keeps it from being set while somebody is inside; [] for nothing"
    )
    organisation: str | None = Field(None, description="tenant or firm whose area it is")
    set_with: tuple[str, ...] = Field(
        (), description="it is set by itself once all of these areas are, and unset as soon as one of them is"
    )
    forgotten_share: Share | None = Field(
        None, description="of the evenings on which whoever closes it forgets to set it"
    )
    hours: str | None = Field(None, description="when somebody is in it and it is unset, as '03:00-18:00'")
    parties: Annotated[int, Field(ge=1, le=100_000)] = Field(
        1, description="tenants or firms who each have something of their own in it"
    )
