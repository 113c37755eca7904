"""Judges the cores of a cable as a stock: what is asked of it, what it has, and each used for one thing."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.cable_bodies import CableBody, UsedTwice
from farpress.case.cables import cables_of, runs
from farpress.case.case import Case
from farpress.case.citations import GIVEN, PRACTICE
from farpress.domain.finding import Finding, Link, Remedy, Stake
from farpress.judging.check import AT_MOST, Answer, Check, Estimate, Limit, no_edge
from farpress.phrases import listed, plural

__all__ = ["CORES_APART", "CORES_ASKED", "judge"]

CORES_ASKED: Final = Check(
    "SUP-20",
    Link.SUPPLY,
    "Conductors that are wanted in a cable, against the cores it has.",
    bound=AT_MOST,
    thin=no_edge("cores are counted; the last one is as good as the first"),
    stake=Stake.PROMISE,
    ask="Count the cores of the cable.",
    mends="A cable with more cores, or a second one beside it.",
)

CORES_APART: Final = Check(
    "SUP-21",
    Link.SUPPLY,
    "Cores of a cable that carries several runs: each used for one thing.",
    stake=Stake.HARM,
    ask="Say which cores each run uses.",
    mends="A core of its own for each.",
)


def judge(case: Case) -> Iterator[Finding]:
    """SUP-20 of every cable that is described, SUP-21 of every one with named cores."""
    for premises in case.job.premises:
        for body in cables_of(case, premises):
            if body.part and body.conductors:
                yield _asked(case, body)
            if any(core.is_named for core in body.conductors):
                yield _apart(body)


def _asked(case: Case, body: CableBody) -> Finding:
    part = case.equipment.cables[body.part]
    each = part.sheet.parallel or 1
    tied = _tied_things(case, body)
    conductors = len(body.conductors) + len(tied)
    wanted, has = conductors * each, part.sheet.cores
    joined = f", {each} cores joined for each," if each > 1 else ""
    named = listed(core.name for core in body.conductors) if body.conductors[0].is_named else ""
    stock = "how many it has is not known" if has is None else f"it has {has}"
    what = _wanted_for(body)
    return CORES_ASKED.judge(
        about=f"cores of {body.label} from {body.near} to {body.far}",
        subjects=(body.ref,),
        value=Estimate(float(wanted), 0.0),
        limit=Limit(None if has is None else float(has), part.cite("cores")),
        says=f"{body.label} ({body.part}) from {body.near} to {body.far} is to carry"
        f" {plural(conductors, 'conductor')}{joined} and {stock}.",
        because=f"Wanted are {what}{f' on {named}' if named else ''}{_tied_says(tied)}.",
        asks=() if has is not None else (f"Count the cores of {body.part} and give 'cores'.",),
        remedies=_more_cores(case, body, wanted),
        sources=(GIVEN,),
    )


def _tied_things(case: Case, body: CableBody) -> tuple[str, ...]:
    """Things at its far end that several outputs are to work beside their own, or that follow what takes
    turns there: a link to each would tie these together, so it wants a core.
    """
    linked: dict[str, set[str]] = {}
    for run in runs(case, body.premises):
        if run.is_link and run.name == body.label and run.at is not None:
            linked.setdefault(run.target, set()).add(run.at.path)
    several = [thing for thing, outputs in linked.items() if len(outputs) > 1]
    served = {run.target for run in body.runs}
    worked = {works.partition(".")[0] for output in case.outputs() for works in output.works}
    followers = [
        thing
        for turns in case.job.premises[body.premises].together
        if served & set(turns.of)
        for thing in turns.with_
        if thing not in worked and thing not in served
    ]
    return tuple(dict.fromkeys((*several, *followers)))


def _tied_says(things: tuple[str, ...]) -> str:
    return f"; and one for {listed(things)}, which several of them are to work" if things else ""


def _wanted_for(body: CableBody) -> str:
    """What the conductors lead to: "core 1 to valve.+, ..."."""
    ends = [
        f"{core.near[0] if core.near else 'nothing'} to {listed(map(str, core.far), nothing='nothing')}"
        for core in body.conductors
    ]
    return listed(ends[:8] + ([f"{len(ends) - 8} more"] if len(ends) > 8 else []))


def _more_cores(case: Case, body: CableBody, wanted: int) -> tuple[Remedy, ...]:
    """The cable with the fewest cores that are enough, of no less copper; else how many are wanted."""
    own = case.equipment.cables[body.part].sheet
    fitting = sorted(
        (part.sheet.cores, part.sheet.area_mm2, name)
        for name, part in case.equipment.cables.items()
        if part.sheet.cores is not None
        and part.sheet.cores >= wanted
        and own.area_mm2 is not None
        and part.sheet.area_mm2 is not None
        and part.sheet.area_mm2 >= own.area_mm2
        and part.sheet.material == own.material
        and bool(part.sheet.mains_rated) >= bool(own.mains_rated)
        and (case.job.region == "north america" or not name.startswith("awg"))
    )
    if fitting:
        cores, _, name = fitting[0]
        return (Remedy(f"Use {name}", f"{cores} cores for {plural(wanted, 'conductor')}"),)
    area = f" of at least {own.area_mm2:g} mm2 each" if own.area_mm2 is not None else ""
    return (Remedy(f"A cable with at least {wanted} cores{area}, or a second cable beside it"),)


def _apart(body: CableBody) -> Finding:
    clashes = [_clash(clash) for clash in body.clashes]
    says = f"Each core of {body.label} that is named leads from one thing to one other, or on from there."
    if clashes:
        says = f"{body.label}: {'; '.join(clashes)}."
    return CORES_APART.decide(
        about=f"each core of {body.label} used once",
        subjects=(body.ref,),
        answer=Answer.of(not clashes),
        says=says,
        because="Two circuits on one core are one circuit: what one does, the other gets." if clashes else "",
        remedies=(
            Remedy(
                "Give each a core of its own, or join them on purpose: 'shares return with' in the short form"
            ),
        ),
        sources=(GIVEN, PRACTICE),
    )


def _clash(clash: UsedTwice) -> str:
    first, again = (f"from {ends[0]} to {ends[1]}" for ends in (clash.one, clash.other))
    return f"core {clash.core} is used {first} and again {again}"
