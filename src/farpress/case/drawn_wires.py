"""What the job draws itself, core by core: which supply comes to which thing over it, and over which contact.

It knows nothing of the short form; `cables` puts both together.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Literal

from farpress.case.case import Case, OutputAt
from farpress.case.terminals_there import found_terminals, terminals_at
from farpress.domain.cables import Cable, CableRun, LaidCore
from farpress.domain.premises import Premises
from farpress.domain.terminals import Terminal
from farpress.errors import InputError

__all__ = [
    "DrawnCore",
    "DrawnFeed",
    "drawn_cores",
    "drawn_diodes",
    "drawn_ends",
    "drawn_feed",
    "drawn_feeds",
    "drawn_links",
    "drawn_run",
    "reached",
    "run_of",
    "supply_of",
]

Joined = Mapping[Terminal, set[Terminal]]


@dataclass(frozen=True)
class DrawnCore:
    """One core that is drawn.

    Attributes:
        label, name: of its cable and its own.
        cable: as the job has it.
        laid: the core itself.
        ends: its terminals, the near one first; those that are none left out.
    """

    label: str
    name: str
    cable: Cable
    laid: LaidCore
    ends: tuple[Terminal, ...]


@dataclass(frozen=True)
class DrawnFeed:
    """What a supply comes to over drawn wires.

    Attributes:
        kind, thing: what it is, and its name.
        supply, branch: that feeds it; no branch where it is the supply's own terminal.
        output: whose contact lies in the way; None for wires alone.
        label: the cable whose core ends at it; empty for a link.
        run: that cable as a run; None for a link.
    """

    kind: Literal["receiver", "device", "panel"]
    thing: str
    supply: str
    branch: str
    output: OutputAt | None
    label: str
    run: CableRun | None


def drawn_cores(case: Case, premises: str) -> Iterator[DrawnCore]:
    """Every core that the job draws at one premises."""
    for label, cable in case.job.premises[premises].cables.items():
        for name in cable.cores:
            laid = cable.core(name)
            yield DrawnCore(label, name, cable, laid, found_terminals(case, premises, laid.ends)[0])


def drawn_links(case: Case, premises: str) -> Iterator[tuple[Terminal, ...]]:
    """Every wire in a housing that the job lists."""
    for link in case.job.premises[premises].links:
        yield found_terminals(case, premises, link)[0]


def drawn_diodes(case: Case, premises: str) -> Iterator[tuple[str, Terminal, Terminal]]:
    """Every diode that the job lists: its name, anode and cathode; those without two good ends left out."""
    for name, diode in case.job.premises[premises].diodes.items():
        found, wrong = found_terminals(case, premises, (diode.from_, diode.to))
        if not wrong:
            yield name, found[0], found[1]


def drawn_ends(case: Case, premises: str) -> frozenset[Terminal]:
    """Terminals that cores, links and diodes of the job end at."""
    cores = (end for core in drawn_cores(case, premises) for end in core.ends)
    links = (end for link in drawn_links(case, premises) for end in link)
    return frozenset((*cores, *links, *(end for diode in drawn_diodes(case, premises) for end in diode[1:])))


def drawn_feed(case: Case, premises: str, thing: str) -> DrawnFeed | None:
    """What feeds a thing over drawn wires; the first where several contacts do, None where nothing does."""
    return next((feed for feed in drawn_feeds(case, premises) if feed.thing == thing), None)


def supply_of(case: Case, premises: str, thing: str) -> str | None:
    """The supply that feeds a receiver, device or panel, in the short form or over drawn wires."""
    house = case.job.premises[premises]
    named = house.receivers.get(thing) or house.panels.get(thing) or house.devices.get(thing)
    if named is not None and named.fed is not None:
        return named.fed.from_
    feed = drawn_feed(case, premises, thing)
    return None if feed is None else feed.supply


def drawn_run(case: Case, premises: str, terminal: str) -> CableRun | None:
    """The drawn cable that a core of which ends at a terminal, as a run; None where none does."""
    return next(
        (
            run_of(core.cable, core.label)
            for core in drawn_cores(case, premises)
            if terminal in map(str, core.ends)
        ),
        None,
    )


def drawn_feeds(case: Case, premises: str) -> tuple[DrawnFeed, ...]:
    """Everything that supplies come to over drawn wires; what has a short form is not among it.

    Raises:
        KeyError: the job has no such premises.
    """
    return case.once(_all_feeds)[premises]


def _all_feeds(case: Case) -> dict[str, tuple[DrawnFeed, ...]]:
    return {premises: tuple(_feeds(case, premises)) for premises in case.job.premises}


def _feeds(case: Case, premises: str) -> Iterator[DrawnFeed]:
    house = case.job.premises[premises]
    if not house.cables and not house.links and not house.diodes:
        return
    wires = _wires(case, premises)
    outputs = [output for output in case.outputs() if output.premises == premises]
    for name, box in house.receivers.items():
        if box.fed is None:
            yield from _feeds_of(case, premises, "receiver", name, wires, outputs)
    for name, device in house.devices.items():
        if device.fed is None and not _has_short_form(outputs, name):
            yield from _feeds_of(case, premises, "device", name, wires, outputs)
    for name, panel in house.panels.items():
        if panel.fed is None:
            yield from _feeds_of(case, premises, "panel", name, wires, outputs)


def _has_short_form(outputs: Iterable[OutputAt], device: str) -> bool:
    """Whether an output's run feeds it; a supply that is named without one adds nothing to what is drawn."""
    return any(
        output.output.load_from
        and output.output.cable is not None
        and device in {works.partition(".")[0] for works in output.works}
        for output in outputs
    )


def _feeds_of(
    case: Case,
    premises: str,
    kind: Literal["receiver", "device", "panel"],
    name: str,
    wires: Joined,
    outputs: list[OutputAt],
) -> Iterator[DrawnFeed]:
    house = case.job.premises[premises]
    ends, over = _poles(case, premises, name), _Diodes.of(case, premises)
    if ends is None or ends[0] not in over.live(wires):
        return
    last = _last_cable(case, premises, ends[0])

    def feed(pole: Terminal, output: OutputAt | None) -> DrawnFeed:
        branch = pole.name.rpartition(".")[0].removeprefix("branch ")
        label, run = last
        if run is None and output is not None:  # beside the contact: the cable ends at its other side
            label, run = _last_cable(case, premises, _contact(output)[0])
        return DrawnFeed(kind, name, pole.thing, branch, output, label, run)

    fed = _pole_pairs(house, _reached(ends[0], over.live(wires)), _reached(ends[1], over.back(wires)))
    if fed:
        yield from (feed(live, None) for live in fed)
        return
    for output in outputs:
        if output.receiver == name:
            continue
        closed = {end: others | _over(output, end) for end, others in wires.items()}
        for end in _contact(output):
            closed.setdefault(end, _over(output, end))
        fed = _pole_pairs(house, _reached(ends[0], over.live(closed)), _reached(ends[1], over.back(closed)))
        yield from (feed(live, output) for live in fed)


def _contact(output: OutputAt) -> tuple[Terminal, ...]:
    breaks = output.output.contact == "normally closed"
    return (
        Terminal(output.receiver, f"{output.number}.common"),
        Terminal(output.receiver, f"{output.number}.{'break' if breaks else 'make'}"),
    )


def _over(output: OutputAt, end: Terminal) -> set[Terminal]:
    """What a contact joins to a terminal of it while it is closed."""
    contact = _contact(output)
    return set(contact) - {end} if end in contact else set()


def _poles(case: Case, premises: str, name: str) -> tuple[Terminal, Terminal] | None:
    for live, back in (("+", "0"), ("~1", "~2")):
        try:
            terminals = terminals_at(case, premises)
            return terminals.find(f"{name}.{live}"), terminals.find(f"{name}.{back}")
        except InputError:
            continue
    return None


def _last_cable(case: Case, premises: str, live: Terminal) -> tuple[str, CableRun | None]:
    """The cable whose core ends at a terminal, or at one that a link joins to it."""
    near = {live}.union(*(link for link in drawn_links(case, premises) if live in link))
    for core in drawn_cores(case, premises):
        if near & set(core.ends):
            return core.label, run_of(core.cable, core.label)
    return "", None


def run_of(cable: Cable, label: str) -> CableRun:
    """A drawn cable as a run, for what is computed of its part and length."""
    return CableRun(
        part=cable.part, length_m=cable.length_m, label=label, way=cable.way, warmest_degc=cable.warmest_degc
    )


def _wires(case: Case, premises: str) -> dict[Terminal, set[Terminal]]:
    """Terminal → what a core or link joins to it."""
    joined: dict[Terminal, set[Terminal]] = {}
    cores = (core.ends for core in drawn_cores(case, premises) if not core.laid.broken)
    for ends in (*cores, *drawn_links(case, premises)):
        for end in ends:
            joined.setdefault(end, set()).update(other for other in ends if other != end)
    return joined


def reached(start: Terminal, beside: Callable[[Terminal], Iterable[Terminal]]) -> frozenset[Terminal]:
    """Every terminal that hangs together with one, itself among them.

    Args:
        start: where to begin.
        beside: what is joined to a terminal straight.
    """
    seen, waiting = {start}, [start]
    while waiting:
        for there in beside(waiting.pop()):
            if there not in seen:
                seen.add(there)
                waiting.append(there)
    return frozenset(seen)


def _reached(start: Terminal, wires: Joined) -> frozenset[Terminal]:
    return reached(start, lambda terminal: wires.get(terminal, ()))


@dataclass(frozen=True)
class _Diodes:
    """The diodes of a premises as ways that are looked along from what is fed to what feeds it."""

    ends: tuple[tuple[Terminal, Terminal], ...]

    @classmethod
    def of(cls, case: Case, premises: str) -> _Diodes:
        return cls(tuple((anode, cathode) for _, anode, cathode in drawn_diodes(case, premises)))

    def live(self, wires: Joined) -> Joined:
        """On the live side current comes out of a cathode: behind it lies the anode."""
        return self._with(wires, {(cathode, anode) for anode, cathode in self.ends})

    def back(self, wires: Joined) -> Joined:
        """On the way back current goes on through the cathode."""
        return self._with(wires, set(self.ends))

    def _with(self, wires: Joined, ways: set[tuple[Terminal, Terminal]]) -> Joined:
        joined = {end: set(others) for end, others in wires.items()}
        for near, far in ways:
            joined.setdefault(near, set()).add(far)
        return joined


def _pole_pairs(
    house: Premises, live: frozenset[Terminal], back: frozenset[Terminal]
) -> tuple[Terminal, ...]:
    """Live terminals of the supplies that come to a thing on both its sides: one a supply, several over
    diodes. Of supplies with one 0 V the first is meant where the way back leads to another's alone.
    """
    lives, backs = _poles_in(house, live, is_live=True), _poles_in(house, back, is_live=False)
    both = {supply: end for supply, end in lives.items() if supply in backs}
    return tuple(both.values()) or (tuple(lives.values())[:1] if backs else ())


def _poles_in(house: Premises, there: frozenset[Terminal], *, is_live: bool) -> dict[str, Terminal]:
    """Supply → its first terminal among those reached, of its live side or its way back."""
    names = ("+", "~1") if is_live else ("0", "~2")
    found: dict[str, Terminal] = {}
    for end in sorted(there):
        if end.thing in house.supplies and end.name.rpartition(".")[2] in names:
            found.setdefault(end.thing, end)
    return found
