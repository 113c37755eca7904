"""Functions that are wanted at an address, against the outputs that its receivers have."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.case import Case
from farpress.case.turned import worked_by_turning
from farpress.case.wished import undrawn
from farpress.domain.finding import Ask, Finding, Link, Remedy, Who
from farpress.domain.refs import DeviceRef, FunctionRef, ReceiverRef
from farpress.judging.check import AT_MOST, Check, Estimate, Limit, no_edge
from farpress.phrases import listed

__all__ = ["ENOUGH_OUTPUTS", "judge"]

ENOUGH_OUTPUTS: Final = Check(
    "OUT-12",
    Link.OUTPUT,
    "Outputs that the functions at an address need, against those its receivers have.",
    unit="outputs",
    bound=AT_MOST,
    thin=no_edge("outputs are counted: as many as wanted are enough"),
    ask="Find how many outputs each receiver has, in its data sheet.",
    mends="A further receiver, or a controller that one output starts.",
)


def judge(case: Case) -> Iterator[Finding]:
    """OUT-12, at each address with a function that has no output yet, or a thing that wants two."""
    for premises, house in case.job.premises.items():
        loose = _without_output(case, premises)
        turned = _one_sided(case, premises)
        if not (loose or turned) or not house.receivers:
            continue
        counts = {
            name: case.equipment.receivers[f"{premises}/{name}"].sheet.relays for name in house.receivers
        }
        known = [count for count in counts.values() if count is not None]
        used = sum(len(box.outputs) for box in house.receivers.values())
        needed = used + len(loose) + len(turned)
        there = sum(known) if len(known) == len(counts) else None
        have = f"{listed(counts)} have {there}" if len(counts) > 1 else f"{listed(counts)} has {there}"
        if there is None:
            have = f"how many {listed(counts)} {'has' if len(counts) == 1 else 'have'} is not known"
        yield ENOUGH_OUTPUTS.judge(
            about=f"{premises}: outputs",
            subjects=(
                *(FunctionRef(name) for name in loose),
                *(DeviceRef(f"{premises}/{name}") for name in turned),
                *(ReceiverRef(f"{premises}/{name}") for name in house.receivers),
            ),
            cause=ReceiverRef(f"{premises}/{next(iter(house.receivers))}"),
            value=Estimate(float(needed), 0.0),
            limit=Limit(None if there is None else float(there)),
            says=f"{used} outputs at {premises} are used, and {_more(loose, turned)}: {needed} in all;"
            f" {have}.",
            asks=tuple(
                Ask(f"Find how many outputs {name} has.", Who.LABEL)
                for name, count in counts.items()
                if count is None
            ),
            remedies=(
                Remedy("A further receiver, or one with more outputs"),
                Remedy("One output that starts a controller, which does the rest by itself"),
            ),
        )


def _more(loose: list[str], turned: list[str]) -> str:
    """What needs further outputs, in words."""
    told = [f"{listed(loose)} {_needs(loose)}"] if loose else []
    if turned:
        told.append(f"{listed(turned)} {_needs(turned)} to turn the volts round")
    return listed(told)


def _needs(names: list[str]) -> str:
    return "needs one more" if len(names) == 1 else "need one more each"


def _one_sided(case: Case, premises: str) -> list[str]:
    """Things told their direction by volts changed over that one output alone feeds: they want two."""
    return [
        driven.path.partition("/")[2]
        for driven, rows in worked_by_turning(case)
        if len(rows) == 1 and rows[0][0].premises == premises
    ]


def _without_output(case: Case, premises: str) -> list[str]:
    """Functions that press no output and shall work something here, or are promised from a place here."""
    found = [
        name
        for name, function in case.job.functions.items()
        if not function.paths and any(where == premises for where, _ in undrawn(case, name))
    ]
    for promise in case.job.promises:
        function = case.job.functions.get(promise.function)
        where = case.place(promise.from_, premises)
        if function is not None and not function.paths and where is not None and where[0] == premises:
            found.append(promise.function)
    return list(dict.fromkeys(found))
