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


def drawn_ends(case: Case, premises: str) -> frozenset[Terminal]:
    """Terminals that cores and links of the job end at."""
    cores = (end for core in drawn_cores(case, premises) for end in core.ends)
    return frozenset((*cores, *(end for link in drawn_links(case, premises) for end in link)))


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
    if not house.cables and not house.links:
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
    return any(
        output.output.load_from and device in {works.partition(".")[0] for works in output.works}
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
    ends = _poles(case, premises, name)
    if ends is None or ends[0] not in wires:
        return
    last = _last_cable(case, premises, ends[0])

    def feed(pole: Terminal, output: OutputAt | None) -> DrawnFeed:
        branch = pole.name.rpartition(".")[0].removeprefix("branch ")
        label, run = last
        if run is None and output is not None:  # beside the contact: the cable ends at its other side
            label, run = _last_cable(case, premises, _contact(output)[0])
        return DrawnFeed(kind, name, pole.thing, branch, output, label, run)

    live = _pole_in(house, _reached(ends[0], wires), is_live=True)
    back = _pole_in(house, _reached(ends[1], wires), is_live=False)
    if live is not None and back is not None:
        yield feed(live, None)
        return
    for output in outputs:
        if output.receiver == name:
            continue
        closed = {end: others | _over(output, end) for end, others in wires.items()}
        for end in _contact(output):
            closed.setdefault(end, _over(output, end))
        over = _pole_in(house, _reached(ends[0], closed), is_live=True)
        if over is not None and _pole_in(house, _reached(ends[1], closed), is_live=False) is not None:
            yield feed(over, output)


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


def _pole_in(house: Premises, there: frozenset[Terminal], *, is_live: bool) -> Terminal | None:
    """The terminal of a supply among those reached, of its live side or its way back."""
    names = ("+", "~1") if is_live else ("0", "~2")
    return next(
        (
            end
            for end in sorted(there)
            if end.thing in house.supplies and end.name.rpartition(".")[2] in names
        ),
        None,
    )
