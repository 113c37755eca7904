"""What a part's data sheet may say: one table of fields for each kind of part.

The same tables read the catalogue, a job's own parts and the values a user overrides in
place. Every field may be absent: what is not known is a finding, never a guess.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Generic, TypeVar

from farpress.domain.device_sheets import DeviceInput, DeviceSheet, Loop, PanelInput, PanelOutput, PanelSheet
from farpress.domain.quantity import Model
from farpress.domain.receiver_sheets import AerialSheet, CellSheet, CoaxSheet, FobSheet, ReceiverSheet
from farpress.domain.supply_sheets import BatterySheet, CableSheet, RelaySheet, SupplySheet
from farpress.sources import Citation

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
