"""Parts that a job describes itself, from a data sheet in the fitter's hand."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from farpress.domain.parts import (
    AerialSheet,
    BatterySheet,
    CableSheet,
    CellSheet,
    CoaxSheet,
    DeviceSheet,
    FobSheet,
    PanelSheet,
    ReceiverSheet,
    RelaySheet,
    SupplySheet,
)
from farpress.domain.quantity import Model

__all__ = [
    "OwnAerial",
    "OwnBattery",
    "OwnCable",
    "OwnCell",
    "OwnCoax",
    "OwnDevice",
    "OwnFob",
    "OwnPanel",
    "OwnPart",
    "OwnReceiver",
    "OwnRelay",
    "OwnSupply",
]


class _Own(Model):
    like: str | None = Field(
        None,
        description=(
            "a part of the catalogue or of this job that this one is like, except for the values given"
        ),
    )
    says: str = Field("", description="what it is, in words; stands on the papers")
    source: str | None = Field(None, description="where the values stand: data sheet, page, date")


class OwnReceiver(ReceiverSheet, _Own):
    """A receiver with its data sheet's values."""

    kind: Literal["receiver"] = Field(description="says which table its values belong to")


class OwnFob(FobSheet, _Own):
    """A fob with its data sheet's values."""

    kind: Literal["fob"] = Field(description="says which table its values belong to")


class OwnCell(CellSheet, _Own):
    """A cell with its data sheet's values."""

    kind: Literal["cell"] = Field(description="says which table its values belong to")


class OwnSupply(SupplySheet, _Own):
    """A supply with its data sheet's values."""

    kind: Literal["supply"] = Field(description="says which table its values belong to")


class OwnBattery(BatterySheet, _Own):
    """A battery with its data sheet's values."""

    kind: Literal["battery"] = Field(description="says which table its values belong to")


class OwnCable(CableSheet, _Own):
    """A cable with its data sheet's values."""

    kind: Literal["cable"] = Field(description="says which table its values belong to")


class OwnCoax(CoaxSheet, _Own):
    """A coaxial cable with its data sheet's values."""

    kind: Literal["coax"] = Field(description="says which table its values belong to")


class OwnAerial(AerialSheet, _Own):
    """An aerial with its data sheet's values."""

    kind: Literal["aerial"] = Field(description="says which table its values belong to")


class OwnRelay(RelaySheet, _Own):
    """A relay or contactor with its data sheet's values."""

    kind: Literal["relay"] = Field(description="says which table its values belong to")


class OwnDevice(DeviceSheet, _Own):
    """A driven device with its data sheet's values."""

    kind: Literal["device"] = Field(description="says which table its values belong to")


class OwnPanel(PanelSheet, _Own):
    """An alarm panel with its data sheet's values."""

    kind: Literal["panel"] = Field(description="says which table its values belong to")


OwnPart = Annotated[
    OwnReceiver
    | OwnFob
    | OwnCell
    | OwnSupply
    | OwnBattery
    | OwnCable
    | OwnCoax
    | OwnAerial
    | OwnRelay
    | OwnDevice
    | OwnPanel,
    Field(discriminator="kind"),
]
"""Any part described in a job; `kind` says which table its values belong to."""
