"""Where a press is not heard surely enough at one receiver, and would be at another that hangs there: the
output moved to a free contact of that one, or exchanged with one of its outputs.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from typing import Any, Final

from farpress.case.case import Case, OutputAt, promise_id
from farpress.case.driven import holders
from farpress.domain.finding import Change, Finding, Link, Verdict
from farpress.domain.job import Promise
from farpress.mending.candidates import Candidate
from farpress.mending.structural.as_written import as_written
from farpress.reach.radio_link import radio_of
from farpress.units import write_quantity

__all__ = ["swaps"]

_EACH: Final = 4
"""So many exchanges are tried for one output, those with the least cable first; our choice."""

_MINUTES: Final = 60
_EACH_FOB_MIN: Final = 2
"""Two outputs wired and set anew, and each fob learned at the other receiver; our choice, a firm's own norms
come first."""

_CABLE_SHARE: Final = 1.3
"""Way of a cable over the straight line, bends and risers too; our choice."""


def swaps(case: Case, findings: Iterable[Finding]) -> Iterator[Candidate]:
    """For each output that a promise needs and that does not hear it: every other receiver that does.

    Args:
        case: a job that was read from a file.
        findings: of its assessment.
    """
    unheard = {
        finding.about for finding in findings if finding.code == "AIR-01" and finding.verdict is Verdict.FAILS
    }
    waiting: dict[str, OutputAt] = {}
    for promise in case.job.promises:
        if promise_id(promise) in unheard:
            waiting |= {output.path: output for output in case.outputs_of(promise.function)}
    for output in waiting.values():
        if _is_alone(case, output):
            yield from _elsewhere(case, output)


def _elsewhere(case: Case, output: OutputAt) -> Iterator[Candidate]:
    """Receivers of the address that hear every promise of an output: a free contact first, then exchanges."""
    exchanges: list[tuple[float, Candidate]] = []
    for name in output.house.receivers:
        if name == output.receiver or not _hears(case, output, name):
            continue
        number = _free(case, output.premises, name)
        if number is not None:
            yield _moved(case, output, name, number)
        for other in case.outputs():
            if other.receiver_path != f"{output.premises}/{name}" or not _is_alone(case, other):
                continue
            if _hears(case, other, output.receiver):
                exchanges.append(_exchanged(case, output, other))
    yield from (candidate for _, candidate in sorted(exchanges, key=lambda pair: pair[0])[:_EACH])


def _is_alone(case: Case, output: OutputAt) -> bool:
    """Whether nothing but functions names an output: no interlock, no input, no rule, no shared core."""
    neighbours = [other for number, other in output.box.outputs.items() if number != output.number]
    if output.output.interlock or any(other.interlock == output.number for other in neighbours):
        return False
    if any(entry.works == output.number for entry in output.box.inputs.values()):
        return False
    run = output.output.cable
    if run is not None and (run.shares_return_with or run.label or run.cores or run.along or run.existing):
        return False
    if not output.functions:
        return False
    called = {output.path, f"{output.receiver}/{output.number}"}
    return not any(
        called & set(_texts(as_written(case, top)))
        for top in ("premises", "groups", "promises", "rules", "readings", "delivery")
    )


def _texts(value: Any) -> Iterator[str]:
    """Every key and every text of an entry."""
    if isinstance(value, dict):
        for key, inner in value.items():
            yield str(key)
            yield from _texts(inner)
    elif isinstance(value, list):
        for inner in value:
            yield from _texts(inner)
    elif isinstance(value, str):
        yield value


def _hears(case: Case, output: OutputAt, receiver: str) -> bool:
    """Whether a receiver hears every promise of an output from its place as surely as promised."""
    promises = [promise for promise in case.job.promises if promise.function in output.functions]
    return bool(promises) and all(_is_heard(case, promise, output.premises, receiver) for promise in promises)


def _is_heard(case: Case, promise: Promise, premises: str, receiver: str) -> bool:
    place = case.place(promise.from_, premises)
    if place is None or place[0] != premises:
        return False
    link = radio_of(case).link(
        group=promise.to,
        premises=premises,
        receiver=receiver,
        place=case.job.premises[premises].places[place[1]],
        place_path=f"{premises}/{place[1]}",
    )
    share = link.share(int(promise.within_presses))
    return share is not None and share >= promise.at_least_share


def _free(case: Case, premises: str, receiver: str) -> str | None:
    part = case.equipment.receivers.get(f"{premises}/{receiver}")
    relays = (part.sheet.relays or 0) if part is not None else 0
    taken = case.job.premises[premises].receivers[receiver].outputs
    return next((str(n) for n in range(1, relays + 1) if str(n) not in taken), None)


def _moved(case: Case, output: OutputAt, receiver: str, number: str) -> Candidate:
    root = ("premises", output.premises, "receivers")
    laid, _ = _laid(case, output, receiver)
    path = f"{output.premises}/{receiver}/{number}"
    changes = [
        Change((*root, receiver, "outputs", number), laid),
        Change((*root, output.receiver, "outputs", output.number), None),
        *_renamed(case, {output.path: path}),
    ]
    return Candidate(
        f"Work {output.output.works} by output {number} of {receiver} instead of output {output.number} of"
        f" {output.receiver}, and learn its fobs there",
        tuple(changes),
        Link.RECEIVER,
        _MINUTES // 2 + _learned_min(case, output),
    )


def _exchanged(case: Case, output: OutputAt, other: OutputAt) -> tuple[float, Candidate]:
    """The candidate, with the metres of cable that it takes."""
    root = ("premises", output.premises, "receivers")
    mine, mine_m = _laid(case, output, other.receiver)
    its, its_m = _laid(case, other, output.receiver)
    changes = [
        Change((*root, output.receiver, "outputs", output.number), its),
        Change((*root, other.receiver, "outputs", other.number), mine),
        *_renamed(case, {output.path: other.path, other.path: output.path}),
    ]
    return mine_m + its_m, Candidate(
        f"Exchange output {output.number} of {output.receiver} ({output.output.works}) with output"
        f" {other.number} of {other.receiver} ({other.output.works}), and learn their fobs anew",
        tuple(changes),
        Link.RECEIVER,
        _MINUTES + _learned_min(case, output) + _learned_min(case, other),
    )


def _laid(case: Case, output: OutputAt, receiver: str) -> tuple[dict[str, Any], float]:
    """The entry of an output as it is written, its cable as long as from the other receiver; the metres."""
    root = ("premises", output.premises, "receivers", output.receiver, "outputs", output.number)
    entry = as_written(case, *root)
    laid = dict(entry) if isinstance(entry, dict) else {}
    here, there = output.box.at, output.house.receivers[receiver].at
    thing = case.driven(output.premises, output.output.works or "")
    if thing is not None and thing.at is not None:
        metres = float(math.ceil(_CABLE_SHARE * math.dist(thing.at[:2], there[:2]) + 2.0))
    else:
        had_m = output.output.cable.length_m if output.output.cable is not None else 0.0
        metres = float(math.ceil(had_m + _CABLE_SHARE * math.dist(here[:2], there[:2])))
    if isinstance(laid.get("cable"), dict):
        laid["cable"] = laid["cable"] | {"length": write_quantity(metres, "length")}
    fed, other = output.box.fed, output.house.receivers[receiver].fed
    if fed is not None and other is not None and laid.get("load_from") == fed.from_:
        laid["load_from"] = other.from_  # what the receiver's own supply feeds, the supply there feeds then
    return laid, metres


def _renamed(case: Case, paths: dict[str, str]) -> Iterator[Change]:
    """Functions with the new paths in the places of the old ones."""
    for name, function in case.job.functions.items():
        if function.output in paths:
            yield Change(("functions", name, "output"), paths[function.output])
        if set(function.outputs) & paths.keys():
            yield Change(("functions", name, "outputs"), [paths.get(path, path) for path in function.outputs])


def _learned_min(case: Case, output: OutputAt) -> int:
    """Minutes to learn every fob that presses an output."""
    fobs = sum(
        (holders(group) or 1) + group.spares
        for group in case.job.groups.values()
        if set(output.functions) & set(case.job.functions_of(group))
    )
    return _EACH_FOB_MIN * fobs
