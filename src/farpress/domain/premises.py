"""One address: its plan, its places, and what is mounted and wired there."""

from __future__ import annotations

from typing import Annotated, Any, Final, Literal

from pydantic import Field, model_validator

from farpress.domain.cables import (
    Branch,
    Cable,
    CableRun,
    Fed,
    FittedDiode,
    Junction,
    Way,
    drawn_terminals,
    with_branch,
)
from farpress.domain.device_care import OneLane
from farpress.domain.interference import Interferer
from farpress.domain.kinds import OutputKind, output_kind
from farpress.domain.parts import BatterySheet, DeviceSheet, PanelSheet, ReceiverSheet, SupplySheet
from farpress.domain.quantity import (
    Amperes,
    Angle,
    CoaxLength,
    Dbm,
    Decibels,
    Height,
    Metres,
    Model,
    Ohms,
    Point,
    Rate,
    Seconds,
    Share,
    Volts,
    Watts,
)
from farpress.domain.volts_read import VoltsRead
from farpress.domain.zones import AlarmArea, Zone

__all__ = [
    "WORKS_NOTHING",
    "Aerial",
    "Battery",
    "Blasting",
    "Branch",
    "Cable",
    "CableRun",
    "CoaxRun",
    "Device",
    "Fed",
    "FittedDiode",
    "GateLock",
    "Hidden",
    "Junction",
    "Level",
    "Mount",
    "Opening",
    "Output",
    "Panel",
    "Place",
    "Premises",
    "Receiver",
    "ReceiverInput",
    "ReceiverSignal",
    "Solar",
    "SteelObject",
    "Supply",
    "TamperLoop",
    "Together",
    "Underlay",
    "Wall",
    "Way",
]


class Level(Model):
    """One storey; its slab lies under its floor."""

    floor_m: Metres = Field(description="height of its floor over the plan's zero")
    clear_m: Height = Field(description="from its floor to its ceiling")
    slab: str | None = Field(None, description="build of the slab below; absent: the ground, or nothing")
    outline: tuple[Point, ...] | None = Field(None, description="the slab's outline; absent: everywhere")


class Opening(Model):
    """A door, window or passage in a wall."""

    from_m: Metres = Field(alias="from", description="distance along the wall's line from its first point")
    width_m: Metres = Field(description="along the wall")
    sill_m: Metres | None = Field(None, description="above the floor; absent: from the floor")
    head_m: Metres | None = Field(None, description="above the floor; absent: to the ceiling")
    build: str | None = Field(None, description="what fills it; absent: open")
    when_pressed: Literal["shut", "open", "open or shut"] | None = Field(
        None,
        description="how it stands while somebody presses; 'open or shut': a link is judged by the worse of"
        " both; absent: shut, as its build says",
    )


class Wall(Model):
    """A wall along a line of points, from floor to ceiling unless `top` says otherwise."""

    level: str | None = Field(
        None, description="storey it stands on; absent: 'base' and 'top' say from where to where"
    )
    build: str = Field(description="how it is built: a name of the catalogue")
    along: Annotated[tuple[Point, ...], Field(min_length=2)] = Field(
        description="the points of its line, two or more"
    )
    base_m: Metres | None = Field(
        None, description="lower edge over the plan's zero, for a wall without a level"
    )
    top_m: Metres | None = Field(None, description="upper edge over the plan's zero")
    loss_db: Decibels | None = Field(
        None, description="loss of one crossing, measured or from a data sheet; overrides the build's"
    )
    loss_sd_db: Decibels | None = Field(None, description="how sure the loss is: one standard deviation")
    openings: tuple[Opening, ...] = Field((), description="doors, windows and passages in it")


class SteelObject(Model):
    """A tank, lift, racking, vehicle or cabinet: an upright box of steel."""

    says: str = Field("", description="what it is")
    outline: Annotated[tuple[Point, ...], Field(min_length=3)] = Field(
        description="its corners on the plan, three or more"
    )
    base_m: Metres = Field(description="lower edge over the plan's zero")
    top_m: Metres = Field(description="upper edge over the plan's zero")
    comes_and_goes: bool | None = Field(
        None,
        description="a vehicle, a boat, a container that is there at times only: a link is judged by the"
        " worse of both; absent: it is always there",
    )


class Hidden(Model):
    """What hides a place from every receiver and is not drawn: a closed box round it, leaves, stock."""

    build: str | None = Field(None, description="how it is built: a name of the catalogue")
    loss_db: Decibels | None = Field(
        None, description="what it costs on the way, measured or taken; overrides the build's"
    )
    loss_sd_db: Decibels | None = Field(
        None, description="how sure that is: one standard deviation; absent: the build's, or half the loss"
    )
    when: str | None = Field(
        None,
        description="where it is there at times only: when, in words, as 'June to October'; absent: always",
    )


class Place(Model):
    """A named point where somebody presses."""

    at: Point = Field(
        description="x, y and, if known, height over the plan's zero; else as a hand holds it above the floor"
    )
    lowest_m: Metres | None = Field(
        None,
        description="of what floats or is let down, as a boat or a pontoon: height over the plan's zero at"
        " its lowest; 'at' is then where it is at its highest",
    )
    level: str | None = Field(None, description="storey it is on; absent: out of doors")
    pressed: Literal["in hand", "in pocket", "in car"] = Field(
        "in hand", description="how the fob is held there"
    )
    seat: Literal["front", "rear"] | None = Field(
        None,
        description="of a press in a car: where in it; the rear has steel and seats round it; absent: the"
        " rear is taken",
    )
    sees: tuple[str, ...] = Field((), description="devices whose whole movement is seen from here")
    hidden_by: dict[str, Hidden] = Field(
        default_factory=dict,
        description="name → what hides it from every receiver and is not drawn, as the closed door of a cold"
        " store, leaves in summer; judged with all of it there",
    )
    shut_in: Literal["lift", "cold room", "strong room", "tank or pit", "nothing"] | None = Field(
        None, description="what somebody there may be shut in; 'nothing' where that was asked"
    )
    says: str = Field("", description="remark")


class CoaxRun(Model):
    """A coaxial cable of some length between aerial and receiver."""

    part: str = Field(description="coaxial cable of the catalogue or of this job")
    length_m: CoaxLength = Field(description="from the aerial to the receiver")
    connector_pairs: Annotated[int, Field(ge=0, le=20)] = Field(
        2, description="plugs with their sockets on the way"
    )


class Aerial(Model):
    """An aerial mounted away from its receiver."""

    part: str = Field(description="aerial of the catalogue or of this job")
    at: Point = Field(description="where it stands: x, y and, if known, height over the plan's zero")
    level: str | None = Field(None, description="storey it is on; absent: out of doors")
    coax: CoaxRun | None = Field(None, description="cable to its receiver; absent: it sits on the receiver")
    tilt_deg: Annotated[Angle, Field(ge=0.0, le=90.0)] | None = Field(
        None, description="how far it leans from upright, 0 to 90 degrees, to whatever side; absent: asked"
    )


class Battery(BatterySheet):
    """A standby battery in a supply."""

    part: str | None = Field(
        None, description="part of the catalogue or of this job; values given here win over it"
    )
    changed: str | None = Field(None, description="date of the last change, as 2026-11")


Month = Literal["jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec"]


class Solar(Model):
    """A solar panel that charges the battery of a supply."""

    power_w: Watts | None = Field(None, description="of the panel, at full sun")
    sun_s: dict[Month, Seconds] = Field(
        default_factory=dict,
        description="month → hours of full sun that a day's light is worth, as {dec: 0.7 h, jun: 5 h}",
    )
    yield_share: Share | None = Field(
        None, description="of it that reaches the battery: angle, dirt, warmth, charging"
    )
    charge_v: Volts | None = Field(
        None, alias="charge_voltage", description="at which the battery is charged"
    )


class Supply(SupplySheet):
    """A power supply at the premises."""

    part: str | None = Field(
        None, description="part of the catalogue or of this job; values given here win over it"
    )
    at: Point | None = Field(None, description="where it hangs; drawn")
    battery: Battery | None = Field(None, description="the standby battery in it")
    solar: Solar | None = Field(None, description="the solar panel that charges it")
    fed: Fed | None = Field(
        None,
        description=(
            "another supply that feeds it, and through which cable, as of a converter or a rectifier; absent:"
            " the mains. Its two sides are taken to be apart: where they have one 0 V, say so by a link"
        ),
    )
    standby_s: Seconds | None = Field(None, description="demanded standby time")
    bonded_to: Literal["nothing", "the building's earth", "steel in water", "steel in the ground"] | None = (
        Field(
            None,
            description="what one pole of it is joined to outside its circuit, as found on site; asked where"
            " the premises lie by water",
        )
    )
    other_load_a: Amperes | None = Field(None, description="rest current of things not drawn in this job")
    branches: dict[str, Branch] = Field(
        default_factory=dict, description="name → a way out with a fuse of its own, as 'main.branch 2'"
    )
    instead: str | None = Field(
        None, description="another supply here that somebody would use in its place, if it is not enough"
    )


BridgedContact = Literal[
    "fire alarm",
    "emergency stop",
    "safeguard",
    "limit switch",
    "gas detector",
    "guard",
    "thermal protection",
    "something else",
]
"""A contact that a wish would have bridged, by what somebody relies on it for."""


class Output(Model):
    """One output of a receiver: what it does in time, what it works, through which cable."""

    kind: Literal["pulse", "toggle", "follow", "latch"] = Field(
        description="latch: one button switches it on, another off; the functions say which ('switches')"
    )
    for_s: Seconds | None = Field(None, alias="for", description="length of a pulse")
    form: Literal["relay", "open collector"] | None = Field(
        None, description="of this output, where its receiver has both; absent: as the receiver's sheet says"
    )
    retrigger: bool = Field(False, description="a further press starts the time anew")
    delay_s: Seconds | None = Field(
        None,
        description="it comes on so long after the press, as set or by a time relay behind it; a press that"
        " is let go or ended before that starts nothing, but for a pulse",
    )
    stays_s: Seconds | None = Field(
        None,
        description="of one that is held, toggled or latched: it stays on so long after the button is let go"
        " or it is switched off",
    )
    warns: bool | None = Field(
        None, description="of a delay: a lamp or sounder at what it starts warns from the press until then"
    )
    works: str | None = Field(None, description="device.input or panel.input of the same premises")
    with_: tuple[str, ...] = Field((), alias="with", description="further inputs worked by the same contact")
    contact: Literal["normally open", "normally closed"] = Field(
        "normally open", description="which side of the changeover contact is wired"
    )
    via: str | None = Field(None, description="interposing relay or contactor: a part")
    load_from: str | None = Field(
        None,
        description="supply that the contact switches to the device, or a branch of it, as main.branch 2",
    )
    load_branch: str | None = Field(
        None, description="which branch of that supply; absent: its own terminals"
    )
    cable: CableRun | None = Field(None, description="from the contact to what it works")
    after_power_return: Literal["off", "as before", "unknown"] | None = Field(
        None, description="what this output does when power comes back, where its receiver can be set"
    )
    suppression: Literal["none", "diode", "zener", "rc", "varistor"] | None = Field(
        None, description="part across the load that takes its switching-off voltage"
    )
    interlock: str | None = Field(None, description="output number that this one is interlocked with")
    interlock_pause_s: Seconds | None = Field(
        None, description="both stay off for this long between the two, from relay off"
    )
    used_before: Literal["power", "signals", "nothing"] | None = Field(
        None, description="what its contact has switched until now, where the receiver stands there already"
    )
    across: tuple[BridgedContact, ...] | None = Field(
        None,
        description="what its contact lies across, so that it counts for nothing while this output is on:"
        " contacts that somebody relies on; [] where it was looked for and lies across none",
    )
    limits_inrush: bool = Field(False, description="an inrush limiter is fitted before the load")
    peak_a: Amperes | None = Field(
        None,
        description="peak at switching on as measured in this line, with all that hangs on it; it counts"
        " before what is computed",
    )
    steps: bool = Field(
        False,
        description="of a pulse: each press moves what it works by a step, by feel, and no whole travel",
    )
    daily_s: Seconds | None = Field(None, description="how long it is on in a day, in all")
    operations_per_day: Rate | None = Field(
        None, description="where it is known; else it is counted from the groups' presses"
    )
    says: str = Field("", description="remark")

    @model_validator(mode="before")
    @classmethod
    def _branch_apart(cls, values: Any) -> Any:
        """`load_from: main.branch 2` is the supply main and its branch 2."""
        return with_branch(values, "load_from", "load_branch")

    @property
    def traits(self) -> OutputKind:
        """What its kind means."""
        return output_kind(self.kind)


WORKS_NOTHING: Final = "nothing"
"""Written as what a status input works, where it works no output."""


class ReceiverInput(Model):
    """One status or acknowledgement input of a receiver."""

    reads: str = Field(description="panel.output, or a device's contact")
    works: str | None = Field(
        None,
        description="number of the output that a closure at this input works, as an exit button does;"
        " 'nothing' where the receiver only tells of it, or does nothing with it",
    )
    cable: CableRun | None = Field(None, description="from what it reads to here")


class ReceiverSignal(Model):
    """Where one of a receiver's own signals goes."""

    works: str = Field(description="lamp or sounder, as device.input, or panel.input of the same premises")
    contact: Literal["normally open", "normally closed"] = Field(
        "normally open", description="of a relay: which side of its contact is wired"
    )
    load_from: str | None = Field(
        None, description="supply of the lamp or sounder, or a branch of it, as main.branch 2"
    )
    load_branch: str | None = Field(
        None, description="which branch of that supply; absent: its own terminals"
    )
    cable: CableRun | None = Field(None, description="from the receiver to what it works")
    tells: str | None = Field(None, description="who is told of it and sees to it: a name out of 'people'")

    @model_validator(mode="before")
    @classmethod
    def _branch_apart(cls, values: Any) -> Any:
        """`load_from: main.branch 2` is the supply main and its branch 2."""
        return with_branch(values, "load_from", "load_branch")


class Receiver(ReceiverSheet):
    """A receiver as mounted."""

    part: str | None = Field(
        None, description="part of the catalogue or of this job; values given here win over it"
    )
    at: Point = Field(description="where it hangs: x, y and, if known, height over the plan's zero")
    level: str | None = Field(None, description="storey it hangs on; absent: out of doors")
    housing: Literal["plastic", "steel"] = Field(
        "plastic", description="what the housing round it is made of; steel shields the aerial inside"
    )
    slot_m: Metres | None = Field(None, description="longest slot or opening of a steel housing")
    housing_loss_db: Decibels | None = Field(
        None, description="what a steel housing holds back when it is closed, as far as somebody gives it"
    )
    noise_floor_dbm: Dbm | None = Field(
        None, description="measured at this receiver, where it differs from the premises'"
    )
    noise_bursts_share: Share | None = Field(
        None, description="share of time the channel is taken here; wins over the premises'"
    )
    antenna: Aerial | None = Field(None, description="the aerial outside, where it has one")
    antenna_places: tuple[Aerial, ...] = Field((), description="other places where an aerial could go")
    fed: Fed | None = Field(None, description="its supply and the cable from there")
    outputs: dict[str, Output] = Field(
        default_factory=dict, description="output number → what it does and works"
    )
    inputs: dict[str, ReceiverInput] = Field(default_factory=dict, description="input number → what it reads")
    signals: dict[Literal["low cell", "acknowledge"], ReceiverSignal] = Field(
        default_factory=dict, description="signal of its own, 'low cell' or 'acknowledge' → where it goes"
    )
    learn_access: Literal["tamper-protected housing", "code", "open"] | None = Field(
        None, description="what keeps strangers from learning a fob into it"
    )
    tamper: str | None = Field(None, description="panel.input that its tamper contact is wired to")
    learned: Annotated[int, Field(ge=0, le=1_000_000)] | None = Field(
        None, description="records in its memory now, as read out or counted: of fobs or of buttons"
    )
    learned_unknown: Annotated[int, Field(ge=0, le=1_000_000)] | None = Field(
        None, description="old records nobody can name"
    )


class Device(DeviceSheet):
    """A driven device as mounted."""

    says: str = Field("", description="what it is, in words")
    moves_per_day: Rate | None = Field(
        None, description="how often it moves in a day, opening and closing each counted"
    )
    runs_in_a_row: Annotated[int, Field(ge=1, le=1000)] | None = Field(
        None, description="how many whole travels follow each other without a rest at the busiest time"
    )
    strikes: dict[str, Literal["interlock", "end contacts", "people", "nothing", "never"]] = Field(
        default_factory=dict,
        description="other device that it strikes while both are out → what keeps them apart; 'never' where"
        " it was tried and does not reach",
    )
    waits_for: tuple[str, ...] = Field(
        (), description="gates that must stand closed before it opens, as the other gate of a lock"
    )
    waits_by: Literal["end contacts", "drives", "people"] | None = Field(
        None, description="what makes it wait for them"
    )
    only_with: tuple[str, ...] = Field(
        (),
        description="things of which one at least must be open or on while it runs, as valves for a pump or a"
        " pump for a doser; each a device here, or premises/device",
    )
    only_with_by: Literal["a switch of its own", "a controller", "presses"] | None = Field(
        None,
        description="what sees to that: a flow, pressure or end switch in its own circuit, one controller for"
        " all, or nobody but whoever presses",
    )

    part: str | None = Field(
        None, description="part of the catalogue or of this job; values given here win over it"
    )
    at: Point | None = Field(None, description="where it is: x, y and, if known, height over the plan's zero")
    level: str | None = Field(None, description="storey it is on; absent: out of doors")
    fed: Fed | None = Field(None, description="its supply and the cable from there")


class Panel(PanelSheet):
    """An alarm panel as mounted."""

    part: str | None = Field(
        None, description="part of the catalogue or of this job; values given here win over it"
    )
    at: Point | None = Field(
        None, description="where it hangs: x, y and, if known, height over the plan's zero"
    )
    level: str | None = Field(None, description="storey it hangs on; absent: out of doors")
    fed: Fed | None = Field(None, description="its supply and the cable from there")
    zones: dict[str, Zone] = Field(default_factory=dict, description="name → detection circuit")
    areas: dict[str, AlarmArea] = Field(
        default_factory=dict, description="name → part of the system that is set and unset on its own"
    )


class GateLock(Model):
    """The space between gates of which one closes before the other opens."""

    enter_by: Annotated[tuple[str, ...], Field(min_length=1)] = Field(description="gates one drives in by")
    leave_by: Annotated[tuple[str, ...], Field(min_length=1)] = Field(description="gates one drives out by")
    second_kept_out_by: tuple[Literal["loop inside", "closes behind each"], ...] | None = Field(
        None,
        description=(
            "what keeps a second vehicle out: a loop inside, while which is taken no gate to drive in by"
            " opens; a gate that closes behind each vehicle; [] for nothing"
        ),
    )


class TamperLoop(Model):
    """A tamper loop through several housings, leg by leg."""

    panel: str = Field(description="alarm panel that watches it")
    legs: dict[str, Ohms] = Field(description="reading of each leg")
    later: dict[str, Ohms] = Field(default_factory=dict, description="a later reading of a leg")


class Together(Model):
    """Things that take turns: only so many of them are on at the same time."""

    of: Annotated[tuple[str, ...], Field(min_length=2)] = Field(description="devices that take turns")
    at_most: Annotated[int, Field(ge=1, le=1000)] = Field(
        1, description="so many of them are on at the same time"
    )
    pulling_in: Annotated[int, Field(ge=0, le=1000)] = Field(
        0, description="so many more may be pulling in while those before them are still on"
    )
    with_: tuple[str, ...] = Field(
        (), alias="with", description="devices that are on as long as one of them is, as a master valve"
    )
    kept_by: Literal["controller", "wiring", "people"] | None = Field(
        None, description="what keeps the others off"
    )


class Mount(Model):
    """A place where a box may be mounted."""

    at: Point = Field(description="x, y and, if known, height over the plan's zero; else 2 m up is taken")
    level: str | None = Field(None, description="storey it is on; absent: out of doors")
    mains: bool | None = Field(None, description="mains is there, so that a supply can hang there")
    says: str = Field("", description="remark")


class Underlay(Model):
    """A picture of a floor plan, laid under what is drawn."""

    file: str = Field(description="in the folder 'plans' of the job")
    at: Point = Field(description="its lower left corner on the plan")
    width_m: Metres = Field(description="how wide it is on the plan; set by two points of known distance")
    level: str | None = Field(None, description="storey it lies under; absent: all of them")


class Blasting(Model):
    """Blasting that is done at the premises, and what keeps transmitters off meanwhile."""

    caps: Literal["electric", "electronic", "not electric"] | None = Field(
        None, description="kind of the caps, as the shotfirer says"
    )
    kept_away_by: tuple[str, ...] = Field(
        (),
        description="what keeps fobs and other transmitters away from caps, in words, as the shotfirer"
        " orders",
    )


Ground = Literal["very dry ground", "medium dry ground", "wet ground", "fresh water", "sea water"]


class Premises(Model):
    """One address."""

    address: str = Field("", description="stands on the papers")
    on_plan_of: str | None = Field(
        None, description="other premises whose plan this is drawn on, as two yards on one sheet"
    )
    surroundings: Literal["city", "business", "residential", "rural"] | None = Field(
        None,
        description="what stands around; decides how much radio noise there is where none was measured;"
        " absent: the noisiest",
    )
    ground: Ground | None = Field(
        None,
        description="what throws radio back out of doors, as water between a quay and a boat; absent: medium"
        " dry ground",
    )
    slope: tuple[Point, ...] = Field(
        (), description="points [x, y, height] of the ground; absent: level at 0 m"
    )
    noise_floor_dbm: Dbm | None = Field(None, description="measured at the receiver, in its bandwidth")
    noise_bursts_share: Share | None = Field(None, description="share of time the channel is taken")
    interference: dict[str, Interferer] = Field(
        default_factory=dict, description="name → what runs at times and makes noise"
    )
    water: Literal["salt", "fresh"] | None = Field(
        None,
        description="there are boats, bathers or basins: what water it is; absent: nobody is near any water",
    )
    high_water_m: Metres | None = Field(
        None, description="height over the plan's zero of the highest water known there, as of a flood mark"
    )
    blasting: Blasting | None = Field(None, description="blasting is done here; absent: none is")
    levels: dict[str, Level] = Field(
        default_factory=dict, description="name of a storey → its height and slab"
    )
    walls: tuple[Wall, ...] = Field((), description="between the fobs and the receivers first")
    steel: tuple[SteelObject, ...] = Field(
        (), description="tanks, lifts, racking, vehicles: what throws radio back or hides it"
    )
    places: dict[str, Place] = Field(default_factory=dict, description="name → where somebody presses")
    supplies: dict[str, Supply] = Field(
        default_factory=dict, description="name → power supply or transformer"
    )
    receivers: dict[str, Receiver] = Field(default_factory=dict, description="name → receiver as mounted")
    devices: dict[str, Device] = Field(default_factory=dict, description="name → what is driven")
    panels: dict[str, Panel] = Field(default_factory=dict, description="name → alarm panel")
    junctions: dict[str, Junction] = Field(default_factory=dict, description="name → junction box")
    cables: dict[str, Cable] = Field(
        default_factory=dict,
        description="label → a cable drawn core by core, beside the runs written at things",
    )
    links: tuple[Annotated[tuple[str, ...], Field(min_length=2)], ...] = Field(
        (), description="wires inside a housing: each a list of terminals that they join"
    )
    diodes: dict[str, FittedDiode] = Field(
        default_factory=dict,
        description="name → a diode in a housing, as between two supplies and what either of them feeds",
    )
    ways: dict[str, Way] = Field(
        default_factory=dict, description="name → duct or tray that several cables share"
    )
    tamper_loops: dict[str, TamperLoop] = Field(
        default_factory=dict, description="name → loop with its readings"
    )
    volts_read: tuple[VoltsRead, ...] = Field(
        (), description="what a meter read between terminals, as found on site"
    )
    one_lanes: dict[str, OneLane] = Field(
        default_factory=dict, description="name → way for one vehicle with lights at its ends"
    )
    gate_locks: dict[str, GateLock] = Field(
        default_factory=dict, description="name → space between gates, for one vehicle at a time"
    )
    together: tuple[Together, ...] = Field((), description="things that take turns")
    mounts: dict[str, Mount] = Field(
        default_factory=dict,
        description=(
            "name → a place where a box may be mounted, for 'farpress design'; absent: on any wall, and"
            " beside any device or panel"
        ),
    )
    north_deg: Angle | None = Field(None, description="where north is on the plan; drawn")
    underlays: tuple[Underlay, ...] = Field((), description="pictures of floor plans under the drawing")
    open_hours: str | None = Field(None, description="when somebody can be let in, as '07:00-18:00'")

    @model_validator(mode="before")
    @classmethod
    def _contacts_as_drawn(cls, values: Any) -> Any:
        """Where no side of a contact is named and the break side alone is wired, that side counts."""
        drawn = drawn_terminals(values)
        receivers = values.get("receivers") if drawn else None
        if not isinstance(receivers, dict):
            return values
        changed = {}
        for name, box in receivers.items():
            outputs = box.get("outputs") if isinstance(box, dict) else None
            if not isinstance(outputs, dict):
                continue
            breaking = {
                number: {**output, "contact": "normally closed"}
                for number, output in outputs.items()
                if isinstance(output, dict)
                and "contact" not in output
                and f"{name}.{number}.break" in drawn
                and f"{name}.{number}.make" not in drawn
            }
            if breaking:
                changed[name] = {**box, "outputs": {**outputs, **breaking}}
        return {**values, "receivers": {**receivers, **changed}} if changed else values
