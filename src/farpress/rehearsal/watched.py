"""What is watched in a model for each kind of rule, and whether it can be watched there at all."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace

from farpress.case.case import Case, OutputAt
from farpress.case.driven import Driven, driven_of
from farpress.core.rehearsal import watches
from farpress.core.rehearsal.model import StateModel, Variable, join
from farpress.rehearsal.panels import BAD, Watch, pressed_text
from farpress.rehearsal.site import ModelledThing, Site, input_id, output_id, thing_id

__all__ = [
    "active",
    "after_each_supply",
    "any_of",
    "both_directions",
    "closed",
    "does_something",
    "is_on",
    "leaf_opens",
    "longer_than",
    "missing",
    "occupied",
    "panel_is",
    "second_press",
    "toggled_out_of_step",
    "turned",
    "turned_too_soon",
]


def active(site: Site, output: OutputAt) -> str:
    """Whether what an output does goes on: its devices if they are in the model, else its contact."""
    things = [thing for thing in site.thing_of(output) if thing.kind in ("leaf", "motor")]
    return " or ".join(f"({thing.active})" for thing in things) if things else closed(output)


def after_each_supply(case: Case, site: Site, output: OutputAt) -> StateModel:
    """Watch: what an output works begins by itself as one of the supplies returns."""
    assert site.feeds is not None
    things = [thing for thing in site.thing_of(output) if thing.kind != "panel"]
    acts = (*site.starts, *(f"{key}_sends" for key in site.held))
    timers = {timer.name for timer in site.model.timers}

    def begins(name: str, does: str, workers: Iterable[OutputAt], own: str, asked: str = "1") -> StateModel:
        feeds = site.feeds
        assert feeds is not None
        ids = [output_id(worker) for worker in workers]
        running = [f"{o}_{kind} > 0" for o in ids for kind in ("t", "u") if f"{o}_{kind}" in timers]
        return watches.after_supply(
            name,
            does,
            acts,
            receivers=tuple(dict.fromkeys(f"came_{feeds.outputs[worker.path]}" for worker in workers)),
            own=own,
            running=" or ".join(running) or "0",
            asked=asked,
        )

    if not things:
        return begins(BAD, closed(output), (output,), "0")
    parts = []
    for number, thing in enumerate(things):
        workers = tuple(
            other for other in site.outputs if any(load.path == thing.path for load in driven_of(case, other))
        )
        own = f"came_{site.feeds.things[thing.path]}"
        asked = " or ".join(thing.rises) if thing.kind == "leaf" else "1"
        parts.append(begins(f"{BAD}{number}", thing.active, workers, own, asked))
    return any_of(parts)


def any_of(watched: Iterable[StateModel]) -> StateModel:
    """Watch: any of what several watch."""
    parts = list(watched)
    any_of_them = " or ".join(f"({condition})" for part in parts for condition in part.bad.values())
    return join([*(replace(part, bad={}) for part in parts), StateModel(bad={BAD: any_of_them})])


def closed(output: OutputAt) -> str:
    """Whether an output closes its circuit, as an expression; a panel is worked by the contact itself."""
    panel_only = bool(output.works) and all(
        name.partition(".")[0] in output.house.panels for name in output.works
    )
    return (
        f"not {output_id(output)}_on"
        if output.output.contact == "normally closed" and not panel_only
        else f"{output_id(output)}_on"
    )


def is_on(output: OutputAt) -> Callable[[Site], tuple[tuple[str, str], ...]]:
    """That an output is on, in words and as an expression."""
    return lambda site: ((f"{output.path} is on", closed(output)),)


def does_something(output: OutputAt) -> Callable[[Site], tuple[tuple[str, str], ...]]:
    """That a press of an output moves, feeds, sets or unsets anything, in words and as expressions."""

    def ways(site: Site) -> tuple[tuple[str, str], ...]:
        own = [
            f"{thing_id(thing.path)}_going" if thing.kind == "panel" else thing.active
            for thing in site.thing_of(output)
        ]
        what = " or ".join(f"({way})" for way in own) or closed(output)
        return ((f"what {output.path} works is worked", what),)

    return ways


def leaf_opens(load: Driven) -> Callable[[Site], tuple[tuple[str, str], ...]]:
    """That a leaf opens."""
    name = load.path.partition("/")[2]
    return lambda site: ((f"{name} opens", f"{thing_id(load.path)}_mode == 1"),)


def panel_is(path: str, state: str, so: str) -> Callable[[Site], tuple[tuple[str, str], ...]]:
    """That a panel is in a state, as the name of its variable says."""
    name = path.partition("/")[2]
    return lambda site: ((f"{name} {state}", f"{thing_id(path)}_{so}"),)


def missing(site: Site, output: OutputAt) -> str:
    """Why an output cannot be watched; empty if it can."""
    return "" if f"{output_id(output)}_start" in site.starts else f"{output.path} is not in the model"


def longer_than(output: OutputAt, limit_s: float) -> Watch:
    """Watch: an output is on for longer than a limit [s]."""

    def watch(site: Site) -> StateModel | str:
        return missing(site, output) or watches.longer_than(
            BAD, closed(output), limit_ms=round(limit_s * 1000)
        )

    return watch


def second_press(output: OutputAt, load: Driven, limit_s: float) -> Watch:
    """Watch: a second press within a time [s] of the first works the same leaf."""

    def watch(site: Site) -> StateModel | str:
        thing = site.things.get(load.path)
        if thing is None or thing.kind != "leaf":
            return f"{load.path} has no movement that a press begins"
        return watches.second_press(
            BAD,
            thing_id(load.path),
            [
                _by_press(site, load.path, name)
                for name in thing.rises
                if name == f"{input_id(output.premises, load.works)}_rise"
            ],
            within_ms=round(limit_s * 1000),
        )

    return watch


def turned(case: Case, output: OutputAt) -> Watch:
    """Watch: a press ends or turns what a press began."""

    def watch(site: Site) -> StateModel | str:
        own = f"{output_id(output)}_start"
        leaves: list[ModelledThing] = [thing for thing in site.thing_of(output) if thing.kind == "leaf"]
        panel = [thing for thing in site.thing_of(output) if thing.kind == "panel"]
        if missing(site, output):
            return missing(site, output)
        if leaves:
            return any_of(
                watches.turned_back(
                    f"{BAD}{number}", _begun_by(load, thing_id(load.path)), [_by_press(site, load.path, rise)]
                )
                for number, load in enumerate(driven_of(case, output))
                for rise in (f"{input_id(output.premises, load.works)}_rise",)
                if load.logic != "stop" and any(rise in thing.rises for thing in leaves)
            )
        if panel:
            unsets = any((load.reading.unsets and not load.reading.sets) for load in driven_of(case, output))
            return any_of(
                watches.turned_back(
                    f"{BAD}{number}",
                    f"{'not ' if unsets else ''}{thing_id(thing.path)}_going",
                    [own],
                    pending=thing.delays,
                )
                for number, thing in enumerate(panel)
            )
        return watches.turned_back(BAD, closed(output), [own])

    return watch


def _by_press(site: Site, path: str, rise: str) -> str:
    """That an input closes by a press, and is not found closed as the supply of its drive returns."""
    k = site.feeds.things.get(path) if site.feeds is not None else None
    return f"({rise} and not came_{k})" if k is not None else rise


def _begun_by(load: Driven, d: str) -> str:
    """What a press of an input of a leaf begins, as an expression: it opens; by an input to close, closes."""
    return f"{d}_mode == 3" if load.logic == "close" else f"{d}_mode == 1 or {d}_mode == 2"


def toggled_out_of_step(output: OutputAt) -> Watch:
    """Watch: after a heard press a toggle does not stand as its presser believes."""
    o = output_id(output)

    def watch(site: Site) -> StateModel | str:
        if missing(site, output):
            return missing(site, output)
        stands = StateModel(
            (Variable(f"{o}_going", passing=True),), settling=(f"{o}_going = 1 if {o}_on else 0",)
        )
        pressed = {f"{o}_start": pressed_text(output, output.functions)}
        return join([stands, watches.falls_out_of_step(BAD, o, pressed, {}, {})])

    return watch


def occupied(path: str) -> Watch:
    """Watch: a leaf closes while somebody is under it."""

    def watch(site: Site) -> StateModel | str:
        thing = site.things.get(path)
        return (
            watches.on_somebody(BAD, thing_id(path))
            if thing is not None and thing.kind == "leaf"
            else f"{path} has no movement that a press begins"
        )

    return watch


def both_directions(path: str) -> Watch:
    """Watch: a motor is fed in both directions."""

    def watch(site: Site) -> StateModel | str:
        return (
            watches.both(BAD, f"{thing_id(path)}_m == 3", "1")
            if path in site.things
            else f"{path} is not in the model"
        )

    return watch


def turned_too_soon(path: str, pause_s: float) -> Watch:
    """Watch: a motor turns round in less than its pause [s]."""

    def watch(site: Site) -> StateModel | str:
        return (
            watches.reversed_too_soon(BAD, f"{thing_id(path)}_m", pause_ms=round(pause_s * 1000))
            if path in site.things
            else f"{path} is not in the model"
        )

    return watch
