"""What the data sheets between supply and device may say: supply, battery, cable, relay."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from farpress.domain.quantity import (
    AmpereHours,
    Amperes,
    Area,
    Farads,
    Metres,
    Model,
    Ohms,
    OhmsPerKilometre,
    Share,
    SmallAmperes,
    Temperature,
    VoltAmperes,
    Volts,
)
from farpress.domain.receiver_sheets import Current, Life

__all__ = ["BatterySheet", "CableSheet", "RelaySheet", "SupplySheet"]


class SupplySheet(Model):
    """A power supply or transformer."""

    supply: Literal["dc", "ac"] | None = Field(
        None, description="what it gives: direct or alternating current"
    )
    voltage_v: Volts | None = Field(None, description="rated voltage")
    voltage_min_v: Volts | None = Field(
        None, description="lowest voltage it gives, at full load and low mains"
    )
    voltage_max_v: Volts | None = Field(
        None, description="highest voltage it gives, without load and at high mains"
    )
    rated_a: Amperes | None = Field(None, description="continuous current it may give")
    rated_va: VoltAmperes | None = Field(
        None, alias="rated_power", description="apparent power of a transformer"
    )
    source_ohm: Ohms | None = Field(
        None,
        alias="source_resistance",
        description="resistance inside it, of a transformer with its windings",
    )
    charge_a: Amperes | None = Field(None, description="current it keeps for charging its battery")
    fuse_a: Amperes | None = Field(None, description="of the fuse in its output")
    limit_a: Amperes | None = Field(
        None, description="current to which its own electronics hold a short circuit"
    )
    rectifier: Literal["bridge", "half-wave"] | None = Field(
        None, description="of one that makes its direct current of a transformer's ('fed'), unregulated"
    )
    smoothing_f: Farads | None = Field(None, description="capacitor behind its rectifier")
    efficiency_share: Share | None = Field(
        None, description="of one that is fed from another: what it gives over what it takes in"
    )
    input_min_v: Volts | None = Field(
        None, description="of one that is fed from another: the least it works with"
    )
    input_max_v: Volts | None = Field(None, description="of one that is fed from another: the most it stands")
    folds_to_a: Amperes | None = Field(
        None,
        description="current into a short of a supply that folds back; absent: its limit all the way down",
    )


class BatterySheet(Model):
    """A standby battery."""

    chemistry: Literal["lead", "lithium", "other"] | None = Field(
        None, description="what it is made of; cold does otherwise to each, and not each may be charged in it"
    )
    capacity_ah: AmpereHours | None = Field(None, description="rated capacity")
    voltage_v: Volts | None = Field(None, description="rated voltage")
    end_v: Volts | None = Field(None, description="at which it counts as empty and the supply cuts it off")
    usable_share: Share | None = Field(
        None, description="of the rated capacity; age, discharge rate and cold are already in it"
    )
    inner_ohm: Ohms | None = Field(
        None, description="resistance inside it, new and charged; worn and in the cold it has more"
    )
    coldest_degc: Temperature | None = Field(
        None,
        description="where it stands in winter; counts where no usable share is given, and for what may be"
        " charged in the cold",
    )
    charge_from_degc: Temperature | None = Field(
        None, description="coldest at which it may be charged, as its sheet says"
    )


class CableSheet(Model):
    """A cable: cores of copper unless said otherwise."""

    area_mm2: Area | None = Field(None, description="section of one core")
    diameter_m: Metres | None = Field(None, description="of a solid core; instead of the area")
    cores: Annotated[int, Field(ge=1, le=200)] | None = Field(None, description="how many cores it has")
    parallel: Annotated[int, Field(ge=1, le=20)] | None = Field(
        None, description="cores joined for each conductor"
    )
    resistance_ohm_per_km: OhmsPerKilometre | None = Field(None, description="maximum of one core at 20 degC")
    material: Literal["copper", "tinned copper", "copper-clad aluminium"] | None = Field(
        None, description="of its cores; absent: copper"
    )
    rated_a: Amperes | None = Field(None, description="of one core")
    mains_rated: bool | None = Field(None, description="its insulation and sheath are made for mains voltage")
    capacitance_f: Farads | None = Field(None, description="between two cores, per metre")


class RelaySheet(Model):
    """An interposing relay, a contactor or an inrush limiter."""

    coil_v: Volts | None = Field(None, alias="coil_voltage", description="rated voltage of its coil")
    coil_min_v: Volts | None = Field(None, alias="coil_min_voltage", description="at which it still pulls in")
    coil_a: Amperes | None = Field(
        None, alias="coil_current", description="drawn by its coil when it has pulled in"
    )
    coil_supply: Current | None = Field(None, description="what its coil takes")
    coil_inrush_a: Amperes | None = Field(None, description="drawn by its coil while it pulls in")
    contact_rated_a: Amperes | None = Field(None, description="resistive, continuous")
    contact_rated_v: Volts | None = Field(
        None, alias="contact_rated_voltage", description="highest voltage its contacts may switch"
    )
    contact_make_a: Amperes | None = Field(None, description="peak its contacts may make")
    contact_min_a: SmallAmperes | None = Field(
        None, description="least current that keeps its contacts clean"
    )
    contact_min_v: Volts | None = Field(
        None,
        alias="contact_min_voltage",
        description="least voltage that breaks through the film on its contacts",
    )
    mains_rated: bool | None = Field(
        None, description="its contacts and insulation are made for mains voltage"
    )
    interlocked: bool | None = Field(
        None, description="of a pair: mechanically or by its contacts, never both on"
    )
    contact_life: Life | None = Field(None, description="operations at the rated load")
