"""What a part's data sheet may say: one table of fields for each kind of part.

The same tables read the catalogue, a job's own parts and the values a user overrides in
place. Every field may be absent: what is not known is a finding, never a guess.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Annotated, Generic, Literal, TypeVar

from pydantic import Field

from farpress.domain.quantity import (
    AmpereHours,
    Amperes,
    Area,
    Bandwidth,
    Dbm,
    Decibels,
    DecibelsIsotropic,
    Farads,
    Force,
    Henries,
    Hertz,
    LossPerLength,
    Metres,
    Model,
    Ohms,
    OhmsPerKilometre,
    Seconds,
    Share,
    SmallAmperes,
    Speed,
    Temperature,
    VoltAmperes,
    Volts,
    Watts,
)
from farpress.sources import Citation, Mark

__all__ = [
    "PART_KINDS",
    "AerialSheet",
    "BatterySheet",
    "CableSheet",
    "CellSheet",
    "CoaxSheet",
    "DeviceInput",
    "DeviceSheet",
    "FobSheet",
    "Loop",
    "PanelInput",
    "PanelOutput",
    "PanelSheet",
    "Part",
    "ReceiverSheet",
    "RelaySheet",
    "SupplySheet",
]

Current = Literal["dc", "ac", "dc or ac"]
Rectifier = Literal["bridge", "half-wave", "none"]
Grade = Annotated[int, Field(ge=1, le=4)]
Count = Annotated[int, Field(ge=0, le=1_000_000)]
Pulses = Annotated[int, Field(ge=1, le=9)]


class ReceiverSheet(Model):
    """A receiver: radio side, memory, supply side, output contacts."""

    relays: Annotated[int, Field(ge=1, le=16)] | None = Field(None, description="number of relay outputs")
    aerial: Literal["inside", "connector"] | None = None
    gain_dbi: DecibelsIsotropic | None = Field(None, description="of the aerial inside, in a plastic housing")
    sensitivity_dbm: Dbm | None = None
    noise_figure_db: Decibels | None = None
    bandwidth_hz: Bandwidth | None = None
    dropout_s: Seconds | None = Field(None, description="without a telegram until the press counts as ended")
    telegrams_needed: Annotated[int, Field(ge=1, le=8)] | None = None
    window_single: Count | None = Field(
        None, description="presses a fob may be ahead and still be accepted at once"
    )
    window_double: Count | None = Field(None, description="presses ahead with two presses in a row accepted")
    capacity: Count | None = None
    capacity_counts: Literal["fobs", "buttons"] | None = None
    deletes_by: Literal["slot", "fob in hand", "slot or fob"] | None = None
    supply: Current | None = None
    voltage_min_v: Volts | None = None
    voltage_max_v: Volts | None = None
    peak_max_v: Volts | None = Field(
        None,
        description=(
            "highest instantaneous voltage it stands at its supply terminals, fed with alternating current"
        ),
    )
    rectifies: Rectifier | None = Field(None, description="how it makes direct current of its supply")
    input_voltage_v: Volts | None = Field(None, description="of a status input, open")
    input_current_a: SmallAmperes | None = Field(None, description="of a status input, closed to 0 V")
    input_low_v: Volts | None = Field(
        None, description="highest voltage that a status input still takes for closed"
    )
    current_idle_a: SmallAmperes | None = None
    current_per_relay_a: SmallAmperes | None = None
    contact_form: Literal["changeover", "normally open", "normally closed"] | None = None
    output_form: Literal["relay", "open collector"] | None = Field(None, description="absent: relays")
    saturation_v: Volts | None = Field(None, description="left across a transistor output that is on")
    contact_rated_a: Amperes | None = Field(None, description="resistive, continuous")
    contact_rated_v: Volts | None = Field(None, alias="contact_rated_voltage")
    contact_make_a: Amperes | None = Field(
        None, description="peak the contact may make; without it 10 x rated is refused as unknown"
    )
    contact_min_a: SmallAmperes | None = None
    contact_min_v: Volts | None = Field(None, alias="contact_min_voltage")
    contact_life: Count | None = Field(None, description="operations at the rated load")
    mains_rated: bool | None = None
    pulse_min_s: Seconds | None = None
    pulse_max_s: Seconds | None = None
    toggle_after_power_return: Literal["off", "as before", "unknown"] | None = Field(
        None, description="of an output that keeps a state: toggle or latch"
    )
    acknowledge_within_s: Seconds | None = Field(
        None, description="a status change later than this after a press is not acknowledged"
    )
    acknowledge_pulses: tuple[Pulses, Pulses, Pulses] | None = Field(
        None, description="pulses for set, unset, unset with an alarm cleared; absent: 1, 2, 4 are taken"
    )
    tamper_contact: Literal["normally closed", "normally open", "none"] | None = Field(
        None, description="of the housing"
    )
    grade: Grade | None = Field(
        None, description="that its maker declares for it as a part of an alarm system"
    )


class FobSheet(Model):
    """A key fob."""

    buttons: Annotated[int, Field(ge=1, le=16)] | None = None
    frequency_hz: Hertz | None = None
    erp_dbm: Dbm | None = Field(None, description="effective radiated power in the hand")
    erp_sd_db: Decibels | None = Field(None, description="spread from fob to fob and hand to hand")
    pocket_loss_db: Decibels | None = None
    car_loss_db: Decibels | None = None
    telegram_s: Seconds | None = None
    repeat_s: Seconds | None = None
    cut_off_s: Seconds | None = Field(None, description="a held press ends by itself after this time")
    current_send_a: SmallAmperes | None = None
    current_sleep_a: SmallAmperes | None = None
    cell: str | None = None
    low_cell_v: Volts | None = None
    code: Literal["rolling", "fixed"] | None = None
    counter: Literal["one per fob", "one per button"] | None = None
    grade: Grade | None = Field(
        None, description="that its maker declares for it as a part of an alarm system"
    )


class CellSheet(Model):
    """A fob's cell."""

    voltage_v: Volts | None = None
    end_v: Volts | None = None
    capacity_ah: AmpereHours | None = None
    usable_share: Share | None = None
    self_discharge_share: Share | None = Field(None, description="per year")
    shelf_s: Seconds | None = None
    inner_ohm: Ohms | None = None


class SupplySheet(Model):
    """A power supply or transformer."""

    supply: Literal["dc", "ac"] | None = None
    voltage_v: Volts | None = None
    voltage_min_v: Volts | None = None
    voltage_max_v: Volts | None = None
    rated_a: Amperes | None = None
    rated_va: VoltAmperes | None = Field(
        None, alias="rated_power", description="apparent power of a transformer"
    )
    source_ohm: Ohms | None = Field(None, alias="source_resistance")
    charge_a: Amperes | None = None
    fuse_a: Amperes | None = None


class BatterySheet(Model):
    """A standby battery."""

    capacity_ah: AmpereHours | None = None
    voltage_v: Volts | None = None
    end_v: Volts | None = None
    usable_share: Share | None = Field(
        None, description="of the rated capacity; age, discharge rate and cold are already in it"
    )
    inner_ohm: Ohms | None = None
    coldest_degc: Temperature | None = Field(
        None, description="where it stands in winter; counts where no usable share is given"
    )


class CableSheet(Model):
    """A cable: cores of copper unless said otherwise."""

    area_mm2: Area | None = None
    diameter_m: Metres | None = Field(None, description="of a solid core; instead of the area")
    cores: Annotated[int, Field(ge=1, le=200)] | None = None
    parallel: Annotated[int, Field(ge=1, le=20)] | None = Field(
        None, description="cores joined for each conductor"
    )
    resistance_ohm_per_km: OhmsPerKilometre | None = Field(None, description="maximum of one core at 20 degC")
    material: Literal["copper", "copper-clad aluminium"] | None = None
    rated_a: Amperes | None = Field(None, description="of one core")
    mains_rated: bool | None = Field(None, description="its insulation and sheath are made for mains voltage")
    capacitance_f: Farads | None = Field(None, description="between two cores, per metre")


class CoaxSheet(Model):
    """A coaxial cable between aerial and receiver."""

    loss_db_per_100m: LossPerLength | None = None
    connectors_db: Decibels | None = Field(None, description="of one pair of connectors")


class AerialSheet(Model):
    """An aerial outside the receiver."""

    gain_dbi: DecibelsIsotropic | None = None
    polarisation: Literal["vertical", "horizontal"] | None = None


class RelaySheet(Model):
    """An interposing relay, a contactor or an inrush limiter."""

    coil_v: Volts | None = Field(None, alias="coil_voltage")
    coil_min_v: Volts | None = Field(None, alias="coil_min_voltage", description="at which it still pulls in")
    coil_a: Amperes | None = Field(None, alias="coil_current")
    coil_supply: Current | None = None
    coil_inrush_a: Amperes | None = None
    contact_rated_a: Amperes | None = None
    contact_rated_v: Volts | None = Field(None, alias="contact_rated_voltage")
    contact_make_a: Amperes | None = None
    contact_min_a: SmallAmperes | None = None
    mains_rated: bool | None = None
    interlocked: bool | None = None
    contact_life: Count | None = Field(None, description="operations at the rated load")


class Loop(Model):
    """A supervised loop as the panel sees it."""

    scheme: Literal["closed", "open", "single end-of-line", "double end-of-line", "two-resistor", "masked"]
    normal_ohm: Ohms | None = Field(None, description="resistor seen at rest")
    alarm_ohm: Ohms | None = Field(None, description="resistor added (or switched in) by the contact")
    mask_ohm: Ohms | None = None
    tolerance_share: Share | None = Field(None, description="of the resistors")
    window_share: Share | None = Field(None, description="half width of each band around its nominal value")
    pull_up_ohm: Ohms | None = None
    supply_v: Volts | None = None


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
    ) = None
    wants: Literal["pulse", "maintained", "either"] | None = None
    closes_by_second_press: bool | None = Field(
        None, description="step-by-step: the next press stops or reverses"
    )
    min_pulse_s: Seconds | None = None
    max_pulse_s: Seconds | None = None
    voltage_v: Volts | None = None
    current_a: Amperes | None = None
    lockout_s: Seconds | None = None


class PanelInput(DeviceInput):
    """One input of an alarm panel."""

    reads: Literal["toggling pulse", "set pulse", "unset pulse", "level", "zone", "tamper"] | None = None
    response_s: Seconds | None = None
    loop: Loop | None = None


class PanelOutput(Model):
    """One output of an alarm panel."""

    says: str | None = None
    form: Literal["relay", "open collector"] | None = None
    current_max_a: Amperes | None = None
    saturation_v: Volts | None = None


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
            "grille",
            "shutter",
            "window",
            "curtain",
            "screen",
            "strike",
            "magnetic lock",
            "valve",
            "contactor",
            "lamp",
            "sounder",
            "call",
        ]
        | None
    ) = None
    supply: Literal["dc", "ac", "dc or ac", "mains", "potential-free"] | None = None
    voltage_v: Volts | None = None
    voltage_min_v: Volts | None = None
    voltage_max_v: Volts | None = None
    current_a: Amperes | None = Field(None, description="steady, of one piece")
    power_w: Watts | None = None
    peak_a: Amperes | None = Field(None, description="inrush peak of one piece")
    peak_s: Seconds | None = Field(
        None, alias="peak_time", description="how long the inrush lasts, to half its peak"
    )
    pieces: Annotated[int, Field(ge=1, le=10_000)] | None = None
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
    ) = None
    coil_h: Henries | None = None
    travel_s: Seconds | None = None
    travel_worst_s: Seconds | None = Field(None, description="in frost, with a tired drive")
    travel_back_s: Seconds | None = Field(None, description="closing, or down, where it differs from travel")
    partial_opening_share: Share | None = Field(
        None,
        description="of the travel, at a partial opening; absent: half is taken, or what partial_travel says",
    )
    partial_travel_s: Seconds | None = Field(
        None, description="time of a partial opening from closed, instead of a share"
    )
    speed_m_per_s: Speed | None = None
    stops_after_s: Seconds | None = Field(None, description="from losing the command to standing still")
    closes_after_s: Seconds | None = Field(
        None, description="timed closing; absent: does not close by itself"
    )
    closes_after_power_return: bool | None = Field(
        None, description="timed closing goes on by itself once the power is back"
    )
    reversal_pause_s: Seconds | None = None
    longest_run_s: Seconds | None = None
    current_rest_a: Amperes | None = Field(None, description="of a device that is fed and waits")
    fails: Literal["locked", "unlocked"] | None = None
    escape_route: bool | None = None
    opens_by_hand: bool | None = Field(None, description="from inside, without fob, key or power")
    safeguards: tuple[Literal["beams", "edge", "force limit", "loop", "presence"], ...] | None = None
    safeguards_tested: bool | None = None
    motors: Annotated[int, Field(ge=1, le=20)] | None = None
    separation_relay: bool | None = None
    interlocked: bool | None = None
    force_n: Force | None = None
    ambient_degc: Temperature | None = None
    inputs: dict[str, DeviceInput] | None = None


class PanelSheet(Model):
    """An alarm panel."""

    grade: Grade | None = None
    entry_s: Seconds | None = Field(None, description="from opening the way in while set to the alarm")
    exit_s: Seconds | None = Field(None, description="from being told to set to being set")
    detectors: Literal["entry route only", "entry route and others", "no entry route"] | None = Field(
        None,
        description=(
            "where its detectors are: on the way in, which begins the entry time, or elsewhere, which raises"
            " the alarm at once; absent: entry route and others"
        ),
    )
    inputs: dict[str, PanelInput] | None = None
    outputs: dict[str, PanelOutput] | None = None
    current_a: Amperes | None = None
    keypad: bool | None = None


PART_KINDS: dict[str, type[Model]] = {
    "receiver": ReceiverSheet,
    "fob": FobSheet,
    "cell": CellSheet,
    "supply": SupplySheet,
    "battery": BatterySheet,
    "cable": CableSheet,
    "coax": CoaxSheet,
    "aerial": AerialSheet,
    "relay": RelaySheet,
    "device": DeviceSheet,
    "panel": PanelSheet,
}
"""Kind of part, as written in the catalogue and in a job's own parts → its table."""

_S = TypeVar("_S", bound=Model)


@dataclass(frozen=True)
class Part(Generic[_S]):
    """A part with everything filled in that is known, and where each value comes from.

    Attributes:
        name: name of the part in the catalogue or the job; empty when described in place.
        says: what it is, in words.
        sheet: the values.
        origins: field name → source. Every field that is not None has one. A value inside
            an input or output has its own, with dots: "inputs.start.min_pulse_s"; "inputs"
            and "inputs.start" then name the source of the first value within.
    """

    name: str
    says: str
    sheet: _S
    origins: Mapping[str, Citation] = field(default_factory=dict)

    def cite(self, *fields: str) -> tuple[Citation, ...]:
        """Sources of the named fields that are known, each once, in this order."""
        return tuple(dict.fromkeys(self.origins[name] for name in fields if name in self.origins))


NOT_GIVEN = Citation("not given", mark=Mark.GIVEN)
"""Stands where a user gave a value without naming its source."""
