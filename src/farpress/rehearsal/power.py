"""How everything stands during a power cut and after it, for the papers and for the test on site.

Each thing is put to work in the model, the power of all fails and returns while nobody presses,
and the states are read off; then each supply fails alone, and both orders of return are tried. A panel on its
own battery keeps its state.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import NamedTuple

from farpress.case.behaviour import after_power_return
from farpress.case.case import Case, OutputAt
from farpress.core.rehearsal.model import TICK, StateModel, join
from farpress.core.rehearsal.ready import make_ready
from farpress.core.rehearsal.running import Runner, State
from farpress.phrases import listed
from farpress.rehearsal.building import build_site
from farpress.rehearsal.feeds import Feeds
from farpress.rehearsal.site import ModelledThing, Site, neighbours, output_id
from farpress.rehearsal.tracks import rest_of, states_of

__all__ = ["CutAlone", "PowerRow", "power_cut_table"]


@dataclass(frozen=True)
class CutAlone:
    """What is otherwise where a supply fails alone, or where supplies return in another order.

    Attributes:
        cut: what fails and returns, as a clause.
        after: the state then; several possible ones are joined with "or".
        comes_on: it works after it with nobody pressing, as it did not in the cut.
    """

    cut: str
    after: str
    comes_on: bool


@dataclass(frozen=True)
class PowerRow:
    """One output, device or panel through a power cut.

    Attributes:
        path: "premises/receiver/number" or "premises/name".
        what: output, device or panel, in words.
        before, during, after: its states; several possible ones after are joined with "or".
        comes_on: it is active after the return, with nobody pressing.
        asks: what to ask or try where the answer rests on something unknown.
        alone: cuts after which it stands otherwise than after that of the whole premises.
    """

    path: str
    what: str
    before: str
    during: str
    after: str
    comes_on: bool
    asks: str = ""
    alone: tuple[CutAlone, ...] = ()


def power_cut_table(case: Case) -> list[PowerRow]:
    """States before, during and after a power cut, output by output, then what they work."""
    rows: list[PowerRow] = []
    done: set[str] = set()
    for output in case.outputs():
        site = build_site(case, neighbours(case, (output,)), lengths=True, exact=True)
        if f"{output_id(output)}_start" not in site.starts:
            rows.append(
                PowerRow(
                    output.path,
                    _says(output),
                    "not known",
                    "not known",
                    "not known",
                    False,
                    " ".join(site.asks),
                )
            )
            continue
        rows += _rows(case, site, output, done)
    outputs = [row for row in rows if row.path.count("/") == 2]
    return outputs + [row for row in rows if row.path.count("/") != 2]


class _Tried:
    """A model with the conditions to look at, played through cuts."""

    def __init__(self, site: Site, output: OutputAt, things: list[ModelledThing]) -> None:
        conditions = [
            ("on", f"{output_id(output)}_on"),
            *(
                (f"{i}:{state}", condition)
                for i, thing in enumerate(things)
                for state, condition in states_of(thing)
            ),
        ]
        network = make_ready(join([site.model, StateModel(bad=dict(conditions))]), slicing=False)
        self.site, self.runner, self.names = site, Runner(network), tuple(network.bad)
        self.starts, self.key = network.starts, _key_of(site, output)
        press = (f"{self.key}_press", f"{output_id(output)}_by_itself")
        self.press = next((event for event in press if event in self.runner.events), "")

    def seen(self, taken: tuple[State, int] | None) -> set[str]:
        """Conditions that are so after an event."""
        return {name for bit, name in enumerate(self.names) if taken is not None and taken[1] >> bit & 1}

    def put_to_work(self) -> tuple[State, set[str]] | None:
        """The state after a press, let go of again, and what was so while it was pressed."""
        taken = self.runner.step(self.starts, self.press) if self.press else None
        before = self.seen(taken)
        if taken is not None and self.key in self.site.held:
            taken = self.runner.step(taken[0], f"{self.key}_release") or taken
        return (taken[0], before) if taken is not None else None

    def on_its_way(self, state: State) -> State:
        """A tick later: a leaf has to be on its way to show where it stops."""
        taken = self.runner.step(state, TICK) if TICK in self.runner.events else None
        return taken[0] if taken is not None else state

    def cut(self, state: State, off: str, *returns: str) -> _Through:
        """A cut, and what returns in turn; at the end in each way that a memory may have survived."""
        taken = self.runner.step(state, off)
        assert taken is not None
        end = taken
        for event in returns[:-1]:
            end = self.runner.step(end[0], event) or end
        afters = []
        for event in (returns[-1], f"{returns[-1]}_forgotten"):
            came = self.runner.step(end[0], event) if event in self.runner.events else None
            if came is not None:
                later = self.runner.step(came[0], TICK) if TICK in self.runner.events else None
                afters.append(self.seen(came) | self.seen(later))
        return _Through(self.seen(taken), afters)


class _Through(NamedTuple):
    """What is so in a cut, and in each way it may be after it."""

    during: set[str]
    afters: list[set[str]]

    @property
    def is_on(self) -> str:
        """How the output stands after it."""
        return " or ".join(dict.fromkeys(_state("on" in after) for after in self.afters))


def _key_of(site: Site, output: OutputAt) -> str | None:
    return next(
        (
            presser.key
            for presser in site.pressers
            if output.path in presser.paths and output.path not in presser.resets
        ),
        None,
    )


def _rows(case: Case, site: Site, output: OutputAt, done: set[str]) -> Iterator[PowerRow]:
    things = [thing for thing in site.thing_of(output) if thing.path not in done]
    tried = _Tried(site, output, things)
    worked = tried.put_to_work()
    if worked is None:
        return
    state, before = worked
    usual = tried.cut(state, "power_off", "power_on")
    of_leaf = tried.cut(tried.on_its_way(state), "power_off", "power_on")
    rows = [
        _thing_row(thing, i, before, *(of_leaf if thing.kind == "leaf" else usual))
        for i, thing in enumerate(things)
    ]
    alone = list(_alone(case, output, things, usual, rows))
    is_unknown = after_power_return(case, output) == "unknown"
    yield PowerRow(
        output.path,
        _says(output),
        _state("on" in before),
        _state("on" in usual.during),
        usual.is_on,
        any("on" in after for after in usual.afters),
        "Not known: switch the supply off three times while it is on." if is_unknown else "",
        tuple(cut for path, cut in alone if path == output.path),
    )
    for row in rows:
        done.add(row.path)
        yield replace(row, alone=tuple(cut for path, cut in alone if path == row.path))


def _alone(
    case: Case, output: OutputAt, things: list[ModelledThing], usual: _Through, rows: list[PowerRow]
) -> Iterator[tuple[str, CutAlone]]:
    """Cuts after which the output or a thing stands otherwise than after that of the whole premises."""
    site = build_site(case, neighbours(case, (output,)), lengths=True, exact=True, apart=True)
    there = [site.things[thing.path] for thing in things]
    tried = _Tried(site, output, there)
    worked = tried.put_to_work()
    if worked is None or site.feeds is None:
        return
    for says, off, returns in _cuts(site.feeds, output, there):
        met = tried.cut(worked[0], off, *returns)
        if met.is_on != usual.is_on and "on" not in met.during:
            yield output.path, CutAlone(says, met.is_on, "on" in met.is_on)
        of_leaf = tried.cut(tried.on_its_way(worked[0]), off, *returns)
        for i, (thing, known) in enumerate(zip(there, rows, strict=True)):
            row = _thing_row(thing, i, worked[1], *(of_leaf if thing.kind == "leaf" else met))
            if row.after not in (known.after, row.during):
                yield row.path, CutAlone(says, row.after, row.comes_on)


def _cuts(
    feeds: Feeds, output: OutputAt, things: list[ModelledThing]
) -> Iterator[tuple[str, str, tuple[str, ...]]]:
    """What fails and returns, as a clause, and its events: each supply alone, then both orders of return."""
    own = feeds.outputs[output.path]
    hang = tuple(dict.fromkeys((own, *(feeds.things.get(thing.path, own) for thing in things))))
    for k, cut in feeds.cuts.items():
        if set(cut.takes) & set(hang) and len(feeds.every) > 1:
            yield f"{cut.says} alone", f"power_off_{k}", (f"power_on_{k}",)
    for other in hang[1:]:
        for first, second in ((own, other), (other, own)):
            says = f"all, and {feeds.cuts[first].says} returns before {feeds.cuts[second].says}"
            yield says, "power_off", (f"power_on_{first}", f"power_on_{second}")


def _thing_row(
    thing: ModelledThing, i: int, before: set[str], during: set[str], afters: list[set[str]]
) -> PowerRow:
    def states(names: set[str]) -> str:
        own = [name.partition(":")[2] for name in sorted(names) if name.startswith(f"{i}:")]
        return (", then " if thing.kind == "panel" else " and ").join(own) or rest_of(thing)

    moving = {"opening", "closing", "up", "down", "on", "released", "both directions at once"}
    comes = any(
        name.partition(":")[2] in moving for after in afters for name in after if name.startswith(f"{i}:")
    )
    sheet = thing.load.sheet
    asks = ""
    if thing.kind == "leaf" and sheet.closes_after_s and sheet.closes_after_power_return is None:
        asks = "Does timed closing go on by itself? Cut the drive's supply while it stands open, and watch."
    elif thing.kind == "panel":
        asks = "On its own battery; without one, ask how it comes back."
        if states(during) == "unset" and any(states(after) != "unset" for after in afters):
            asks = f"It sets itself once the power is back: whoever is inside then raises the alarm. {asks}"
    elif sheet.fails is not None:
        asks = f"Without current: {sheet.fails}."
    return PowerRow(
        thing.path,
        thing.load.kind or "alarm panel",
        states(before),
        states(during),
        " or ".join(dict.fromkeys(states(after) for after in afters)),
        comes,
        asks,
    )


def _state(on: bool) -> str:
    return "on" if on else "off"


def _says(output: OutputAt) -> str:
    kind = output.output.traits.called
    return f"{kind} on {listed(output.works)}" if output.works else kind
