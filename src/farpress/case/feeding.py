"""What stands behind a feed: a supply, one of its branches, or an output of an alarm panel."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from farpress.case.case import Case
from farpress.domain.parts import DeviceSheet, PanelSheet, Part
from farpress.domain.premises import Fed, Premises
from farpress.domain.refs import DeviceRef, PanelRef, Ref

__all__ = ["AUX", "PanelFeed", "panel_behind", "panel_feeds", "supply_behind"]

AUX: Final = "aux"
"""Name of a panel's auxiliary output: a fused tap of its own supply that is always on."""


def panel_behind(house: Premises, fed: Fed | None) -> tuple[str, str] | None:
    """Panel and output that a feed names, as "alarm.aux"; None where it is fed from a supply."""
    if fed is None:
        return None
    name, _, output = fed.from_.partition(".")
    return (name, output or AUX) if name in house.panels and fed.from_ not in house.supplies else None


def supply_behind(house: Premises, fed: Fed | None) -> str | None:
    """Name of the supply that a feed hangs on in the end; None where nobody says which.

    Of a panel's output that is the supply of the panel, of a branch the supply it belongs to.
    """
    if fed is None or fed.from_ in house.supplies:
        return fed.from_ if fed is not None else None
    panel = panel_behind(house, fed)
    if panel is not None:
        behind = house.panels[panel[0]].fed
        return supply_behind(house, behind) if panel_behind(house, behind) is None else None
    name = fed.from_.partition(".")[0]
    return name if name in house.supplies else None


@dataclass(frozen=True)
class PanelFeed:
    """One device that a panel feeds or switches.

    Attributes:
        premises, panel, output, device: the names; the output as "aux".
        fed: as in the job.
        panel_part, device_part: with their sheets.
    """

    premises: str
    panel: str
    output: str
    device: str
    fed: Fed
    panel_part: Part[PanelSheet]
    device_part: Part[DeviceSheet]

    @property
    def subjects(self) -> tuple[Ref, ...]:
        """The panel first, then what it feeds."""
        return (PanelRef(f"{self.premises}/{self.panel}"), DeviceRef(f"{self.premises}/{self.device}"))


def panel_feeds(case: Case) -> Iterator[PanelFeed]:
    """Every device that a panel feeds, in the order of the job."""
    for premises, house in case.job.premises.items():
        for device, entry in house.devices.items():
            behind = panel_behind(house, entry.fed)
            if behind is None or entry.fed is None:
                continue
            panel, output = behind
            yield PanelFeed(
                premises,
                panel,
                output,
                device,
                entry.fed,
                case.equipment.panels[f"{premises}/{panel}"],
                case.equipment.devices[f"{premises}/{device}"],
            )
