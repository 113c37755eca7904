"""Tamper circuits of a premises: the contacts of all housings on one panel input, in series, leg by leg.

A contact that breaks lies in series with the others, so that any housing that is opened opens the whole. One
that makes cannot: it lies across the input by itself.
"""

from __future__ import annotations

from dataclasses import dataclass

from farpress.case.case import Case

__all__ = ["TamperCircuit", "TamperLeg", "tamper_circuits"]


@dataclass(frozen=True)
class TamperLeg:
    """One core of a tamper circuit, from terminal to terminal."""

    start: str
    start_terminal: str
    target: str
    target_terminal: str


@dataclass(frozen=True)
class TamperCircuit:
    """All housings on one input.

    Attributes:
        panel, entry: names of the panel and of its input.
        receivers: whose contacts break, in series in this order.
        across: whose contacts make, each by itself.
        legs: every core, from the panel through the housings and back; joints are made at the panel.
    """

    panel: str
    entry: str
    receivers: tuple[str, ...]
    across: tuple[str, ...]
    legs: tuple[TamperLeg, ...]

    def pair_of(self, receiver: str) -> tuple[str, str]:
        """The two terminals at the panel between which the contact of a housing lies."""
        out = next(leg.start_terminal for leg in self.legs if leg.target == receiver)
        back = next(leg.target_terminal for leg in self.legs if leg.start == receiver)
        return out, back


def tamper_circuits(case: Case, premises: str) -> tuple[TamperCircuit, ...]:
    """Every tamper circuit of a premises, in the order of the job."""
    wired: dict[tuple[str, str], list[str]] = {}
    for name, box in case.job.premises[premises].receivers.items():
        if box.tamper:
            panel, _, entry = box.tamper.partition(".")
            wired.setdefault((panel, entry or "tamper"), []).append(name)
    return tuple(_circuit(case, premises, *key, names) for key, names in wired.items())


def _circuit(case: Case, premises: str, panel: str, entry: str, names: list[str]) -> TamperCircuit:
    makes = tuple(
        name
        for name in names
        if case.equipment.receivers[f"{premises}/{name}"].sheet.tamper_contact == "normally open"
    )
    breaks = tuple(name for name in names if name not in makes)
    legs: list[TamperLeg] = []
    for chain in (breaks, *((name,) for name in makes)):
        if chain:
            legs += _legs(panel, entry, chain)
    return TamperCircuit(panel, entry, breaks, makes, tuple(legs))


def _legs(panel: str, entry: str, chain: tuple[str, ...]) -> list[TamperLeg]:
    """A pair from the panel to each housing; where one pair comes back the next begins."""
    points = [entry, *(f"{entry} joint {number}" for number in range(1, len(chain))), f"{entry} common"]
    legs = []
    for name, out, back in zip(chain, points, points[1:]):
        legs += [TamperLeg(panel, out, name, "tamper 1"), TamperLeg(name, "tamper 2", panel, back)]
    return legs
