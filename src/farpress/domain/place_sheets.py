"""What lies around a thing that is worked: its doorway, the slope it runs on, the air it moves, its noise."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from farpress.domain.quantity import CubicMetres, Flow, Force, Metres, Model, Seconds, Share, Volts

__all__ = ["AlsoWorked", "Doorway", "Noise", "RoomAir", "Slope"]


class Doorway(Model):
    """The opening that a leaf going up overhead leaves free, and what drives or walks through it."""

    wicket: Literal["none", "stops the drive", "no contact"] | None = Field(
        None,
        description="a small door in the leaf: none, one with a contact that keeps the drive from starting,"
        " or one without",
    )
    clear_m: Metres | None = Field(None, description="clear height under the leaf when it is fully open")
    tallest_m: Metres | None = Field(
        None, description="height of the tallest that drives through, aerial and load too"
    )
    told_open: Literal["light at the end of travel", "nothing"] | None = Field(
        None,
        description="what tells the driver that it is fully open; seeing the leaf from the cab is nothing",
    )


class Slope(Model):
    """A leaf that rolls, on ground that is not level."""

    climbs_m: Metres | None = Field(
        None, description="what its leaf gains in height on its way, opening or closing; 0 m on level ground"
    )
    leaf_kg: Annotated[float, Field(gt=0, le=20_000)] | None = Field(
        None, description="mass of the leaf in kilograms; a number without unit"
    )
    thrust_n: Force | None = Field(None, description="rated thrust of its drive")
    held_by: Literal["brake", "counterweight", "drive alone", "nothing"] | None = Field(
        None, description="what keeps the leaf from rolling once a hand has let the drive go"
    )


class RoomAir(Model):
    """Air that people breathe and that a fan keeps fit."""

    breathed: bool | None = Field(
        None,
        description="it clears what must not be breathed: exhaust, gas of fermenting, slurry or fire;"
        " false for warmth, damp or smell alone",
    )
    room_m3: CubicMetres | None = Field(None, description="volume of the room")
    moved_m3_per_h: Flow | None = Field(None, description="what the fan moves, as its plate says")
    gas_m3_per_h: Flow | None = Field(None, description="gas that comes into the room, at its worst")
    most_share: Share | None = Field(None, description="of that gas in the air that may be breathed")
    kept_by: Literal["sensor that runs the fan", "sensor that warns outside", "people", "nothing"] | None = (
        Field(None, description="what tells that the air is bad, and acts, before somebody goes in")
    )


class Noise(Model):
    """How loud a thing is where people sleep."""

    loudness: Annotated[float, Field(ge=0, le=200)] | None = Field(
        None, description="level 1 m before it in dB(A); a number without unit"
    )
    bedroom_m: Metres | None = Field(None, description="from it to the nearest bedroom window")
    agreed: str | None = Field(
        None, description="who allowed it to sound there, and at which hours, in words"
    )


class AlsoWorked(Model):
    """Something else than a fob that works it, wired to the same terminals: a pager, a clock, a detector."""

    holds_s: Seconds | None = Field(None, description="how long its contact stays closed at the longest")
    seen: bool | None = Field(
        None, description="whoever makes it work sees the whole movement; false for what acts by itself"
    )
    contact_max_v: Volts | None = Field(None, description="highest voltage that its contact may switch")
