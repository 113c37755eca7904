"""The rows of a wiring schedule: one core, one reading."""

from __future__ import annotations

from dataclasses import dataclass

__all__ = ["OUTSIDE", "CoreRow", "LoopRow"]

OUTSIDE = (
    "above: a bad joint, a thinner core or copper-clad aluminium; below: a shorter way, or the cores touch on"
    " the way"
)
"""What a reading of a bare cable means that is outside."""


@dataclass(frozen=True)
class CoreRow:
    """One core.

    Attributes:
        premises, cable_no: the cable's number at its premises.
        start, start_terminal, target, target_terminal: its two ends.
        core: colour or number; `core_is_named` where the job says so, else our numbering.
        cable: part name; empty where it is not described.
        length_m: of the route; None if unknown [m].
        core_ohm: of this core at 20 degC, at most [ohm].
        lowest_v, highest_v: between both cores at the far end, over all corners; of a command line its
            voltage [V].
        amperes: with its load on [A].
        fuse_a: of the supply behind it [A].
        note: what else there is to say.
    """

    premises: str
    cable_no: str
    start: str
    start_terminal: str
    target: str
    target_terminal: str
    core: str
    core_is_named: bool
    cable: str
    length_m: float | None
    core_ohm: float | None
    lowest_v: float | None
    highest_v: float | None
    amperes: float | None
    fuse_a: float | None
    note: str


@dataclass(frozen=True)
class LoopRow:
    """What a meter should show on a cable or a supervised loop, unplugged at its start.

    Attributes:
        premises, cable_no, start, target: which one.
        state: "far end joined" for a bare cable, else the state of the loop.
        how: what to do at the far end.
        low_ohm, expected_ohm, high_ohm: at 20 degC; infinite for an open line [ohm].
        note: what a reading outside means.
    """

    premises: str
    cable_no: str
    start: str
    target: str
    state: str
    how: str
    low_ohm: float
    expected_ohm: float
    high_ohm: float
    note: str
