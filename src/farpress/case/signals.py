"""What receivers tell of themselves: a weak cell, and that a panel's state changed after a press."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from farpress.case.case import Case
from farpress.case.supply_ends import device_current_a
from farpress.domain.parts import DeviceSheet, PanelInput, Part, ReceiverSheet
from farpress.domain.premises import ReceiverSignal
from farpress.domain.receiver_sheets import SignalSheet
from farpress.domain.refs import DeviceRef, PanelRef, ReceiverRef, Ref

__all__ = ["SignalAt", "signals_of"]


@dataclass(frozen=True)
class SignalAt:
    """One signal of one receiver: of its part, of the job, or of both.

    Attributes:
        premises, receiver: the names.
        name: "low cell" or "acknowledge".
        part: the receiver with its sheet.
        sheet: its form and rating; None where the part says nothing of it.
        given: where it goes; None where it is not wired.
        device: the lamp or sounder it works; None for a panel, or where it is not wired.
        panel_input: of the panel it works, as far as it is described.
    """

    premises: str
    receiver: str
    name: str
    part: Part[ReceiverSheet]
    sheet: SignalSheet | None
    given: ReceiverSignal | None
    device: Part[DeviceSheet] | None
    panel_input: PanelInput | None

    @property
    def path(self) -> str:
        """As in messages, "larkfen/R1: low cell"."""
        return f"{self.premises}/{self.receiver}: {self.name}"

    @property
    def breaks(self) -> bool:
        """It is a relay whose contact opens while it tells something."""
        is_relay = self.sheet is not None and self.sheet.form == "relay"
        return is_relay and self.given is not None and self.given.contact == "normally closed"

    @property
    def terminals(self) -> tuple[str, str]:
        """Its two terminals at the receiver, the worked one first; a transistor if nobody says its form."""
        if self.sheet is None or self.sheet.form != "relay":
            return self.name, "0 V"
        return f"{self.name} {'break' if self.breaks else 'make'}", f"{self.name} common"

    @property
    def subjects(self) -> tuple[Ref, ...]:
        """The receiver, and what the signal works."""
        own: tuple[Ref, ...] = (ReceiverRef(f"{self.premises}/{self.receiver}"),)
        if self.given is None:
            return own
        worked = f"{self.premises}/{self.given.works.split('.')[0]}"
        return (*own, DeviceRef(worked) if self.device is not None else PanelRef(worked))

    @property
    def load_a(self) -> float | None:
        """Current of what it works [A]: of a lamp or sounder, or of a panel's input; None if unknown."""
        if self.device is not None:
            return device_current_a(self.device.sheet)
        if self.panel_input is None:
            return None
        loop = self.panel_input.loop
        if self.panel_input.current_a is None and loop is not None and loop.supply_v and loop.pull_up_ohm:
            return float(loop.supply_v / loop.pull_up_ohm)
        return self.panel_input.current_a


def signals_of(case: Case) -> Iterator[SignalAt]:
    """Every signal that a receiver has or is wired for, in the order of the job."""
    for premises, house in case.job.premises.items():
        for receiver, box in house.receivers.items():
            part = case.equipment.receivers[f"{premises}/{receiver}"]
            sheets = {"low cell": part.sheet.low_cell, "acknowledge": part.sheet.acknowledge}
            wired = {str(name): given for name, given in box.signals.items()}
            for name, sheet in sheets.items():
                given = wired.get(name)
                if sheet is None and given is None:
                    continue
                thing, _, pin = given.works.partition(".") if given is not None else ("", "", "")
                panel = case.equipment.panels.get(f"{premises}/{thing}")
                yield SignalAt(
                    premises,
                    receiver,
                    name,
                    part,
                    sheet,
                    given,
                    case.equipment.devices.get(f"{premises}/{thing}"),
                    (panel.sheet.inputs or {}).get(pin) if panel is not None else None,
                )
