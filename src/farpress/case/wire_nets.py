"""Which terminals of a premises hang together by wires: cores, links, and contacts where they are asked for.

No volts and no amperes; what flows is the circuit's business. Here it is seen what is joined at all.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from farpress.case.cables import cables_of, links_of
from farpress.case.case import Case
from farpress.case.drawn_wires import reached
from farpress.domain.premises import Premises
from farpress.domain.terminals import Terminal

__all__ = ["SupplyPole", "WireNets", "live_poles", "nets_of", "supply_poles"]


@dataclass(frozen=True)
class SupplyPole:
    """One terminal of a supply.

    Attributes:
        supply: its name.
        terminal: where it is.
        is_live: the side that a contact switches: + or ~1.
    """

    supply: str
    terminal: Terminal
    is_live: bool


@dataclass(frozen=True)
class _Joint:
    one: Terminal
    other: Terminal
    contact_of: str = ""
    """Receiver whose contact it is; empty for a wire."""


class WireNets:
    """The wires of one premises."""

    def __init__(self, joints: Iterator[_Joint]) -> None:
        """Gather what joins which terminals."""
        self._at: dict[Terminal, list[_Joint]] = {}
        for joint in joints:
            self._at.setdefault(joint.one, []).append(joint)
            self._at.setdefault(joint.other, []).append(joint)

    @property
    def terminals(self) -> tuple[Terminal, ...]:
        """Every terminal that a wire or contact ends at."""
        return tuple(self._at)

    def is_dead_end(self, terminal: Terminal) -> bool:
        """Whether a single wire ends at a terminal, and no contact."""
        return len(self._at.get(terminal, ())) == 1

    def joined(
        self, start: Terminal, *, over_contacts: bool = False, but_of: str = ""
    ) -> frozenset[Terminal]:
        """Everything that hangs together with a terminal, itself among it.

        Args:
            start: where to begin.
            over_contacts: relay contacts count as joined, whichever side they are on.
            but_of: the receiver whose own contacts do not count.
        """

        def beside(here: Terminal) -> Iterator[Terminal]:
            for joint in self._at.get(here, ()):
                if not joint.contact_of or (over_contacts and joint.contact_of != but_of):
                    yield joint.other if joint.one == here else joint.one

        return reached(start, beside)


def nets_of(case: Case, premises: str) -> WireNets:
    """The wires of one premises, drawn and in the short form, with the contacts of its receivers.

    Raises:
        KeyError: the job has no such premises.
    """
    return case.once(_all_nets)[premises]


def _all_nets(case: Case) -> dict[str, WireNets]:
    return {premises: WireNets(_joints(case, premises)) for premises in case.job.premises}


def _joints(case: Case, premises: str) -> Iterator[_Joint]:
    for body in cables_of(case, premises):
        for core in body.cores:
            if core.laid is not None and core.laid.broken:
                continue
            ends = (*core.near, *core.far)
            yield from (_Joint(ends[0], end) for end in ends[1:])
    for link in links_of(case, premises):
        yield from (_Joint(link.terminals[0], end) for end in link.terminals[1:])
    for receiver, box in case.job.premises[premises].receivers.items():
        relays = case.equipment.receivers[f"{premises}/{receiver}"].sheet.relays or 0
        for number in dict.fromkeys((*map(str, range(1, relays + 1)), *box.outputs)):
            common = Terminal(receiver, f"{number}.common")
            for side in ("break", "make"):
                yield _Joint(common, Terminal(receiver, f"{number}.{side}"), receiver)
            relay = f"{number} relay"
            yield _Joint(Terminal(receiver, f"{relay}.13"), Terminal(receiver, f"{relay}.14"), receiver)


def supply_poles(house: Premises) -> tuple[SupplyPole, ...]:
    """Every terminal of the supplies of a premises, of their branches too, by whichever name it has."""
    found = []
    for name, supply in house.supplies.items():
        for head in ("", *(f"branch {branch}." for branch in supply.branches)):
            for pole, is_live in (("+", True), ("~1", True), ("0", False), ("~2", False)):
                found.append(SupplyPole(name, Terminal(name, f"{head}{pole}"), is_live))
    return tuple(found)


def live_poles(house: Premises) -> frozenset[Terminal]:
    """The live terminals among them."""
    return frozenset(pole.terminal for pole in supply_poles(house) if pole.is_live)
