"""What is drawn of a played story: every output, device and panel, and the states they pass through."""

from __future__ import annotations

from collections.abc import Iterator

from farpress.case.case import Case, OutputAt
from farpress.core.rehearsal.driven import MODES
from farpress.core.rehearsal.model import StateModel
from farpress.core.rehearsal.panels import ACKNOWLEDGED, acknowledgement
from farpress.phrases import listed
from farpress.rehearsal.site import ModelledThing, Site, output_id, signals_of, thing_id
from farpress.rehearsal.timeline import Span, Track

__all__ = ["acknowledging", "rest_of", "states_of", "tracks_of", "watched_of"]


def watched_of(case: Case, site: Site) -> list[tuple[str, str, str, str]]:
    """Name, what it is, state and condition of everything drawn."""
    found = [("power", "supply", "off", "not power")]
    if site.feeds is not None:
        found += [(site.feeds.paths[k], "supply", "off", f"not up_{k}") for k in site.feeds.every]
    for output in site.outputs:
        if f"{output_id(output)}_start" in site.starts:
            found.append(
                (
                    output.path,
                    f"{output.output.kind} on {listed(output.works)}" if output.works else output.output.kind,
                    "on",
                    f"{output_id(output)}_on",
                )
            )
    for path, thing in site.things.items():
        found += [(path, _kind(thing), state, condition) for state, condition in states_of(thing)]
    for path in site.things:
        acknowledging = _acknowledgers(case, site, path) if site.things[path].kind == "panel" else []
        for _, asking in acknowledging[:1]:
            sheet = case.equipment.receivers[asking[0].receiver_path].sheet
            counts = sheet.acknowledge_pulses or tuple(ACKNOWLEDGED.values())
            found += [
                (
                    f"{path} acknowledged",
                    "pulses",
                    f"{count} pulse{'s' if count > 1 else ''}",
                    f"{thing_id(path)}_code == {code}",
                )
                for code, count in enumerate(counts, 1)
            ]
    return found


def _kind(thing: ModelledThing) -> str:
    return thing.load.kind or ("panel" if thing.kind == "panel" else thing.kind)


def states_of(thing: ModelledThing) -> Iterator[tuple[str, str]]:
    """The states of a device or panel that are not rest, each with its condition in the model."""
    d = thing_id(thing.path)
    if thing.kind == "leaf":
        yield MODES[1], f"{d}_mode == 1"
        yield "open", f"{d}_mode == 2 and {d}_pos == {d}_N"
        yield "still, partly open", f"{d}_mode == 2 and {d}_pos > 0 and {d}_pos < {d}_N"
        yield "still, partly closed", f"{d}_mode == 0 and {d}_pos > 0"
        yield MODES[3], f"{d}_mode == 3"
    elif thing.kind == "motor":
        yield "up", f"{d}_m == 1"
        yield "down", f"{d}_m == 2"
        yield "both directions at once", f"{d}_m == 3"
    elif thing.kind == "panel":
        yield "set", f"{d}_st and not {d}_al and not {d}_entering"
        yield "entry time", f"{d}_entering"
        yield "alarm", f"{d}_st and {d}_al"
        yield "exit time", f"{d}_going and not {d}_st"
    elif thing.load.traits.is_lock and thing.load.sheet.fails is not None:
        yield ("locked" if thing.load.sheet.fails == "unlocked" else "released"), thing.active
    else:
        yield "on", thing.active


def rest_of(thing: ModelledThing) -> str:
    """The state of a device or panel at rest, of which `states_of` has the others."""
    if thing.kind == "load":
        is_lock = thing.load.traits.is_lock
        return {"unlocked": "released", "locked": "locked", None: "off"}[
            thing.load.sheet.fails if is_lock else None
        ]
    return {"leaf": "closed", "motor": "still", "panel": "unset"}[thing.kind]


def _acknowledgers(case: Case, site: Site, path: str) -> list[tuple[float, tuple[OutputAt, ...]]]:
    found = []
    for receiver in dict.fromkeys(output.receiver_path for output in site.outputs):
        part = case.equipment.receivers.get(receiver)
        own = tuple(
            output
            for output in site.outputs
            if output.receiver_path == receiver and f"{output_id(output)}_start" in site.starts
        )
        reads = any(
            terminal.reads.partition(".")[0] == path.partition("/")[2] and terminal.reads.endswith(".set")
            for terminal in (own[0].box.inputs.values() if own else ())
        )
        asking = tuple(
            output
            for output in own
            if any(f"{output.premises}/{works.partition('.')[0]}" == path for works in output.works)
        )
        if reads and asking and part is not None and part.sheet.acknowledge_within_s is not None:
            found.append((part.sheet.acknowledge_within_s, asking))
    return found


def acknowledging(case: Case, site: Site) -> Iterator[StateModel]:
    """The windows in which receivers acknowledge a state of a panel."""
    for path, thing in site.things.items():
        if thing.kind == "panel":
            for window, asking in _acknowledgers(case, site, path)[:1]:
                yield acknowledgement(
                    thing_id(path), signals_of(site, asking), window_ms=round(window * 1000)
                )


def tracks_of(
    watched: list[tuple[str, str, str, str]], history: list[tuple[int, int]], tick_s: float, ends_s: float
) -> Iterator[Track]:
    """The lines drawn, from the history of a played story: ticks, and a bit for each condition."""
    names = dict.fromkeys((name, says) for name, says, _, _ in watched)
    for name, says in names:
        spans: list[Span] = []
        for bit, (other, _, state, _) in enumerate(watched):
            if other == name:
                spans += _spans(history, bit, state, tick_s, ends_s)
        yield Track(name, says, tuple(sorted(spans, key=lambda span: span.from_s)))


def _spans(
    history: list[tuple[int, int]], bit: int, state: str, tick_s: float, ends_s: float
) -> Iterator[Span]:
    since: float | None = None
    for ticks, bits in history:
        on = bits >> bit & 1
        if on and since is None:
            since = round(ticks * tick_s, 6)
        elif not on and since is not None:
            yield Span(since, round(ticks * tick_s, 6), state)
            since = None
    if since is not None:
        yield Span(since, ends_s, state)
