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
        None, description="a part of the catalogue that this one is like, except for the values given"
    )
    says: str = ""
    source: str | None = Field(None, description="where the values stand: data sheet, page, date")


class OwnReceiver(ReceiverSheet, _Own):
    """A receiver with its data sheet's values."""

    kind: Literal["receiver"]


class OwnFob(FobSheet, _Own):
    """A fob with its data sheet's values."""

    kind: Literal["fob"]


class OwnCell(CellSheet, _Own):
    """A cell with its data sheet's values."""

    kind: Literal["cell"]


class OwnSupply(SupplySheet, _Own):
    """A supply with its data sheet's values."""

    kind: Literal["supply"]


class OwnBattery(BatterySheet, _Own):
    """A battery with its data sheet's values."""

    kind: Literal["battery"]


class OwnCable(CableSheet, _Own):
    """A cable with its data sheet's values."""

    kind: Literal["cable"]


class OwnCoax(CoaxSheet, _Own):
    """A coaxial cable with its data sheet's values."""

    kind: Literal["coax"]


class OwnAerial(AerialSheet, _Own):
    """An aerial with its data sheet's values."""

    kind: Literal["aerial"]


class OwnRelay(RelaySheet, _Own):
    """A relay or contactor with its data sheet's values."""

    kind: Literal["relay"]


class OwnDevice(DeviceSheet, _Own):
    """A driven device with its data sheet's values."""

    kind: Literal["device"]


class OwnPanel(PanelSheet, _Own):
    """An alarm panel with its data sheet's values."""

    kind: Literal["panel"]


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
