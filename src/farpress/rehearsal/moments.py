"""From a story in words to events of a model, each at its moment."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Final

from farpress.case.case import Case, OutputAt
from farpress.errors import InputError
from farpress.phrases import listed
from farpress.rehearsal.feeds import feeds_of
from farpress.rehearsal.presses import pressers
from farpress.rehearsal.search import time_text
from farpress.rehearsal.site import Site, neighbours, thing_id
from farpress.rehearsal.story import Happening
from farpress.rehearsal.surrounding import area_id, everything_round, lock_id
from farpress.rehearsal.timeline import PlayedMoment

__all__ = ["moments_of", "outputs_of"]


def outputs_of(case: Case, happenings: list[Happening]) -> tuple[OutputAt, ...]:
    """The outputs that a story touches, and all that depend on them."""
    every = tuple(case.outputs())
    paths = {
        path
        for happening in happenings
        for name in happening.functions
        for path in case.job.functions[name].paths
    }
    named = {
        path
        for happening in happenings
        if happening.kind in _EVENTS
        for path in (happening.who.partition(".")[0], *_gates(case, happening))
    }
    feeds = feeds_of(case, every)
    cut = {k for happening in happenings for k, path in feeds.paths.items() if path == happening.who}
    named |= {path for path, k in feeds.things.items() if any(k in feeds.cuts[lost].takes for lost in cut)}
    paths |= {path for path, k in feeds.outputs.items() if any(k in feeds.cuts[lost].takes for lost in cut)}
    seeds = [
        output
        for output in every
        if output.path in paths
        or any(f"{output.premises}/{works.partition('.')[0]}" in named for works in output.works)
    ]
    return neighbours(case, seeds or every)


def moments_of(
    case: Case, site: Site, happenings: list[Happening]
) -> tuple[list[tuple[float, str]], list[PlayedMoment]]:
    """Events of the model with their moments [s], and what is written beside each.

    Raises:
        InputError: something of the story cannot happen in this job; all faults at once.
    """
    all_dark = _stretches(happenings, "power off", "power on")
    lost = [
        (happening.at_s, happening.at_s + happening.for_s)
        for happening in happenings
        if happening.kind == "lost"
    ]
    found: list[tuple[float, int, str, str]] = []
    last_end: dict[tuple[str, str, bool], float] = {}
    every = pressers(case, site.outputs)
    happens = {known.name for part in (site.model, everything_round(case, site)) for known in part.events}
    faults = []
    presses = set()
    for order, happening in enumerate(happenings):
        if happening.kind in ("power off", "power on"):
            event, says = _of_power(site, happening)
            if not event:
                faults.append(f"{happening.text}: nothing of this story hangs on {happening.who} alone.")
            found.append((happening.at_s, order, event, says))
        elif happening.kind == "wait":
            found.append((happening.at_s, order, "", ""))
        elif happening.kind == "lost":
            found.append((happening.at_s, order, "", f"telegrams are lost for {time_text(happening.for_s)}"))
        elif happening.kind in _EVENTS:
            event = _event(happening)
            if event not in happens:
                whom = f"to {happening.who}" if happening.who else "at this time of day"
                faults.append(f"{happening.text}: nothing of that kind can happen {whom} in this job.")
            found.append((happening.at_s, order, event, happening.text))
        else:
            fitting = [
                presser
                for presser in every
                if set(happening.functions) & set(presser.functions)
                and (presser.functions == happening.functions or len(happening.functions) == 1)
            ]
            exact = (
                [
                    presser
                    for presser in fitting
                    if presser.functions == happening.functions and presser.length == happening.length
                ]
                or [presser for presser in fitting if presser.functions == happening.functions]
                or fitting
            )
            if not exact:
                faults.append(
                    f"{happening.text}: nothing of what it works can be played. {' '.join(site.asks)}".strip()
                )
                continue
            presses.add(order)
            dark = [*all_dark, *_dark_alone(case, site, happenings, happening)]
            found += _pressing(case, site, happening, order, exact[0].key, dark, lost, last_end)
    if faults:
        raise InputError("\n".join(faults))
    found.sort(key=lambda moment: (moment[0], moment[1]))
    return [(at_s, event) for at_s, _, event, _ in found], [
        PlayedMoment(at_s, says, order in presses) for at_s, order, _, says in found
    ]


def _pressing(
    case: Case,
    site: Site,
    happening: Happening,
    order: int,
    key: str,
    dark: list[tuple[float, float]],
    lost: list[tuple[float, float]],
    last_end: dict[tuple[str, str, bool], float],
) -> Iterator[tuple[float, int, str, str]]:
    cut_off = next(
        (
            case.equipment.fobs[name].sheet.cut_off_s
            for name, group in case.job.groups.items()
            if (name == happening.who or happening.who in group.people) and name in case.equipment.fobs
        ),
        None,
    )
    end = happening.at_s + (happening.for_s if cut_off is None else min(happening.for_s, cut_off))
    who = f"somebody else of {happening.who}" if happening.is_another else happening.who
    says = (
        f"{who}: {listed(happening.functions)}"
        f" {'held' if happening.for_s > 1 else 'pressed'}{' long' if happening.length == 'long' else ''}"
    )
    receivers = [
        case.equipment.receivers.get(path.rpartition("/")[0])
        for name in happening.functions
        for path in case.job.functions[name].paths
    ]
    dropouts = [
        part.sheet.dropout_s for part in receivers if part is not None and part.sheet.dropout_s is not None
    ]
    dropout = max(dropouts, default=0.0)
    held, fob = key in site.held, (key, happening.who, happening.is_another)
    pieces = _without(happening.at_s, end, [*lost, *dark])
    for index, (start, stop) in enumerate(pieces):
        came_back = any(start == until for _, until in dark)
        text = (
            says
            if index == 0 and start == happening.at_s
            else f"{who}: heard again"
            + (", seen as a new press" if start - last_end.get(fob, -1e9) >= dropout else "")
        )
        if held:
            yield start, order, f"{key}_press", text
            yield (
                stop,
                order + 1000,
                f"{key}_release",
                f"{who}: {listed(happening.functions)} {'let go' if stop == end else 'no longer heard'}",
            )
        elif came_back or start - last_end.get(fob, -1e9) >= dropout:
            yield start, order, f"{key}_press", text
        else:
            yield (
                start,
                order,
                "",
                f"{text}, less than the drop-out time after the last one: seen as the same press",
            )
        last_end[fob] = stop
    if not pieces:
        yield happening.at_s, order, "", f"{says}, not heard"


def _of_power(site: Site, happening: Happening) -> tuple[str, str]:
    """The event of the power, or of a supply that fails alone, and its words; empty where there is none."""
    event, verb = happening.kind.replace(" ", "_"), "fails" if happening.kind == "power off" else "returns"
    if not happening.who:
        return event, f"the power {verb}"
    k = _supply_of(site, happening.who)
    return (f"{event}_{k}", f"{site.feeds.cuts[k].says} {verb}") if site.feeds and k else ("", "")


def _supply_of(site: Site, path: str) -> str:
    """The supply named by its own path, or by what hangs on it; empty where there is none."""
    feeds = site.feeds
    if feeds is None:
        return ""
    of_receivers = {output.rpartition("/")[0]: k for output, k in feeds.outputs.items()}
    own = next((k for k, named in feeds.paths.items() if named == path), "")
    return own or of_receivers.get(path) or feeds.things.get(path, "")


def _dark_alone(
    case: Case, site: Site, happenings: list[Happening], press: Happening
) -> list[tuple[float, float]]:
    """When the receivers that a press is for have no current of their own."""
    if site.feeds is None:
        return []
    paths = {path for name in press.functions for path in case.job.functions[name].paths}
    feeding = {site.feeds.outputs[path] for path in paths if path in site.feeds.outputs}
    found: list[tuple[float, float]] = []
    for k, cut in site.feeds.cuts.items():
        if feeding and feeding <= set(cut.takes):
            own = [event for event in happenings if event.who and _supply_of(site, event.who) == k]
            found += _stretches([replace(event, who="") for event in own], "power off", "power on")
    return found


def _stretches(happenings: list[Happening], begins: str, ends: str) -> list[tuple[float, float]]:
    found = []
    since = None
    for happening in happenings:
        if happening.who and happening.kind in (begins, ends):
            continue
        if happening.kind == begins and since is None:
            since = happening.at_s
        elif happening.kind == ends and since is not None:
            found.append((since, happening.at_s))
            since = None
    return [*found, (since, float("inf"))] if since is not None else found


def _without(start: float, stop: float, gaps: list[tuple[float, float]]) -> list[tuple[float, float]]:
    pieces = [(start, stop)]
    for begins, ends in gaps:
        pieces = [
            piece
            for a, b in pieces
            for piece in ((a, min(b, begins)), (max(a, ends), b))
            if piece[1] > piece[0]
        ]
    return sorted(pieces)


_OF_PANELS: Final = frozenset({"keypad", "alarm", "entry"})
"""Kinds of a happening that a panel, or an area of its own, is named with."""

_EVENTS: Final = {
    "keypad": "{d}_keypad",
    "alarm": "{d}_alarm",
    "entry": "{d}_entry",
    "under": "{d}_enter",
    "clear": "{d}_leave",
    "goes in": "{a}_comes",
    "goes out": "{a}_goes",
    "drives in": "{k}_in_{g}",
    "drives out": "{k}_out_{g}",
    "works on": "{d}_work",
    "work over": "{d}_work_over",
    "isolator on": "{d}_isolator_on",
    "clock": "clock_{time}",
}
"""Kind of a happening → the event of the model, with the thing, area, lock, gate or time it happens to."""


def _event(happening: Happening) -> str:
    path, _, area = happening.who.partition(".")
    premises, _, name = path.partition("/")
    return _EVENTS[happening.kind].format(
        d=thing_id(happening.who if happening.kind in _OF_PANELS else path),
        a=area_id(path, area or name),
        k=lock_id(premises, name),
        g=thing_id(f"{premises}/{happening.by}"),
        time=happening.by.replace(":", ""),
    )


def _gates(case: Case, happening: Happening) -> tuple[str, ...]:
    premises, _, name = happening.who.partition("/")
    if happening.kind not in ("drives in", "drives out"):
        return ()
    lock = case.job.premises[premises].gate_locks[name]
    return tuple(f"{premises}/{gate}" for gate in (*lock.enter_by, *lock.leave_by))
