"""Every cable of a premises as a body, each core from terminal to terminal: one door for the circuit, the
schedule and the drawings.

A cable that the job draws core by core is taken as it is drawn. Runs of the short form are put together where
they must lie in one sheath: they bear one label; or they join the same two things with the same cable of the
same length, each on cores that it names; or one returns on the other's core all the way, in the same cable of
the same length.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace

from farpress.case.cable_bodies import CableBody, CoreBody, HousingWire, UsedTwice
from farpress.case.case import Case
from farpress.case.cores import named_cores
from farpress.case.drawn_wires import drawn_ends
from farpress.case.run_terminals import run_terminals, turning_links
from farpress.case.runs import Run, unlabelled_runs
from farpress.case.terminals_there import found_terminals
from farpress.domain.cables import Cable, LaidCore
from farpress.domain.terminals import Terminal

__all__ = ["cables_of", "core_names", "links_of", "path_of_run", "runs"]


def cables_of(case: Case, premises: str) -> tuple[CableBody, ...]:
    """Every cable of one premises: runs of the short form in the order of the file, then those drawn.

    Raises:
        KeyError: the job has no such premises.
    """
    return case.once(_all_cables)[premises]


def runs(case: Case, premises: str) -> tuple[Run, ...]:
    """Every run of one premises in the order of the file, each under the label of its cable."""
    label_of = {id(run): body.label for body in cables_of(case, premises) for run in body.runs}
    named: list[Run] = []
    label = ""
    for run in case.once(_all_runs)[premises]:
        label = label_of.get(id(run), label)  # a link goes with the cable before it
        named.append(replace(run, name=label))
    return tuple(named)


def core_names(case: Case, run: Run) -> tuple[tuple[str, str], bool]:
    """Cores that a run goes out and comes back on in its cable, and whether the job names them; "link" where
    it has none of its own.
    """
    body = next(body for body in cables_of(case, run.premises) if body.label == run.name)
    ends = run_terminals(case, run)
    found = [
        next((core for core in body.cores if {*pair} <= {*core.near, *core.far}), None)
        for pair in (ends.out, ends.back)
    ]
    names = [core.name if core is not None else "link" for core in found]
    return (names[0], names[1]), all(core is not None and core.is_named for core in found)


def links_of(case: Case, premises: str) -> tuple[HousingWire, ...]:
    """Wires inside housings: those that the job lists, then those that follow from the short form."""
    listed = []
    for index, texts in enumerate(case.job.premises[premises].links):
        found, wrong = found_terminals(case, premises, texts)
        listed.append(HousingWire(found, ("premises", premises, "links", index), wrong))
    every = case.once(_all_runs)[premises]
    implied = [link for run in every for link in _implied(case, run, every)]
    return (*listed, *implied)


def _implied(case: Case, run: Run, every: Sequence[Run]) -> Iterator[HousingWire]:
    """Wires that a run of the short form wants in a housing."""
    ends = run_terminals(case, run)
    yield from map(HousingWire, turning_links(case, run))
    if run.is_link:
        yield from (HousingWire(ends.out), HousingWire(ends.back))
    elif ends.live is not None:
        feed = next((other for other in every if _is_on_feed(run, other)), None)
        if feed is None:
            yield HousingWire(ends.live)
            return
        feeding = run_terminals(case, feed)
        yield from (
            HousingWire((feeding.out[1], ends.live[1])),
            HousingWire(ends.out),
            HousingWire((feeding.back[1], ends.back[1])),
        )


def _all_runs(case: Case) -> dict[str, tuple[Run, ...]]:
    return {premises: _runs(case, premises) for premises in case.job.premises}


def _runs(case: Case, premises: str) -> tuple[Run, ...]:
    """Every run but those that nobody describes because their wires are drawn."""
    drawn = drawn_ends(case, premises)
    every = unlabelled_runs(case, premises)
    if not drawn:
        return every
    return tuple(run for run in every if run.run is not None or not _ends_of_run(case, run) & drawn)


def _ends_of_run(case: Case, run: Run) -> set[Terminal]:
    ends = run_terminals(case, run)
    return {*ends.out, *ends.back}


def _all_cables(case: Case) -> dict[str, tuple[CableBody, ...]]:
    return {premises: _cables(case, premises) for premises in case.job.premises}


def _cables(case: Case, premises: str) -> tuple[CableBody, ...]:
    house = case.job.premises[premises]
    groups = _groups(case, [run for run in case.once(_all_runs)[premises] if not run.is_link])
    labels = [group[0].run.label if group[0].run is not None else None for group in groups]
    counted = _numbers({*house.cables, *(label for label in labels if label)})
    bodies = [
        _of_runs(case, group, label or next(counted), is_labelled=label is not None)
        for group, label in zip(groups, labels, strict=True)
        if label not in house.cables
    ]
    in_drawn = {label: group for group, label in zip(groups, labels, strict=True) if label in house.cables}
    drawn = [
        _drawn(case, premises, label, cable, in_drawn.get(label, [])) for label, cable in house.cables.items()
    ]
    return (*bodies, *drawn)


def _numbers(taken: set[str]) -> Iterator[str]:
    """W1, W2 and so on, without those that the job gives itself."""
    number = 0
    while True:
        number += 1
        if f"W{number}" not in taken:
            yield f"W{number}"


def _groups(case: Case, laid: Sequence[Run]) -> list[list[Run]]:
    """Runs that lie in one cable, in the order of their first."""
    groups: list[list[Run]] = []
    for run in laid:
        mine = next((group for group in groups if _is_in(case, run, group)), None)
        if mine is None:
            groups.append([run])
        else:
            mine.append(run)
    return groups


def _is_in(case: Case, run: Run, group: Sequence[Run]) -> bool:
    first = group[0]
    if run.run is None or first.run is None:
        return False
    if run.run.label or first.run.label:
        return run.run.label == first.run.label
    if (run.run.part, run.run.length_m) != (first.run.part, first.run.length_m):
        return False
    if any(_returns_on(run, other) or _returns_on(other, run) for other in group):
        return True
    same_things = {run.start, run.target} == {first.start, first.target}
    return same_things and all(_are_apart(case, run, other) for other in group)


def _are_apart(case: Case, run: Run, other: Run) -> bool:
    """Whether both name their cores, and one that both name ends at one terminal."""
    mine, theirs = _named(case, run), _named(case, other)
    return bool(mine and theirs) and all(
        set(mine[name]) & set(theirs[name]) for name in mine.keys() & theirs.keys()
    )


def _named(case: Case, run: Run) -> dict[str, tuple[Terminal, Terminal]]:
    names = named_cores(run.run)
    ends = run_terminals(case, run)
    return dict(zip(names, (ends.out, ends.back), strict=False)) if len(names) >= 2 else {}


def _returns_on(run: Run, other: Run) -> bool:
    """Whether a run comes back on another's core, and all the way."""
    text = run.run.shares_return_with if run.run is not None else None
    if text is None or run.run is None or run is other:
        return False
    if run.run.shared_m is not None and run.run.shared_m < run.run.length_m:
        return False
    if other.at is None:
        return text == other.target
    names = {other.at.path, f"{other.at.receiver}/{other.at.number}"}
    if other.at.receiver in (run.target, run.at.receiver if run.at is not None else None):
        names.add(other.at.number)
    return text in names


def _is_on_feed(run: Run, feed: Run) -> bool:
    """Whether what a contact feeds hangs on both cores that feed its receiver, at their far end."""
    if run.kind != "power" or feed.kind != "supply" or run.at is None or run.at.receiver != feed.target:
        return False
    mine, theirs = named_cores(run.run), named_cores(feed.run)
    return bool(mine) and mine[:1] == theirs[:1] and _returns_on(run, feed)


@dataclass
class _Cores:
    """The cores of a cable as they are taken up, the near end at `start`."""

    case: Case
    start: str
    known: dict[str, CoreBody] = field(default_factory=dict)
    clashes: list[UsedTwice] = field(default_factory=list)
    backs: dict[int, str] = field(default_factory=dict)

    def take(self, group: Sequence[Run]) -> None:
        """Those of short forms; one that returns on another's core after that one."""
        hosts = {id(run): next((other for other in group if _returns_on(run, other)), None) for run in group}
        for run in sorted(group, key=lambda run: hosts[id(run)] is not None):
            if any(_is_on_feed(run, other) for other in group):
                continue  # no core of its own: joined at the far end
            names = named_cores(run.run)
            ends = run_terminals(self.case, run)
            turned = run.start != self.start and run.target == self.start
            host = hosts[id(run)]
            back = self.backs.get(id(host)) if host is not None else None
            self._add(names[0] if names else None, ends.out, turned=turned)
            self.backs[id(run)] = self._add(
                names[1] if len(names) > 1 else back,
                ends.back,
                turned=turned,
                is_shared=back is not None,
                is_named=len(names) > 1,
            )

    def _add(
        self,
        name: str | None,
        ends: tuple[Terminal, Terminal],
        *,
        turned: bool,
        is_shared: bool = False,
        is_named: bool = True,
    ) -> str:
        near, far = reversed(ends) if turned else ends
        if name is None:
            name = next(str(n) for n in range(1, 1000) if str(n) not in self.known)
            is_named = False
        there = self.known.get(name)
        if there is None or not there.is_used:
            laid = there.laid if there is not None else None
            self.known[name] = CoreBody(name, is_named, (near,), (far,), laid)
            return name
        if not (is_shared or near in there.near or far in there.far):
            self.clashes.append(UsedTwice(name, (there.near[0], there.far[0]), (near, far)))
        self.known[name] = replace(
            there, near=tuple(dict.fromkeys((*there.near, near))), far=tuple(dict.fromkeys((*there.far, far)))
        )
        return name


def _of_runs(case: Case, group: Sequence[Run], label: str, *, is_labelled: bool) -> CableBody:
    first = group[0]
    cores = _Cores(case, first.start)
    cores.take(group)
    laid = [run.run for run in group if run.run is not None]
    return CableBody(
        first.premises,
        label,
        laid[0].part if laid else "",
        laid[0].length_m if laid else None,
        path_of_run(case, first),
        tuple(cores.known.values()),
        first.start,
        ", ".join(dict.fromkeys(run.target if run.start == first.start else run.start for run in group)),
        is_labelled=is_labelled,
        way=next((run.way for run in laid if run.way), None),
        warmest_degc=next((run.warmest_degc for run in laid if run.warmest_degc is not None), None),
        runs=tuple(group),
        clashes=tuple(cores.clashes),
    )


def path_of_run(case: Case, run: Run) -> tuple[str | int, ...]:
    """Keys that lead to the cable of a run in the job file."""
    house = case.job.premises[run.premises]
    if run.kind == "status":
        number = run.target_terminals[0].removeprefix("input ")
        return ("premises", run.premises, "receivers", run.target, "inputs", number, "cable")
    if run.kind == "signal":
        receiver = run.start if run.start in house.receivers else run.back
        signal = next(
            name for name, given in house.receivers[receiver].signals.items() if given.cable is run.run
        )
        return ("premises", run.premises, "receivers", receiver, "signals", signal, "cable")
    if run.at is not None:
        return ("premises", run.premises, "receivers", run.at.receiver, "outputs", run.at.number, "cable")
    room = next(
        (
            room
            for room in ("receivers", "devices", "panels", "supplies")
            if run.target in getattr(house, room)
        ),
        "",
    )
    return ("premises", run.premises, room, run.target, "fed" if run.kind == "supply" else "tamper", "cable")


def _drawn(case: Case, premises: str, label: str, cable: Cable, group: Sequence[Run]) -> CableBody:
    cores = _Cores(case, group[0].start if group else "")
    for name in cable.cores:
        laid = cable.core(name)
        near, far, wrong = _ends(case, premises, laid)
        cores.known[name] = CoreBody(name, True, near, far, laid, wrong)
    cores.take(group)
    found = tuple(cores.known.values())
    return CableBody(
        premises,
        label,
        cable.part,
        cable.length_m,
        ("premises", premises, "cables", label),
        found,
        cable.from_ or _things(end for core in found for end in core.near),
        cable.to or _things(end for core in found for end in core.far),
        is_drawn=True,
        is_labelled=True,
        way=cable.way,
        warmest_degc=cable.warmest_degc,
        runs=tuple(group),
        clashes=tuple(cores.clashes),
    )


def _things(terminals: Iterable[Terminal]) -> str:
    return ", ".join(dict.fromkeys(terminal.thing for terminal in terminals))


def _ends(
    case: Case, premises: str, laid: LaidCore
) -> tuple[tuple[Terminal, ...], tuple[Terminal, ...], tuple[str, ...]]:
    """Near end and far ends of a drawn core, and what is wrong with those that are no terminals."""
    near, wrong_near = found_terminals(case, premises, laid.ends[:1])
    far, wrong_far = found_terminals(case, premises, laid.ends[1:])
    return near, far, (*wrong_near, *wrong_far)
