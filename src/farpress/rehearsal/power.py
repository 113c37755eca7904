"""How everything stands during a power cut and after it, for the papers and for the test on site.

Each thing is put to work in the model, the power of all receivers fails and returns while
nobody presses, and the states are read off. A panel on its own battery keeps its state.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from farpress.case.behaviour import after_power_return
from farpress.case.case import Case, OutputAt
from farpress.core.rehearsal.model import TICK, StateModel, join
from farpress.core.rehearsal.ready import make_ready
from farpress.core.rehearsal.running import Runner, State
from farpress.phrases import listed
from farpress.rehearsal.building import build_site
from farpress.rehearsal.site import ModelledThing, Site, neighbours, output_id
from farpress.rehearsal.tracks import states_of

__all__ = ["PowerRow", "power_cut_table"]


@dataclass(frozen=True)
class PowerRow:
    """One output, device or panel through a power cut.

    Attributes:
        path: "premises/receiver/number" or "premises/name".
        what: output, device or panel, in words.
        before, during, after: its states; several possible ones after are joined with "or".
        comes_on: it is active after the return, with nobody pressing.
        asks: what to ask or try where the answer rests on something unknown.
    """

    path: str
    what: str
    before: str
    during: str
    after: str
    comes_on: bool
    asks: str = ""


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


def _rows(case: Case, site: Site, output: OutputAt, done: set[str]) -> Iterator[PowerRow]:
    things = [thing for thing in site.thing_of(output) if thing.path not in done]
    conditions = [
        ("on", f"{output_id(output)}_on"),
        *(
            (f"{i}:{state}", condition)
            for i, thing in enumerate(things)
            for state, condition in states_of(thing)
        ),
    ]
    network = make_ready(join([site.model, StateModel(bad=dict(conditions))]), slicing=False)
    runner = Runner(network)
    names = tuple(network.bad)

    def seen(taken: tuple[State, int] | None) -> set[str]:
        return {name for bit, name in enumerate(names) if taken is not None and taken[1] >> bit & 1}

    key = next(
        (
            presser.key
            for presser in site.pressers
            if output.path in presser.paths and output.path not in presser.resets
        ),
        None,
    )
    press = next(
        (event for event in (f"{key}_press", f"{output_id(output)}_by_itself") if event in runner.events), ""
    )
    taken = runner.step(network.starts, press) if press else None
    before = seen(taken)
    if taken is None:
        return
    if key in site.held:
        taken = runner.step(taken[0], f"{key}_release") or taken

    def cut(state: State) -> tuple[set[str], list[set[str]]]:
        off = runner.step(state, "power_off")
        assert off is not None
        afters = []
        for event in ("power_on", "power_on_forgotten"):
            back = runner.step(off[0], event) if event in runner.events else None
            if back is not None:
                ticked = runner.step(back[0], TICK) if TICK in runner.events else None
                afters.append(seen(back) | seen(ticked))
        return seen(off), afters

    during, afters = cut(taken[0])
    # a leaf has to be on its way to show where it stops
    on_its_way = runner.step(taken[0], TICK) if TICK in runner.events else None
    leaf_during, leaf_afters = cut(on_its_way[0]) if on_its_way is not None else (during, afters)
    state = after_power_return(case, output)
    asks = "Not known: switch the supply off three times while it is on." if state == "unknown" else ""
    yield PowerRow(
        output.path,
        _says(output),
        _state("on" in before),
        _state("on" in during),
        " or ".join(dict.fromkeys(_state("on" in after) for after in afters)),
        any("on" in after for after in afters),
        asks,
    )
    for i, thing in enumerate(things):
        done.add(thing.path)
        yield (
            _thing_row(thing, i, before, leaf_during, leaf_afters)
            if thing.kind == "leaf"
            else _thing_row(thing, i, before, during, afters)
        )


def _thing_row(
    thing: ModelledThing, i: int, before: set[str], during: set[str], afters: list[set[str]]
) -> PowerRow:
    def states(names: set[str]) -> str:
        own = [name.partition(":")[2] for name in sorted(names) if name.startswith(f"{i}:")]
        return (", then " if thing.kind == "panel" else " and ").join(own) or {
            "leaf": "closed",
            "motor": "still",
            "panel": "unset",
            "load": idle,
        }[thing.kind]

    idle = {"unlocked": "released", "locked": "locked", None: "off"}[
        thing.load.sheet.fails if thing.load.traits.is_lock else None
    ]
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
