"""The third step of reading, for wires: every terminal, way, branch and label of a cable is looked up.

What the file alone can say is refused here. Whether a part of the catalogue has a terminal is known once its
sheet is filled in, and told as a finding then.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from farpress.domain.cables import Cable, CableRun, LaidCore
from farpress.domain.premises import Premises
from farpress.domain.terminals import Terminal, Terminals, premises_terminals
from farpress.errors import InputError
from farpress.jobfile.names_there import NamesThere, Path
from farpress.units import write_quantity

__all__ = ["check_branch", "check_wires"]

_OF_OUTPUT: Final = re.compile(r"(?P<number>[0-9]+)( relay)?\.")
MOMENTS_READ: Final = ("at rest", "everything on", "alarm")
"""States in which somebody may read volts, beside a pressed function."""

_ROOMS: Final = ("supplies", "receivers", "devices", "panels")


@dataclass(frozen=True)
class _WiredNames:
    """What the wires of one premises may name.

    Attributes:
        names: what there is in the job, and where faults go.
        premises: name of the premises.
        path: keys that lead to it.
        terminals: as far as the file says them.
        unread: things of the file that could not be read; nothing is said of their terminals.
    """

    names: NamesThere
    premises: str
    path: Path
    terminals: Terminals
    unread: frozenset[str]

    def terminal(self, path: Path, text: str) -> Terminal | None:
        """The terminal of a text; None where there is none, which is told, or where nothing can be said."""
        if any(text == thing or text.startswith(f"{thing}.") for thing in self.unread):
            return None
        try:
            found = self.terminals.find(text)
        except InputError as error:
            self.names.refuse(path, str(error))
            return None
        number = _OF_OUTPUT.match(found.name)
        if number is not None and found.thing in self.names.keys("premises", self.premises, "receivers"):
            self.names.output_there(path, self.premises, found.thing, number["number"])
        return found


def check_wires(names: NamesThere, path: Path, premises: str, house: Premises) -> None:
    """Every fault of a name in the cables, junctions, links, ways and labels of one premises."""
    read = {thing for room in _ROOMS for thing in getattr(house, room)} | set(house.junctions)
    there = {thing for room in (*_ROOMS, "junctions") for thing in names.keys("premises", premises, room)}
    wired = _WiredNames(names, premises, path, premises_terminals(house), frozenset(there - read))
    for name, junction in house.junctions.items():
        here = (*path, "junctions", name)
        names.plain_name(here, name, dots=False)
        names.level((*here, "level"), junction.level, premises)
        other = next((room for room in _ROOMS if name in names.keys("premises", premises, room)), None)
        if other is not None:
            names.refuse(
                here, f"'{name}' stands under '{other}' already; '{name}.1' could mean either. Rename one"
            )
    for name, cable in house.cables.items():
        _cable(wired, (*path, "cables", name), name, cable)
    for index, link in enumerate(house.links):
        _link(wired, (*path, "links", index), link)
    for name, diode in house.diodes.items():
        here = (*path, "diodes", name)
        names.plain_name(here, name, dots=False)
        ends = wired.terminal((*here, "from"), diode.from_), wired.terminal((*here, "to"), diode.to)
        if ends[0] is not None and ends[0] == ends[1]:
            names.refuse(
                (*here, "to"),
                f"both ends of the diode are at {ends[0]}. A diode lies between two; name the other",
            )
    for number, seen in enumerate(house.volts_read):
        here = (*path, "volts_read", number)
        leads = [wired.terminal((*here, "between", lead), text) for lead, text in enumerate(seen.between)]
        if leads[0] is not None and leads[0] == leads[1]:
            names.refuse((*here, "between", 1), f"both leads are at {leads[0]}: that reads 0 V. Name two")
        whens = [*MOMENTS_READ, *names.keys("functions")]
        names.one_of((*here, "during"), seen.during, whens, "state", "of a circuit")
    _labels(names, path, house)


def check_branch(names: NamesThere, path: Path, premises: str, supply: str, branch: str | None) -> None:
    """Whether a supply has the branch that something is fed from; the path is that of the supply's name."""
    branches = names.keys("premises", premises, "supplies", supply, "branches")
    if branch is None:
        return
    example = f"{supply}: {{branches: {{'{branch[:20]}': {{fuse: 1 A}}}}}}"
    names.one_of(
        path,
        branch,
        branches,
        "branch",
        f"of {supply}",
        hint=f"A branch is described at its supply: {example}.",
    )


def _cable(wired: _WiredNames, path: Path, name: str, cable: Cable) -> None:
    names = wired.names
    names.plain_name(path, name, dots=False)
    names.part((*path, "part"), cable.part, "cable")
    names.one_of(
        (*path, "way"),
        cable.way,
        names.keys("premises", wired.premises, "ways"),
        "way",
        f"of {wired.premises}",
    )
    for core, written in cable.cores.items():
        place: Path = (
            (*path, "cores", core, "ends") if isinstance(written, LaidCore) else (*path, "cores", core)
        )
        ends = cable.core(core).ends
        found = [wired.terminal((*place, index), end) for index, end in enumerate(ends)]
        for index, terminal in enumerate(found):
            if terminal is not None and terminal in found[:index]:
                names.refuse(
                    (*place, index),
                    f"core {core} of {name} has {terminal} at two ends. A core joins different terminals;"
                    " delete one",
                )


def _link(wired: _WiredNames, path: Path, link: tuple[str, ...]) -> None:
    found = [wired.terminal((*path, index), end) for index, end in enumerate(link)]
    for index, terminal in enumerate(found):
        if terminal is not None and terminal in found[:index]:
            wired.names.refuse(
                (*path, index),
                f"this link has {terminal} twice. A link joins different terminals; delete one, or name the"
                " other",
            )


def _labels(names: NamesThere, path: Path, house: Premises) -> None:
    """Runs of one label, and a drawn cable of that name, must be one part of one length."""
    first: dict[str, tuple[str, float]] = {
        name: (cable.part, cable.length_m) for name, cable in house.cables.items()
    }
    for place, run in _runs_of(house):
        here = (*path, *place)
        names.one_of((*here, "way"), run.way, tuple(house.ways), "way")
        if run.label is None:
            continue
        names.plain_name((*here, "label"), run.label, dots=False)
        part, length = first.setdefault(run.label, (run.part, run.length_m))
        if (part, length) != (run.part, run.length_m):
            names.refuse(
                (*here, "label"),
                f"the cable '{run.label}' is {part} of {write_quantity(length, 'length')} elsewhere, and here"
                f" {run.part} of {write_quantity(run.length_m, 'length')}. One label is one cable: give both"
                " the same part and length, or another label",
            )


def _runs_of(house: Premises) -> Iterator[tuple[Path, CableRun]]:
    """Every run written at a thing, with the keys that lead to it from its premises."""
    for room in ("supplies", "receivers", "devices", "panels"):
        for name, thing in getattr(house, room).items():
            if thing.fed is not None and thing.fed.cable is not None:
                yield (room, name, "fed", "cable"), thing.fed.cable
    for name, box in house.receivers.items():
        for number, output in box.outputs.items():
            if output.cable is not None:
                yield ("receivers", name, "outputs", number, "cable"), output.cable
        for number, entry in box.inputs.items():
            if entry.cable is not None:
                yield ("receivers", name, "inputs", number, "cable"), entry.cable
        for signal, told in box.signals.items():
            if told.cable is not None:
                yield ("receivers", name, "signals", signal, "cable"), told.cable
