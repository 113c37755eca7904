"""What the data sheets of what is worked may say: driven devices and alarm panels, with their inputs."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from farpress.domain.device_care import ByItself, FlowsBack, HandRelease, LeafPair
from farpress.domain.kinds import DeviceKind, device_kind
from farpress.domain.left_sheets import LeftAlone
from farpress.domain.place_sheets import AlsoWorked, Doorway, Noise, RoomAir, Slope
from farpress.domain.quantity import (
    Amperes,
    Angle,
    Force,
    Height,
    Henries,
    Metres,
    Model,
    Ohms,
    Seconds,
    Share,
    SmallAmperes,
    Speed,
    Volts,
    Watts,
)
from farpress.domain.receiver_sheets import Grade, Rectifier

__all__ = [
    "DeviceInput",
    "DeviceSheet",
    "Loop",
    "LoopBand",
    "PanelInput",
    "PanelOutput",
    "PanelSheet",
    "SafeguardReading",
    "WindSensor",
]


class LoopBand(Model):
    """Ohms between which a panel takes a zone for one state; between the bands it reads a fault."""

    reads: Literal["short", "normal", "alarm", "masked", "open"] = Field(
        description="what the panel takes it for"
    )
    from_ohm: Ohms = Field(0.0, description="lower end; absent: from nothing on")
    to_ohm: Ohms | None = Field(None, description="upper end; absent: whatever is more")


class Loop(Model):
    """A supervised loop as the panel sees it."""

    scheme: Literal[
        "closed", "open", "single end-of-line", "double end-of-line", "two-resistor", "masked"
    ] = Field(description="how the loop is supervised")
    normal_ohm: Ohms | None = Field(None, description="resistor seen at rest")
    alarm_ohm: Ohms | None = Field(None, description="resistor added (or switched in) by the contact")
    mask_ohm: Ohms | None = Field(None, description="resistor that a masked detector switches in")
    tolerance_share: Share | None = Field(None, description="of the resistors")
    window_share: Share | None = Field(None, description="half width of each band around its nominal value")
    pull_up_ohm: Ohms | None = Field(None, description="resistor in the panel from its supply to the loop")
    supply_v: Volts | None = Field(None, description="voltage that the panel puts on the loop, open")
    bands: tuple[LoopBand, ...] | None = Field(
        None, description="published bands of the panel; they win over 'window' and 'pull_up'"
    )


class DeviceInput(Model):
    """One command input of a driven device."""

    logic: (
        Literal[
            "start",
            "open only",
            "partial open",
            "close",
            "stop",
            "up",
            "down",
            "on",
            "safety",
            "release",
            "set",
            "unset",
        ]
        | None
    ) = Field(None, description="what a command at this input does")
    wants: Literal["pulse", "maintained", "either"] | None = Field(
        None, description="a pulse, or a contact that stays closed as long as it shall work"
    )
    closes_by_second_press: bool | None = Field(
        None, description="step-by-step: the next press stops or reverses"
    )
    min_pulse_s: Seconds | None = Field(None, description="shortest pulse it surely takes")
    max_pulse_s: Seconds | None = Field(None, description="longest pulse it takes as one command")
    longer: str | None = Field(
        None,
        description="what it does at a command longer than that, in words, as 'stays open until the next'",
    )
    voltage_v: Volts | None = Field(None, description="across the open contact")
    current_a: Amperes | None = Field(None, description="through the closed contact")
    lockout_s: Seconds | None = Field(
        None, description="after a command, during which it takes no further one"
    )
    opened: Literal["stays", "stops", "goes back"] | None = Field(
        None,
        description="of a contact that is held closed: what happens when it opens, by itself too; it stays"
        " as it"
        " is, stops where it is, or goes back, as a bollard rises and a signal ends",
    )


class PanelInput(DeviceInput):
    """One input of an alarm panel."""

    reads: (
        Literal[
            "toggling pulse",
            "set pulse",
            "part set pulse",
            "unset pulse",
            "clear pulse",
            "entry pulse",
            "level",
            "zone",
            "tamper",
        ]
        | None
    ) = Field(None, description="what the panel takes from this input")
    with_code: bool | None = Field(
        None,
        description="of an input that unsets: the panel unsets only when a code is keyed in as well, tried",
    )
    response_s: Seconds | None = Field(
        None, description="how long the input must stay changed before it counts"
    )
    loop: Loop | None = Field(None, description="how it is supervised")


class PanelOutput(Model):
    """One output of an alarm panel."""

    says: str | None = Field(None, description="what it signals, in words")
    form: Literal["relay", "open collector"] | None = Field(
        None, description="relay contact, or a transistor to 0 V"
    )
    pulse_s: Seconds | None = Field(
        None, description="length of one of its pulses, where it gives short ones; absent: it stays on"
    )
    current_max_a: Amperes | None = Field(None, description="most current it may carry")
    saturation_v: Volts | None = Field(None, description="left across a transistor output that is on")


class SafeguardReading(Model):
    """A safeguard as read with a meter on site, and what a sound one reads by its sheet."""

    of: Literal["beams", "edge", "force limit", "loop", "presence"] = Field(description="which safeguard")
    at_rest_ohm: Ohms | None = Field(None, description="with nobody at it")
    pressed_ohm: Ohms | None = Field(None, description="of an edge while it is pressed by hand, all along")
    sound_from_ohm: Ohms | None = Field(None, description="a sound one at rest reads no less")
    sound_to_ohm: Ohms | None = Field(None, description="a sound one at rest reads no more")
    pressed_to_ohm: Ohms | None = Field(None, description="a sound edge reads no more while it is pressed")


class WindSensor(Model):
    """A wind sensor as set and as tried: where it stands, and what it does when it is lost."""

    set_to_m_per_s: Speed | None = Field(None, description="takes in at this wind, as it reads it")
    bears_m_per_s: Speed | None = Field(
        None, description="wind that the thing stands while it is out; absent: what it is set to"
    )
    read_m_per_s: Speed | None = Field(None, description="what it read on site, in some wind")
    in_the_open_m_per_s: Speed | None = Field(
        None, description="a hand instrument at the same minute in the open, as over the ridge"
    )
    line_open: Literal["taken in", "left out"] | None = Field(
        None, description="what happens while its line is open, tried by taking one core off"
    )


class DeviceSheet(Model):
    """A driven device: what it is, what it draws, what its inputs want."""

    device: (
        Literal[
            "sliding gate",
            "swing gate",
            "wicket",
            "door",
            "garage door",
            "barrier",
            "bollard",
            "lifting gate",
            "grille",
            "shutter",
            "window",
            "curtain",
            "screen",
            "awning",
            "strike",
            "magnetic lock",
            "hold-open magnet",
            "valve",
            "sluice",
            "contactor",
            "lamp",
            "traffic light",
            "sounder",
            "call",
            "pump",
            "motor",
            "machine",
            "heater",
            "energiser",
            "winch",
            "platform",
            "fan",
            "pool cover",
            "other",
        ]
        | None
    ) = Field(None, description="what it is")
    supply: Literal["dc", "ac", "dc or ac", "mains", "potential-free"] | None = Field(
        None, description="what it runs on; potential-free: it has its own supply and wants only a contact"
    )
    voltage_v: Volts | None = Field(None, description="rated voltage")
    voltage_min_v: Volts | None = Field(None, description="lowest voltage at which it works")
    voltage_max_v: Volts | None = Field(None, description="highest voltage it bears")
    current_a: Amperes | None = Field(None, description="steady, of one piece")
    power_w: Watts | None = Field(None, description="drawn while it works, of one piece")
    peak_a: Amperes | None = Field(None, description="inrush peak of one piece")
    peak_s: Seconds | None = Field(
        None, alias="peak_time", description="how long the inrush lasts, to half its peak"
    )
    pieces: Annotated[int, Field(ge=1, le=10_000)] | None = Field(
        None, description="how many of them one contact switches"
    )
    power_factor: Annotated[float, Field(gt=0, le=1)] | None = Field(
        None, description="on alternating current, of the steady state; a number without unit"
    )
    peak_max_v: Volts | None = Field(
        None, description="highest instantaneous voltage it stands, fed with alternating current"
    )
    rectifies: Rectifier | None = Field(None, description="how it makes direct current of its supply")
    load: (
        Literal[
            "resistive",
            "inductive dc",
            "coil ac",
            "lamp",
            "led",
            "motor",
            "capacitive",
            "input",
            "constant power",
        ]
        | None
    ) = Field(None, description="how it loads the contact")
    coil_h: Henries | None = Field(None, description="inductance of its coil")
    coil_ohm: Ohms | None = Field(
        None, alias="coil_resistance", description="of its coil, read with a meter, of one piece"
    )
    travel_s: Seconds | None = Field(None, description="from shut to open, or from down to up")
    travel_worst_s: Seconds | None = Field(None, description="in frost, with a tired drive")
    travel_back_s: Seconds | None = Field(None, description="closing, or down, where it differs from travel")
    partial_opening_share: Share | None = Field(
        None,
        description="of the travel, at a partial opening; absent: half is taken, or what partial_travel says",
    )
    partial_travel_s: Seconds | None = Field(
        None, description="time of a partial opening from closed, instead of a share"
    )
    speed_m_per_s: Speed | None = Field(None, description="of its moving leaf")
    leaf_m: Height | None = Field(
        None,
        description=(
            "from hinge to tip, or the way of its edge: width of a sliding gate, height of a roller door"
        ),
    )
    way_m: Metres | None = Field(
        None, description="of a winch, hoist or platform: way of its load from end to end"
    )
    edge_height_m: Metres | None = Field(
        None, description="of its closing edge at its lowest, over where people stand: floor, gallery, ground"
    )
    angle_deg: Angle | None = Field(None, description="through which a leaf on hinges turns")
    stops_after_s: Seconds | None = Field(None, description="from losing the command to standing still")
    closes_after_s: Seconds | None = Field(
        None, description="timed closing; absent: does not close by itself"
    )
    closes_after_power_return: bool | None = Field(
        None, description="timed closing goes on by itself once the power is back"
    )
    reversal_pause_s: Seconds | None = Field(
        None, description="standing still that it needs between two directions"
    )
    glows_from_a: SmallAmperes | None = Field(
        None, description="of a lamp: the least current at which it is seen to glow"
    )
    pushes_after_s: Seconds | None = Field(
        None, description="of a drive: from its command until it begins to push the leaf"
    )
    lock_free_before_s: Seconds | None = Field(
        None,
        description=(
            "of a drive with a lock on its leaf: the lock must be free for so long before it begins to push"
        ),
    )
    longest_run_s: Seconds | None = Field(
        None, description="it may run without a pause, or before its motor protection stops it"
    )
    cools_s: Seconds | None = Field(
        None, description="standing still that a motor needs after its longest run before it may run so again"
    )
    current_rest_a: Amperes | None = Field(None, description="of a device that is fed and waits")
    pull_in_a: Amperes | None = Field(
        None,
        description="of a valve, lock or contactor while it pulls in, of a motor while it"
        " starts, of one piece",
    )
    fails: Literal["locked", "unlocked"] | None = Field(
        None, description="of a lock: its state without power"
    )
    escape_route: bool | None = Field(None, description="people must get out through it")
    opens_by_hand: bool | None = Field(None, description="from inside, without fob, key or power")
    safeguards: tuple[Literal["beams", "edge", "force limit", "loop", "presence"], ...] | None = Field(
        None, description="what keeps it from hurting somebody, as found on site"
    )
    wind_sensor: bool | None = Field(
        None, description="of what a gust can tear off: a sensor takes it in by itself, whatever a fob says"
    )
    wind: WindSensor | None = Field(None, description="that sensor, as set and as tried")
    safeguard_readings: tuple[SafeguardReading, ...] | None = Field(
        None, description="safeguards read with a meter; one that reads wrong counts for nothing"
    )
    insulation_ohm: Ohms | None = Field(
        None, description="least of its mains parts to earth, measured by the electrician"
    )
    isolator: Literal["lockable", "not lockable", "none"] | None = Field(
        None, description="switch at the place of work that takes its power away, as found on site"
    )
    harmless: bool | None = Field(
        None,
        description="of another kind of thing, or of what a contactor feeds: nobody at it can be hurt when it"
        " starts unseen",
    )
    safeguards_tested: bool | None = Field(None, description="they were tried by hand on site and worked")
    people_pass: bool | None = Field(
        None,
        description="of a barrier or bollard: people on foot, bicycles, masts or tow bars come under it as"
        " well, which a loop does not notice; of an awning: people walk under it",
    )
    defects: tuple[str, ...] | None = Field(
        None,
        description="what is missing, broken or altered on it, as found on site, in words: a guard that is"
        " gone, a worn rope",
    )
    examined: str | None = Field(
        None, description="day, month or year of the last thorough examination by a competent person; 'never'"
    )
    examined_every_s: Seconds | None = Field(
        None, description="how often that has to be by its papers; absent: 365 days, 183 for a platform"
    )
    carries: Literal["water", "gas", "choking gas", "steam", "air", "oil", "something else"] | None = Field(
        None,
        description="of a valve: what flows through it; choking gas: carbon dioxide, nitrogen and others that"
        " take the breath and do not burn",
    )
    by_itself: dict[str, ByItself] | None = Field(
        None,
        description="storm, rain, heat, frost, smoke … → what it must do then without anybody's press; {}"
        " where it was asked and there is nothing",
    )
    when_dry: Literal["stops", "cannot be", "runs on"] | None = Field(
        None, description="of a pump: what it does by itself when no water comes to it"
    )
    when_shut: Literal["stops", "cannot be", "runs on"] | None = Field(
        None, description="of a pump: what it does by itself when nothing behind it is open"
    )
    feeds: Literal["pump", "machine", "heater", "fan", "winch", "motor", "energiser", "lamp"] | None = Field(
        None, description="of a contactor: what hangs on it"
    )
    flows_back: FlowsBack | None = Field(
        None, description="of what is fed with water, doses into it or fills something with it"
    )
    own_radio: Literal["none", "off", "on"] | None = Field(
        None,
        description="a radio receiver of its own in the drive, with fobs of its own: none, out of service and"
        " erased, or working",
    )
    beams_at_m: tuple[Metres, ...] | None = Field(
        None, description="of a leaf with beams: how high each of them is over the ground, as [0.3 m, 0.7 m]"
    )
    two_leaves: LeafPair | None = Field(
        None, description="of a gate or door with two leaves that overlap: which goes first, and the delay"
    )
    hand_release: HandRelease | None = Field(
        None, description="of a leaf with a drive: how it is let go by hand without power"
    )
    doorway: Doorway | None = Field(
        None, description="of a leaf that opens overhead: what it leaves free, and a small door in it"
    )
    slope: Slope | None = Field(None, description="of a leaf that rolls: the slope it runs on")
    air: RoomAir | None = Field(None, description="of a fan: the air it moves")
    noise: Noise | None = Field(None, description="how loud it is where people sleep")
    also_worked_by: dict[str, AlsoWorked] | None = Field(
        None,
        description="what works it besides fobs: pager, clock, loop, detector …; {} where it was asked and"
        " there is nothing",
    )
    falls_on: Literal["own ground", "a way"] | None = Field(
        None,
        description="of water that is sprayed: where it falls at the farthest, in wind too; a way is one that"
        " others walk, ride or drive on",
    )
    comes_up_s: Seconds | None = Field(
        None, alias="comes_up", description="of a discharge lamp: from switching on until it is bright"
    )
    relights_s: Seconds | None = Field(
        None, alias="relights", description="of a discharge lamp that was warm: until it lights again"
    )
    shows: Literal["go", "stop"] | None = Field(
        None, description="of a light for drivers: what it tells them while it is lit"
    )
    released_by: tuple[Literal["fire alarm", "break glass", "handle"], ...] | None = Field(
        None,
        description="of a lock or a hold-open magnet: what cuts its current or opens it by wire or by hand,"
        " before any contact of a receiver",
    )
    must_stay_on: str | None = Field(
        None,
        description="what must never be without its power, in words: bilge pumps, a freezer, the only light"
        " of a crowd; 'nothing' where it was asked and may be off",
    )
    left_alone: LeftAlone | None = Field(
        None, description="what comes of it when a press, a power cut or a lost relay leaves it off, or open"
    )
    lights_m: Metres | None = Field(
        None, description="of a light: the way that is walked in its light after one press, to the last step"
    )
    recloses: bool | None = Field(
        None,
        description="what protects people at it (a residual current device, a fuse of its own) switches on"
        " again by itself after it tripped",
    )
    position_told: Literal["in sight", "read back", "nothing"] | None = Field(
        None,
        description="of what is moved by steps: how whoever presses knows how far it is: seen from where is"
        " pressed, read back there by wire, or not at all",
    )
    fire_access: bool | None = Field(None, description="a fire engine or an ambulance must get past it")
    fire_opens_by: tuple[Literal["fire alarm", "their own key", "by hand from outside"], ...] | None = Field(
        None, description="what opens it for them at any hour, without waiting for somebody; [] for nothing"
    )
    contactor_make_a: Amperes | None = Field(
        None,
        alias="contactor_make",
        description="peak that a contactor may make which is there already for it, as its label says",
    )
    motors: Annotated[int, Field(ge=1, le=20)] | None = Field(None, description="motors on one contact")
    separation_relay: bool | None = Field(
        None, description="each motor has its own contact, so that none feeds the other"
    )
    reverses: Literal["windings", "polarity"] | None = Field(
        None,
        description="how a motor is told its direction: a winding for each and a common wire, or by the volts"
        " on its two cores changed over",
    )
    interlocked: bool | None = Field(
        None,
        description="the drive itself keeps its two directions apart; two contactors of its own do not by"
        " that alone",
    )
    interlocked_by: tuple[Literal["contacts", "mechanics"], ...] | None = Field(
        None,
        description="of what can hurt: how its two directions are kept apart, seen in its plan and tried: the"
        " break contact of each in the other's coil, a bar between the two contactors",
    )
    force_n: Force | None = Field(None, description="measured at the closing edge, by the licensed person")
    inputs: dict[str, DeviceInput] | None = Field(
        None, description="name of an input → what it does and wants"
    )

    @property
    def traits(self) -> DeviceKind:
        """What its kind means; no trait where its kind is not said."""
        return device_kind(self.device)


class PanelSheet(Model):
    """An alarm panel."""

    grade: Grade | None = Field(None, description="of the panel, as its maker declares it")
    entry_s: Seconds | None = Field(None, description="from opening the way in while set to the alarm")
    exit_s: Seconds | None = Field(None, description="from being told to set to being set")
    detectors: Literal["entry route only", "entry route and others", "no entry route"] | None = Field(
        None,
        description=(
            "where its detectors are: on the way in, which begins the entry time, or elsewhere, which raises"
            " the alarm at once; absent: entry route and others"
        ),
    )
    inputs: dict[str, PanelInput] | None = Field(
        None, description="name of an input → what it reads and how it is supervised"
    )
    outputs: dict[str, PanelOutput] | None = Field(None, description="name of an output → what it is")
    voltage_v: Volts | None = Field(None, description="rated voltage of what feeds it")
    current_a: Amperes | None = Field(
        None, description="drawn from its supply at rest; 0 mA where it stands in the supply's other_load"
    )
    keypad: bool | None = Field(None, description="it can also be set and unset at a keypad")
    zone_loop: Loop | None = Field(
        None, description="how its zones are supervised, where a zone does not say"
    )
    lockout_all_s: Seconds | None = Field(
        None, description="after a command at one of its inputs: how long it takes none at any other of them"
    )
    full_from_part: bool | None = Field(
        None, description="it takes a full set while it is part set, with people inside"
    )
    aux_max_a: Amperes | None = Field(
        None, description="most current of its auxiliary output, which feeds sirens, detectors and lamps"
    )
