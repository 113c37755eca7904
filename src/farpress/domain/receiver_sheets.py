"""What the data sheets of the radio parts may say: receiver, fob, cell, aerial and its cable."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from farpress.domain.quantity import (
    AmpereHours,
    Amperes,
    Bandwidth,
    Dbm,
    Decibels,
    DecibelsIsotropic,
    Farads,
    Hertz,
    LossPerLength,
    Model,
    Ohms,
    Seconds,
    Share,
    SmallAmperes,
    Volts,
)

__all__ = [
    "AerialSheet",
    "CellSheet",
    "CoaxSheet",
    "Count",
    "Current",
    "FobSheet",
    "Grade",
    "OutputContact",
    "Pulses",
    "ReceiverSheet",
    "Rectifier",
    "SignalSheet",
]

Current = Literal["dc", "ac", "dc or ac"]
Rectifier = Literal["bridge", "half-wave", "none"]
Grade = Annotated[int, Field(ge=1, le=4)]
Count = Annotated[int, Field(ge=0, le=1_000_000)]
Life = Annotated[int, Field(ge=1, le=1_000_000)]
Pulses = Annotated[int, Field(ge=1, le=9)]


class SignalSheet(Model):
    """An output by which a receiver tells something of itself."""

    form: Literal["open collector", "relay"] | None = Field(
        None, description="transistor to its 0 V, or a contact free of potential"
    )
    current_max_a: Amperes | None = Field(None, description="most current it may carry")
    voltage_max_v: Volts | None = Field(None, description="highest voltage it may switch")


class OutputContact(Model):
    """The contact of one output, where it is not as the receiver's others."""

    contact_rated_a: Amperes | None = Field(None, description="resistive, continuous")
    contact_rated_v: Volts | None = Field(
        None, alias="contact_rated_voltage", description="highest voltage it may switch"
    )
    contact_make_a: Amperes | None = Field(None, description="peak it may make")
    contact_min_a: SmallAmperes | None = Field(None, description="least current that keeps it clean")
    contact_min_v: Volts | None = Field(
        None, alias="contact_min_voltage", description="least voltage that keeps it clean"
    )
    contact_life: Life | None = Field(None, description="operations at the rated load")
    mains_rated: bool | None = Field(None, description="it and its terminals are made for mains voltage")


class ReceiverSheet(Model):
    """A receiver: radio side, memory, supply side, output contacts."""

    relays: Annotated[int, Field(ge=1, le=16)] | None = Field(None, description="number of relay outputs")
    aerial: Literal["inside", "connector"] | None = Field(
        None, description="where its aerial is: inside the housing, or at a connector for one outside"
    )
    gain_dbi: DecibelsIsotropic | None = Field(None, description="of the aerial inside, in a plastic housing")
    sensitivity_dbm: Dbm | None = Field(
        None, description="weakest level it still decodes, as its data sheet says"
    )
    noise_figure_db: Decibels | None = Field(
        None, description="noise it adds itself, where no sensitivity is given"
    )
    over_noise_db: Decibels | None = Field(
        None, description="how far over the noise in its bandwidth a press must come in"
    )
    bandwidth_hz: Bandwidth | None = Field(None, description="of its receiving filter")
    dropout_s: Seconds | None = Field(None, description="without a telegram until the press counts as ended")
    telegrams_needed: Annotated[int, Field(ge=1, le=8)] | None = Field(
        None, description="telegrams in a row that must be decoded before it acts"
    )
    window_single: Count | None = Field(
        None, description="presses a fob may be ahead and still be accepted at once"
    )
    window_double: Count | None = Field(None, description="presses ahead with two presses in a row accepted")
    counts_life_signs: bool | None = Field(
        None,
        description=(
            "a fob's life signs move its counter on as presses do, and those not heard bring it out of step"
        ),
    )
    tells_life_signs: bool | None = Field(
        None, description="it tells somebody when the life signs of a fob stay away"
    )
    capacity: Count | None = Field(None, description="how many fobs, or buttons, its memory holds")
    capacity_counts: Literal["fobs", "buttons"] | None = Field(None, description="what its memory counts")
    deletes_by: Literal["slot", "fob in hand", "slot or fob"] | None = Field(
        None, description="how one fob is deleted: by its number in the list, with the fob in hand, or either"
    )
    tells_long: bool | None = Field(
        None,
        description="whether it tells a long press of a button from a short one, each learned on its own",
    )
    supply: Current | None = Field(None, description="kind of supply it takes")
    voltage_min_v: Volts | None = Field(None, description="lowest supply voltage at which it works")
    voltage_max_v: Volts | None = Field(None, description="highest supply voltage it bears")
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
    input_min_s: Seconds | None = Field(None, description="shortest closure that a status input reads")
    current_idle_a: SmallAmperes | None = Field(None, description="drawn with every relay off")
    current_per_relay_a: SmallAmperes | None = Field(
        None, description="drawn in addition by each relay that is on"
    )
    contact_form: Literal["changeover", "normally open", "normally closed"] | None = Field(
        None, description="of each relay output"
    )
    output_form: Literal["relay", "open collector"] | None = Field(None, description="absent: relays")
    saturation_v: Volts | None = Field(None, description="left across a transistor output that is on")
    contact_rated_a: Amperes | None = Field(None, description="resistive, continuous")
    contact_rated_v: Volts | None = Field(
        None, alias="contact_rated_voltage", description="highest voltage its contacts may switch"
    )
    contact_make_a: Amperes | None = Field(
        None, description="peak the contact may make; without it 10 x rated is refused as unknown"
    )
    contact_min_a: SmallAmperes | None = Field(
        None, description="least current that keeps its contacts clean"
    )
    contact_min_v: Volts | None = Field(
        None, alias="contact_min_voltage", description="least voltage that keeps its contacts clean"
    )
    contact_life: Life | None = Field(None, description="operations at the rated load")
    contact_capacitance_f: Farads | None = Field(
        None,
        description="of an RC element built in across each contact, which lets alternating current through"
        " while it is open; 0 nF where there is none",
    )
    mains_rated: bool | None = Field(
        None, description="its contacts and terminals are made for mains voltage"
    )
    contacts: dict[str, OutputContact] | None = Field(
        None,
        description="number of an output → what its contact may, where it is not as the others, as of signal"
        " contacts beside power contacts; what is not given there is as of the others",
    )
    commons: Literal["each its own", "one for all"] | None = Field(
        None, description="common terminals of its contacts"
    )
    contacts_apart: bool | None = Field(
        None,
        description="its contacts are kept apart from each other, and from its supply, as mains from"
        " extra-low voltage",
    )
    pulse_min_s: Seconds | None = Field(None, description="shortest pulse that can be set")
    pulse_max_s: Seconds | None = Field(None, description="longest pulse that can be set")
    delay_max_s: Seconds | None = Field(
        None,
        description="longest time after a press, or after letting go, that an output can be set to; 0 s where"
        " there is no such setting",
    )
    toggle_after_power_return: Literal["off", "as before", "unknown"] | None = Field(
        None, description="of an output that keeps a state: toggle or latch"
    )
    acknowledge_within_s: Seconds | None = Field(
        None, description="a status change later than this after a press is not acknowledged"
    )
    acknowledges_by: Literal["sounder of its own", "output", "nothing"] | None = Field(
        None,
        description="how it tells what its status inputs read: by a sounder or lamp of its own that whoever"
        " presses notices, by its output 'acknowledge', or not at all",
    )
    acknowledge_pulses: tuple[Pulses, Pulses, Pulses] | None = Field(
        None, description="pulses for set, unset, unset with an alarm cleared; absent: 1, 2, 4 are taken"
    )
    low_cell: SignalSheet | None = Field(
        None, description="output that a press with a weak cell switches on and the next good one off"
    )
    acknowledge: SignalSheet | None = Field(
        None, description="output that gives short pulses when the panel's state changes soon after a press"
    )
    tamper_contact: Literal["normally closed", "normally open", "none"] | None = Field(
        None, description="of the housing"
    )
    grade: Grade | None = Field(
        None, description="that its maker declares for it as a part of an alarm system"
    )

    def contact_of(self, number: str) -> OutputContact:
        """What the contact of one output may: its own values, and for the rest those of all."""
        own = (self.contacts or {}).get(number) or OutputContact()
        return OutputContact.model_construct(
            **{
                name: getattr(own if name in own.model_fields_set else self, name)
                for name in OutputContact.model_fields
            }
        )


class FobSheet(Model):
    """A key fob."""

    buttons: Annotated[int, Field(ge=1, le=16)] | None = Field(None, description="how many buttons it has")
    frequency_hz: Hertz | None = Field(None, description="of its carrier")
    erp_dbm: Dbm | None = Field(None, description="effective radiated power in the hand")
    erp_sd_db: Decibels | None = Field(None, description="spread from fob to fob and hand to hand")
    pocket_loss_db: Decibels | None = Field(None, description="lost when it is pressed in a pocket or bag")
    car_loss_db: Decibels | None = Field(None, description="lost when it is pressed inside a car")
    telegram_s: Seconds | None = Field(None, description="how long one telegram lasts")
    repeat_s: Seconds | None = Field(
        None, description="from the beginning of one telegram to the next while the button is held"
    )
    cut_off_s: Seconds | None = Field(None, description="a held press ends by itself after this time")
    life_sign_s: Seconds | None = Field(
        None,
        description=(
            "once in this time it sends a telegram by itself, to show that it lives; 0 s where it sends none"
        ),
    )
    current_send_a: SmallAmperes | None = Field(None, description="drawn from the cell while it sends")
    current_sleep_a: SmallAmperes | None = Field(None, description="drawn from the cell between presses")
    cell: str | None = Field(None, description="its cell: a part of the catalogue")
    low_cell_v: Volts | None = Field(None, description="cell voltage at which it warns or stops")
    code: Literal["rolling", "fixed"] | None = Field(
        None, description="rolling: no telegram is ever valid twice; fixed: always the same"
    )
    codes: Annotated[int, Field(ge=2, le=10**12)] | None = Field(
        None, description="of a fixed code: how many different ones there are; absent: 4096 are taken"
    )
    press_telegrams: Annotated[int, Field(ge=1, le=1000)] | None = Field(
        None, description="telegrams that one short press sends"
    )
    counter: Literal["one per fob", "one per button"] | None = Field(
        None, description="whether all its buttons count together or each for itself"
    )
    grade: Grade | None = Field(
        None, description="that its maker declares for it as a part of an alarm system"
    )


class CellSheet(Model):
    """A fob's cell."""

    voltage_v: Volts | None = Field(None, description="when new, without load")
    end_v: Volts | None = Field(None, description="at which it counts as empty")
    capacity_ah: AmpereHours | None = Field(None, description="rated capacity")
    usable_share: Share | None = Field(None, description="of the rated capacity that the fob can use")
    self_discharge_share: Share | None = Field(None, description="per year")
    shelf_s: Seconds | None = Field(None, description="how long it keeps unused")
    inner_ohm: Ohms | None = Field(None, description="resistance inside it, when new")


class CoaxSheet(Model):
    """A coaxial cable between aerial and receiver."""

    loss_db_per_100m: LossPerLength | None = Field(None, description="at the fob's frequency")
    connectors_db: Decibels | None = Field(None, description="of one pair of connectors")


class AerialSheet(Model):
    """An aerial outside the receiver."""

    gain_dbi: DecibelsIsotropic | None = Field(
        None, description="over an isotropic radiator, in the direction that counts"
    )
    polarisation: Literal["vertical", "horizontal"] | None = Field(None, description="how it is mounted")
    pattern: Literal["rod", "even"] | None = Field(
        None,
        description="rod: whip, dipole or helical, which hears nothing along its own axis; even: alike in all"
        " directions; absent: taken as a rod, and asked",
    )
