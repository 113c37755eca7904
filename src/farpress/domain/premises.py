"""One address: its plan, its places, and what is mounted and wired there."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from farpress.domain.parts import BatterySheet, DeviceSheet, PanelSheet, ReceiverSheet, SupplySheet
from farpress.domain.quantity import (
    Amperes,
    Angle,
    Dbm,
    Decibels,
    Height,
    Length,
    Metres,
    Model,
    Ohms,
    Point,
    Rate,
    Seconds,
    Share,
    Temperature,
)

__all__ = [
    "Aerial",
    "Battery",
    "CableRun",
    "CoaxRun",
    "Device",
    "Fed",
    "Level",
    "Opening",
    "Output",
    "Panel",
    "Place",
    "Premises",
    "Receiver",
    "ReceiverInput",
    "SteelObject",
    "Supply",
    "TamperLoop",
    "Underlay",
    "Wall",
]


class Level(Model):
    """One storey; its slab lies under its floor."""

    floor_m: Metres
    clear_m: Height
    slab: str | None = Field(None, description="build of the slab below; absent: the ground, or nothing")
    outline: tuple[Point, ...] | None = Field(None, description="the slab's outline; absent: everywhere")


class Opening(Model):
    """A door, window or passage in a wall."""

    from_m: Metres = Field(alias="from", description="distance along the wall's line from its first point")
    width_m: Metres
    sill_m: Metres | None = Field(None, description="above the floor; absent: from the floor")
    head_m: Metres | None = Field(None, description="above the floor; absent: to the ceiling")
    build: str | None = Field(None, description="what fills it; absent: open")


class Wall(Model):
    """A wall along a line of points, from floor to ceiling unless `top` says otherwise."""

    level: str | None = None
    build: str
    along: Annotated[tuple[Point, ...], Field(min_length=2)]
    base_m: Metres | None = Field(
        None, description="lower edge over the plan's zero, for a wall without a level"
    )
    top_m: Metres | None = Field(None, description="upper edge over the plan's zero")
    loss_db: Decibels | None = Field(
        None, description="loss of one crossing, measured or from a data sheet; overrides the build's"
    )
    loss_sd_db: Decibels | None = None
    openings: tuple[Opening, ...] = ()


class SteelObject(Model):
    """A tank, lift, racking, vehicle or cabinet: an upright box of steel."""

    says: str = ""
    outline: Annotated[tuple[Point, ...], Field(min_length=3)]
    base_m: Metres
    top_m: Metres


class Place(Model):
    """A named point where somebody presses."""

    at: Point
    level: str | None = None
    pressed: Literal["in hand", "in pocket", "in car"] = "in hand"
    sees: tuple[str, ...] = Field((), description="devices whose whole movement is seen from here")
    says: str = ""


class CableRun(Model):
    """A cable of the catalogue, of some length."""

    part: str
    length_m: Length
    cores: str | None = Field(None, description="which cores, by colour or number")
    along: tuple[Point, ...] = Field(
        (), description="points of the plan that the cable runs along; drawn, and its length measured on them"
    )
    shares_return_with: str | None = None
    shared_m: Metres | None = Field(
        None,
        description=(
            "how far from the supply the return core is shared; absent: all the way of the shorter run"
        ),
    )
    ambient: str | None = None
    warmest_degc: Temperature | None = Field(
        None, description="of the air around it at its warmest place; absent: 40 degC is taken"
    )


class CoaxRun(Model):
    """A coaxial cable of some length between aerial and receiver."""

    part: str
    length_m: Metres
    connector_pairs: Annotated[int, Field(ge=0, le=20)] = 2


class Aerial(Model):
    """An aerial mounted away from its receiver."""

    part: str
    at: Point
    level: str | None = None
    coax: CoaxRun | None = None


class Fed(Model):
    """What feeds it, through which cable."""

    from_: str = Field(alias="from")
    cable: CableRun | None = None


class Battery(BatterySheet):
    """A standby battery in a supply."""

    part: str | None = None
    changed: str | None = Field(None, description="date of the last change, as 2026-11")


class Supply(SupplySheet):
    """A power supply at the premises."""

    part: str | None = None
    at: Point | None = None
    battery: Battery | None = None
    standby_s: Seconds | None = Field(None, description="demanded standby time")
    other_load_a: Amperes | None = Field(None, description="rest current of things not drawn in this job")


class Output(Model):
    """One output of a receiver: what it does in time, what it works, through which cable."""

    kind: Literal["pulse", "toggle", "follow", "latch"] = Field(
        description="latch: one button switches it on, another off; the functions say which ('switches')"
    )
    for_s: Seconds | None = Field(None, alias="for", description="length of a pulse")
    retrigger: bool = Field(False, description="a further press starts the time anew")
    works: str | None = Field(None, description="device.input or panel.input of the same premises")
    with_: tuple[str, ...] = Field((), alias="with", description="further inputs worked by the same contact")
    contact: Literal["normally open", "normally closed"] = "normally open"
    via: str | None = Field(None, description="interposing relay or contactor: a part")
    load_from: str | None = Field(None, description="supply that the contact switches to the device")
    cable: CableRun | None = None
    after_power_return: Literal["off", "as before", "unknown"] | None = None
    suppression: Literal["none", "diode", "zener", "rc", "varistor"] | None = None
    interlock: str | None = Field(None, description="output number that this one is interlocked with")
    interlock_pause_s: Seconds | None = Field(
        None, description="both stay off for this long between the two, from relay off"
    )
    limits_inrush: bool = False
    operations_per_day: Rate | None = None
    says: str = ""


class ReceiverInput(Model):
    """One status or acknowledgement input of a receiver."""

    reads: str = Field(description="panel.output, or a device's contact")
    cable: CableRun | None = None


class Receiver(ReceiverSheet):
    """A receiver as mounted."""

    part: str | None = None
    at: Point
    level: str | None = None
    housing: Literal["plastic", "steel"] = "plastic"
    slot_m: Metres | None = Field(None, description="longest slot or opening of a steel housing")
    noise_floor_dbm: Dbm | None = Field(
        None, description="measured at this receiver, where it differs from the premises'"
    )
    antenna: Aerial | None = None
    antenna_places: tuple[Aerial, ...] = Field((), description="other places where an aerial could go")
    fed: Fed | None = None
    outputs: dict[str, Output] = Field(default_factory=dict)
    inputs: dict[str, ReceiverInput] = Field(default_factory=dict)
    learn_access: Literal["tamper-protected housing", "code", "open"] | None = None
    tamper: str | None = None
    learned_unknown: Annotated[int, Field(ge=0, le=1_000_000)] | None = Field(
        None, description="old records nobody can name"
    )


class Device(DeviceSheet):
    """A driven device as mounted."""

    part: str | None = None
    at: Point | None = None
    level: str | None = None
    fed: Fed | None = None
    seen_by_driver: bool | None = None


class Panel(PanelSheet):
    """An alarm panel as mounted."""

    part: str | None = None
    at: Point | None = None
    level: str | None = None
    fed: Fed | None = None


class TamperLoop(Model):
    """A tamper loop through several housings, leg by leg."""

    panel: str
    legs: dict[str, Ohms] = Field(description="reading of each leg")
    later: dict[str, Ohms] = Field(default_factory=dict, description="a later reading of a leg")


class Underlay(Model):
    """A picture of a floor plan, laid under what is drawn."""

    file: str = Field(description="in the folder 'plans' of the job")
    at: Point = Field(description="its lower left corner on the plan")
    width_m: Metres = Field(description="how wide it is on the plan; set by two points of known distance")
    level: str | None = None


class Premises(Model):
    """One address."""

    address: str = ""
    surroundings: Literal["city", "business", "residential", "rural"] | None = None
    slope: tuple[Point, ...] = Field(
        (), description="points [x, y, height] of the ground; absent: level at 0 m"
    )
    noise_floor_dbm: Dbm | None = Field(None, description="measured at the receiver, in its bandwidth")
    noise_bursts_share: Share | None = Field(None, description="share of time the channel is taken")
    levels: dict[str, Level] = Field(default_factory=dict)
    walls: tuple[Wall, ...] = ()
    steel: tuple[SteelObject, ...] = ()
    places: dict[str, Place] = Field(default_factory=dict)
    supplies: dict[str, Supply] = Field(default_factory=dict)
    receivers: dict[str, Receiver] = Field(default_factory=dict)
    devices: dict[str, Device] = Field(default_factory=dict)
    panels: dict[str, Panel] = Field(default_factory=dict)
    tamper_loops: dict[str, TamperLoop] = Field(default_factory=dict)
    north_deg: Angle | None = None
    underlays: tuple[Underlay, ...] = Field((), description="pictures of floor plans under the drawing")
    open_hours: str | None = Field(None, description="when somebody can be let in, as '07:00-18:00'")
