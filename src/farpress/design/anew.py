"""What stands taken away again, so that it is drawn anew: receivers, and with all of them their supplies.

What their outputs work stays as a wish of the functions that press them, and how long a thing goes on
likewise.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

from farpress.case.case import Case, OutputAt
from farpress.case.changed import with_changes
from farpress.case.driven import driven_of
from farpress.design.fixes import NOTHING_FIXED, Fixes
from farpress.design.result import Design
from farpress.design.signals import TakenSignal, taken_from
from farpress.domain.finding import Change
from farpress.errors import InputError
from farpress.phrases import closest
from farpress.units import write_quantity

__all__ = ["Bare", "anew_from"]


@dataclass(frozen=True)
class Bare:
    """A job without what is to be drawn anew.

    Attributes:
        case: as it then stands.
        changes: of the file that took it away.
        asks: receiver → what hung on it and is not drawn anew.
        fixes: what the customer wanted of a supply that is taken away: standby, and what else hangs on it.
        signals: of receivers that are taken away, to be led from new ones.
    """

    case: Case
    changes: tuple[Change, ...] = ()
    asks: tuple[tuple[str, str], ...] = ()
    fixes: Fixes = NOTHING_FIXED
    signals: tuple[TakenSignal, ...] = ()

    def with_design(self, design: Design) -> Design:
        """A design of the bare job as one of the job as it stands."""
        return replace(design, stages=(self.changes, *design.stages)) if self.changes else design


def anew_from(case: Case, names: Iterable[str]) -> Bare:
    """Take receivers away, and their outputs from the functions.

    Args:
        case: a job that was read from a file.
        names: receivers, as "R1" or "house/R1"; "all" for all of them, with supplies, feeds and readings.

    Raises:
        InputError: no receiver has one of the names; every one of them is told.
    """
    wanted = list(names)
    if not wanted:
        return Bare(case)
    there = [f"{p}/{name}" for p, house in case.job.premises.items() for name in house.receivers]
    is_all = "all" in wanted
    gone = [path for path in there if is_all or path in wanted or path.partition("/")[2] in wanted]
    known = {*there, *(path.partition("/")[2] for path in there), "all"}
    faults = [
        f"--anew {name}: no receiver of this job is called so{closest(name, known)}"
        for name in wanted
        if name not in known
    ]
    if faults:
        raise InputError(". ".join(faults) + ".")
    changes = tuple(_changes(case, gone, is_all=is_all))
    return Bare(
        with_changes(case, changes),
        changes,
        tuple(_lost(case, gone)),
        _wanted(case) if "all" in wanted else NOTHING_FIXED,
        tuple(taken_from(case, gone)),
    )


def _wanted(case: Case) -> Fixes:
    """Of the supplies of each premises: the longest standby demanded, and all that is not drawn."""
    chosen: list[tuple[tuple[str, str], str]] = []
    for name, house in case.job.premises.items():
        standby = [supply.standby_s for supply in house.supplies.values() if supply.standby_s is not None]
        other = [supply.other_load_a for supply in house.supplies.values() if supply.other_load_a is not None]
        if standby:
            chosen.append(((name, "standby"), write_quantity(max(standby), "time")))
        if other:
            chosen.append(((name, "other load"), write_quantity(sum(other), "current")))
    return Fixes(tuple(chosen))


def _lost(case: Case, gone: list[str]) -> Iterator[tuple[str, str]]:
    """What a receiver that is taken away read, beside what panels tell: it is not drawn anew."""
    for path in gone:
        premises, _, name = path.partition("/")
        house = case.job.premises[premises]
        box = house.receivers[name]
        for number, entry in box.inputs.items():
            if entry.works or entry.reads.partition(".")[0] not in house.panels:
                yield (
                    path,
                    f"Input {number} of {path} reads {entry.reads}: draw it at a new receiver by hand.",
                )


def _changes(case: Case, gone: list[str], *, is_all: bool) -> list[Change]:
    changes = []
    for name, function in case.job.functions.items():
        kept = [path for path in function.paths if path.rsplit("/", 1)[0] not in gone]
        taken = [output for output in case.outputs_of(name) if output.receiver_path in gone]
        if not taken:
            continue
        root = ("functions", name)
        works = [f"{output.premises}/{works}" for output in taken for works in output.works]
        every = list(dict.fromkeys((*function.wished, *works)))
        if every:
            changes.append(Change((*root, "works"), every if len(every) > 1 else every[0]))
        lasts = [output.output.for_s for output in taken if _goes_on(case, output)]
        if function.lasts_s is None and lasts and lasts[0] is not None:
            changes.append(Change((*root, "lasts"), write_quantity(lasts[0], "time")))
        if function.output is not None:
            changes.append(Change((*root, "output"), None))
        if function.outputs:
            changes.append(Change((*root, "outputs"), kept or None))
        if function.output is not None and function.output in kept and not function.outputs:
            changes[-1] = Change((*root, "output"), function.output)
    for path in gone:
        premises, _, name = path.partition("/")
        changes.append(Change(("premises", premises, "receivers", name), None))
    drop = [n for n, reading in enumerate(case.job.readings) if reading.receiver in gone]
    changes += [Change(("readings", n), None) for n in reversed(drop)]
    for name, house in case.job.premises.items():
        boxes = [path.partition("/")[2] for path in gone if path.startswith(f"{name}/")]
        for loop, watched in house.tamper_loops.items():
            if set(watched.legs) & set(boxes):
                changes.append(Change(("premises", name, "tamper_loops", loop), None))
        if is_all:
            changes += _without_supplies(case, name)
    return changes


def _goes_on(case: Case, output: OutputAt) -> bool:
    """Whether the length of its pulse is how long the thing goes on, and no mere command."""
    return output.output.kind == "pulse" and any(
        driven.wants == "maintained" and not driven.traits.moves for driven in driven_of(case, output)
    )


def _without_supplies(case: Case, premises: str) -> list[Change]:
    """Supplies, and what hangs on them, taken away."""
    house = case.job.premises[premises]
    changes = [
        Change(("premises", premises, room, name, "fed"), None)
        for room, things in (("devices", house.devices), ("panels", house.panels))
        for name, thing in things.items()
        if thing.fed is not None and thing.fed.from_ in house.supplies
    ]
    return [*changes, *(Change(("premises", premises, "supplies", name), None) for name in house.supplies)]
