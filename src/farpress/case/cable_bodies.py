"""What a cable of a premises is: a body with a part, a length, and cores that each join terminals."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass

from farpress.case.case import Case
from farpress.case.runs import Run
from farpress.domain.cables import LaidCore
from farpress.domain.parts import CableSheet, Part
from farpress.domain.refs import CableRef, CoreRef
from farpress.domain.terminals import Terminal

__all__ = ["CableBody", "CoreBody", "HousingWire", "UsedTwice"]


@dataclass(frozen=True)
class CoreBody:
    """One core of a cable, or one conductor of it where its cores are not named.

    Attributes:
        name: colour or number.
        is_named: the job names it; else the number is ours.
        near, far: terminals at its two ends.
        laid: what the job says of a drawn core; None in the short form.
        wrong: its ends as written that are no terminals of what is there, each with what is wrong.
    """

    name: str
    is_named: bool
    near: tuple[Terminal, ...]
    far: tuple[Terminal, ...]
    laid: LaidCore | None = None
    wrong: tuple[str, ...] = ()

    @property
    def is_used(self) -> bool:
        """It ends at something, or is meant to."""
        return bool(self.near or self.far or self.wrong)


@dataclass(frozen=True)
class UsedTwice:
    """A core that is used for two different things.

    Attributes:
        core: its name.
        one, other: where it leads for each of them.
    """

    core: str
    one: tuple[Terminal, Terminal]
    other: tuple[Terminal, Terminal]


@dataclass(frozen=True)
class CableBody:
    """One cable.

    Attributes:
        premises, label: where it is, and what stands on it.
        part: name of the cable; empty where it is not described.
        length_m: of its way [m]; None where it is not described.
        path: keys that lead to it in the job file; of runs put together those of the first.
        cores: those in use, and those that the job draws.
        near, far: what it leads from and to, in words.
        is_drawn: the job draws it core by core.
        is_labelled: the job gives the label; else it is counted.
        way: duct or tray that it lies in.
        warmest_degc: of the air around it, where somebody says [degC].
        runs: the short forms in it.
        clashes: cores that are used twice for different things.
    """

    premises: str
    label: str
    part: str
    length_m: float | None
    path: tuple[str | int, ...]
    cores: tuple[CoreBody, ...]
    near: str
    far: str
    is_drawn: bool = False
    is_labelled: bool = False
    way: str | None = None
    warmest_degc: float | None = None
    runs: tuple[Run, ...] = ()
    clashes: tuple[UsedTwice, ...] = ()

    @property
    def ref(self) -> CableRef:
        """The cable as findings name it."""
        return CableRef(f"{self.premises}/{self.label}")

    def core_ref(self, core: CoreBody) -> CoreRef:
        """One of its cores as findings name it."""
        return CoreRef(f"{self.premises}/{self.label}/{core.name}")

    @property
    def conductors(self) -> tuple[CoreBody, ...]:
        """The cores in use."""
        return tuple(core for core in self.cores if core.is_used)

    def leads_to(self, things: Collection[str], output: str) -> bool:
        """Whether something of a promise hangs on it.

        Args:
            things: names of its receiver and of what it works.
            output: path of its output, "larkfen/R1/1".
        """
        worked = {run.at.path for run in self.runs if run.at is not None}
        if worked and not self.is_drawn:
            return output in worked or any(run.at is None and run.target in things for run in self.runs)
        ends = {end.thing for core in self.cores for end in (*core.near, *core.far)}
        return not ends.isdisjoint(things)

    def sheet(self, case: Case) -> Part[CableSheet] | None:
        """Its part, filled in; None where it is not described."""
        return case.equipment.cables.get(self.part)


@dataclass(frozen=True)
class HousingWire:
    """Terminals that a wire inside a housing joins.

    Attributes:
        terminals: two or more.
        path: keys that lead to it in the job file; empty for one that follows from the short form.
        wrong: as in `CoreBody`.
    """

    terminals: tuple[Terminal, ...]
    path: tuple[str | int, ...] = ()
    wrong: tuple[str, ...] = ()
