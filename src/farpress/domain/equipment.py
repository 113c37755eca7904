"""Everything on a job with its data sheet filled in, each value with its source."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from farpress.domain.parts import (
    AerialSheet,
    BatterySheet,
    CableSheet,
    CellSheet,
    CoaxSheet,
    DeviceSheet,
    FobSheet,
    PanelSheet,
    Part,
    ReceiverSheet,
    RelaySheet,
    SupplySheet,
)
from farpress.sources import Citation

__all__ = ["Build", "Equipment", "Layer", "Material"]


@dataclass(frozen=True)
class Material:
    """Electrical constants of a building material: eta = a f^b, sigma = c f^d, f in GHz.

    Attributes:
        name: name in the material table.
        a, b: relative permittivity.
        c, d: conductivity [S/m].
        lowest_ghz, highest_ghz: range of the table row; outside it is extrapolated.
        source: where the row stands.
    """

    name: str
    a: float
    b: float
    c: float
    d: float
    lowest_ghz: float
    highest_ghz: float
    source: Citation

    def is_extrapolated_at(self, frequency_hz: float) -> bool:
        """Whether a frequency [Hz] lies outside the range that the row was made for."""
        return not self.lowest_ghz <= frequency_hz / 1e9 <= self.highest_ghz


@dataclass(frozen=True)
class Layer:
    """One layer of a wall or slab; material "air" is a cavity."""

    material: str
    thickness_m: float


@dataclass(frozen=True)
class Build:
    """How a wall, slab, door or pane is built, and what one crossing costs.

    Attributes:
        name: name used in the job file, as "brick 365 mm".
        says: in words.
        layers: from one face to the other; empty for opaque or unknown builds.
        loss_db, loss_sd_db: planning value of one crossing at 433 MHz and its spread [dB].
        is_steel: opaque metal; the loss is what leaks round it.
        sources: of the planning value.
    """

    name: str
    says: str
    layers: tuple[Layer, ...]
    loss_db: float
    loss_sd_db: float
    is_steel: bool = False
    sources: tuple[Citation, ...] = ()


@dataclass(frozen=True)
class Equipment:
    """Parts of a job, filled in. Keys are "premises/name" unless said otherwise.

    Attributes:
        receivers, devices, panels, supplies: by "premises/name".
        batteries: by "premises/supply"; absent where the supply has none.
        aerials, coaxes: by "premises/receiver"; absent where there is none outside.
        fobs, cells: by group name.
        cables, relays, aerial_parts, coax_parts: by part name.
        builds, materials: by name.
    """

    receivers: Mapping[str, Part[ReceiverSheet]] = field(default_factory=dict)
    devices: Mapping[str, Part[DeviceSheet]] = field(default_factory=dict)
    panels: Mapping[str, Part[PanelSheet]] = field(default_factory=dict)
    supplies: Mapping[str, Part[SupplySheet]] = field(default_factory=dict)
    batteries: Mapping[str, Part[BatterySheet]] = field(default_factory=dict)
    aerials: Mapping[str, Part[AerialSheet]] = field(default_factory=dict)
    coaxes: Mapping[str, Part[CoaxSheet]] = field(default_factory=dict)
    fobs: Mapping[str, Part[FobSheet]] = field(default_factory=dict)
    cells: Mapping[str, Part[CellSheet]] = field(default_factory=dict)
    cables: Mapping[str, Part[CableSheet]] = field(default_factory=dict)
    relays: Mapping[str, Part[RelaySheet]] = field(default_factory=dict)
    aerial_parts: Mapping[str, Part[AerialSheet]] = field(default_factory=dict)
    coax_parts: Mapping[str, Part[CoaxSheet]] = field(default_factory=dict)
    builds: Mapping[str, Build] = field(default_factory=dict)
    materials: Mapping[str, Material] = field(default_factory=dict)
