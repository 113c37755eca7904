"""Where a press is not heard surely enough: another aerial, or a second receiver nearer."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from typing import Final

from farpress.case.case import Case, OutputAt, promise_id
from farpress.case.driven import driven_of
from farpress.domain.finding import Change, Finding, Link, Verdict
from farpress.domain.job import Promise
from farpress.errors import InputError
from farpress.judging.output.toggling import toggles
from farpress.mending.candidates import Candidate
from farpress.mending.structural.as_written import as_written, new_receiver
from farpress.reach.aerial_places import Mounting
from farpress.reach.aerial_search import Trial, try_aerials
from farpress.reach.mountable import mount_near
from farpress.reach.radio_link import radio_of
from farpress.units import write_quantity

__all__ = ["nearer"]

_AERIAL_MIN: Final = 60
_RECEIVER_MIN: Final = 180
"""Minutes on site; our choice, a firm's own norms come first."""

_CABLE_SHARE: Final = 1.3
"""Way of a cable over the straight line, bends and risers too; our choice."""

_BESIDE_M: Final = 2.0

_EACH: Final = 3
"""So many aerials of one receiver are tried on the whole job; our choice."""


def nearer(case: Case, findings: Iterable[Finding]) -> Iterator[Candidate]:
    """Aerials after which every promise of a receiver that is made for sure is heard; where there is none, a
    second receiver on the way to each place.
    """
    unheard = {
        finding.about for finding in findings if finding.code == "AIR-01" and finding.verdict is Verdict.FAILS
    }
    weak = [promise for promise in case.job.promises if promise_id(promise) in unheard]
    boxes: dict[tuple[str, str], list[tuple[Promise, OutputAt]]] = {}
    for promise in weak:
        for output in case.outputs_of(promise.function):
            place = case.place(promise.from_, output.premises)
            if place is not None and place[0] == output.premises:
                boxes.setdefault((output.premises, output.receiver), []).append((promise, output))
    for (premises, receiver), waiting in boxes.items():
        aerials = list(_aerials(case, premises, receiver))
        yield from aerials
        if not aerials:
            for promise, output in waiting:
                yield from _second_receiver(case, promise, output)


def _aerials(case: Case, premises: str, receiver: str) -> Iterator[Candidate]:
    """The simplest first: the thinner coax, then the plainer kind."""
    musts = {promise_id(promise) for promise in case.job.promises if promise.importance == "must"}
    radio = radio_of(case)
    for mounting in (None, Mounting()):
        try:
            ranking = try_aerials(case, premises, receiver, radio=radio, mounting=mounting)
        except InputError:
            return  # nothing is promised there, or too little is known of it
        good = [trial for trial in ranking.trials if trial.changes and _keeps(trial, musts)]
        if good:
            surest, *others = good
            chosen = [surest, *sorted(others, key=_effort)[: _EACH - 1]]
            for trial in sorted(chosen, key=_effort):
                yield Candidate(trial.does, trial.changes, Link.AIR, _AERIAL_MIN)
            return


def _keeps(trial: Trial, musts: set[str]) -> bool:
    return all(kept.share >= kept.wanted for kept in trial.kept if kept.promise in musts)


def _effort(trial: Trial) -> tuple[bool, str]:
    return not trial.keeps_all, trial.does


def _second_receiver(case: Case, promise: Promise, output: OutputAt) -> Iterator[Candidate]:
    """One more receiver on the way, where it can be mounted, whose contact lies beside the other's at the
    same input.

    Only where a second closing at the same moment does no harm: nothing that each press turns round.
    """
    house = output.house
    entry = as_written(case, "premises", output.premises, "receivers", output.receiver)
    mine = as_written(
        case, "premises", output.premises, "receivers", output.receiver, "outputs", output.number
    )
    place = case.place(promise.from_, output.premises)
    made = new_receiver(case, output.premises, output.receiver, outputs=1)
    if not isinstance(entry, dict) or not isinstance(mine, dict) or place is None or made is None:
        return
    if any(toggles(output, driven) or driven.logic == "start" for driven in driven_of(case, output)):
        return
    start, here = house.places[place[1]].at, output.box.at
    if math.dist(start[:2], here[:2]) < _BESIDE_M:
        return
    apart = math.dist(start[:2], here[:2])
    mounts = [
        mount_near(
            house,
            here[0] + share * (start[0] - here[0]),
            here[1] + share * (start[1] - here[1]),
            within_m=apart / 4.0,
        )
        for share in (0.5, 0.75)
    ]
    for mount in dict.fromkeys(mounts):
        if mount is None or math.dist(mount.at[:2], here[:2]) < _BESIDE_M:
            continue
        name, box = made
        point = [round(metres, 1) for metres in mount.at]
        box = {key: value for key, value in box.items() if key not in ("antenna", "level")} | {"at": point}
        if mount.level is not None:
            box["level"] = mount.level
        if entry.get("antenna"):
            box["antenna"] = {"part": entry["antenna"]["part"], "at": point}
        supply = house.supplies.get(output.box.fed.from_) if output.box.fed is not None else None
        if isinstance(box.get("fed"), dict) and isinstance(box["fed"].get("cable"), dict):
            source = supply.at if supply is not None and supply.at is not None else here
            box["fed"]["cable"] = box["fed"]["cable"] | {"length": _way(source, point)}
        works = (output.output.works or "").split(".")[0]
        device = house.devices.get(works)
        laid = dict(mine)
        if isinstance(laid.get("cable"), dict):
            far = device.at if device is not None and device.at is not None else here
            laid["cable"] = {"part": laid["cable"]["part"], "length": _way(far, point)}
        box["outputs"] = {1: laid}
        function = case.job.functions[promise.function]
        paths = [*function.paths, f"{output.premises}/{name}/1"]
        changes = [
            Change(("premises", output.premises, "receivers", name), box),
            Change(("functions", promise.function, "outputs"), paths),
        ]
        if function.output is not None:
            changes.append(Change(("functions", promise.function, "output"), None))
        yield Candidate(
            f"A second receiver {name} ({box['part']}) for '{promise.function}' {mount.says}"
            f" ({point[0]:g}, {point[1]:g}), {point[2]:g} m up",
            tuple(changes),
            Link.RECEIVER,
            _RECEIVER_MIN,
        )


def _way(start: Sequence[float], end: Sequence[float]) -> str:
    """Length of a cable between two points, rounded up to whole metres."""
    return write_quantity(float(math.ceil(_CABLE_SHARE * math.dist(start[:2], end[:2]) + 2.0)), "length")
