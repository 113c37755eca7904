"""Judges a chain: a receiver works a load over the cores that feed it, and its own volts go down with it.

Where they go below what it runs with, the receiver stops while it holds the load: no fob, no input and no
other output of it works then.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from farpress.case.cabling import End
from farpress.case.case import Case
from farpress.case.circuit.arriving import arrival_in
from farpress.case.circuit.electrics import Electrics, electrics_of
from farpress.case.circuit.states import AS_READ, BATTERY_END, LABELS, LOWEST, Moment, SupplyLevel
from farpress.case.supply_volts import lowest_of
from farpress.domain.finding import Ask, Change, Finding, Link, Remedy, Stake
from farpress.domain.refs import SupplyRef
from farpress.judging.check import AT_LEAST, Check, Estimate, Limit, no_edge
from farpress.judging.supply.asks import least_volts_of, lowest_volts_of
from farpress.judging.supply.copper import remedies_for_volts
from farpress.judging.supply.drop import DROP_DOUBT, DROP_SOURCES
from farpress.phrases import listed

__all__ = ["RECEIVER_UNDER_ITS_LOAD", "judge_chain"]

RECEIVER_UNDER_ITS_LOAD: Final = Check(
    "SUP-15",
    Link.SUPPLY,
    (
        "Volts left for a receiver while it works a load over the cores that feed it, against the least it"
        " runs with."
    ),
    unit="V",
    bound=AT_LEAST,
    thin=no_edge("the least a receiver runs with is the end of a range; what is doubtful is the drop"),
    stake=Stake.PROMISE,
    ask="Find the lowest voltage the receiver runs with, on its label or data sheet.",
    mends="A pair of its own for the load, more copper, or a supply beside the load.",
)

SHARED_PART: Final = 0.25
"""A core is shared where at least this part of the load's current flows in it; our choice: of two cores side
by side each carries a half."""


@dataclass(frozen=True)
class _Chain:
    """A receiver, a load that it works, and the moments in which the load is on and off."""

    path: str
    receiver: End
    load: End
    on: Moment
    off: Moment


def judge_chain(case: Case, path: str, ends: tuple[End, ...]) -> Iterator[Finding]:
    """SUP-15 of every load that shares cores with the receiver that works it."""
    electrics = electrics_of(case, SupplyRef(path).premises.path)
    receivers = {end.subjects[0].path: end for end in ends if end.is_receiver}
    for load in ends:
        if load.at is None or load.is_coil or load.at.receiver_path not in receivers:
            continue
        closed = Moment("worked", frozenset({load.at.path}), signals=False)
        opened = Moment("not worked", signals=False)
        if load.at.output.contact == "normally closed":
            closed, opened = opened, closed
        chain = _Chain(path, receivers[load.at.receiver_path], load, closed, opened)
        if _shares_cores(electrics, chain):
            yield _judged(case, electrics, ends, chain)


def _shares_cores(electrics: Electrics, chain: _Chain) -> bool:
    """Whether a core in which the receiver's current flows carries the load's too."""
    on, off = electrics.in_moment(chain.on, LABELS), electrics.in_moment(chain.off, LABELS)
    wanted = SHARED_PART * (chain.load.amperes or 0.0)
    own, supply = chain.receiver.run_path, SupplyRef(chain.path).name
    itself = (on.at(supply, chain.receiver.name)[1] or 0.0) - (off.at(supply, chain.receiver.name)[1] or 0.0)
    for core in electrics.circuit.conductors:
        if core.run_path != own:
            continue
        more = abs(on.through(core.name) or 0.0) - abs(off.through(core.name) or 0.0) - itself
        if wanted > 0 and more > wanted:
            return True
    return False


def _levels(electrics: Electrics, supply: str) -> tuple[tuple[str, SupplyLevel], ...]:
    source = electrics.circuit.source(supply)
    given = f"{source.rated.volts:g} V given" if source.rated is not None else "its rated volts given"
    battery = (("the battery at its end", BATTERY_END),) if source.full is not None else ()
    return ((given, AS_READ), *battery, ("the lowest volts and cores hot", LOWEST))


def _judged(case: Case, electrics: Electrics, ends: tuple[End, ...], chain: _Chain) -> Finding:
    supply, receiver, load = SupplyRef(chain.path), chain.receiver, chain.load
    least, output = receiver.minimum_v, load.at
    seen: list[tuple[str, SupplyLevel, float]] = []
    for says, level in _levels(electrics, supply.name):
        arrival = arrival_in(electrics.in_moment(chain.on, level), supply.name, receiver)
        if arrival is not None and arrival.volts is not None:
            seen.append((says, level, arrival.volts))
    failing = next((row for row in seen if least is not None and row[2] < least), None)
    told = failing or (seen[-1] if seen else None)
    number = output.number if output is not None else ""
    contact = (
        "break contact" if output is not None and output.output.contact == "normally closed" else "contact"
    )
    works = f"{load.who} is on over the {contact} of output {number} of {receiver.who}, on cores that feed it"
    if told is None:
        says, value, doubt = f"{works}; what is left for {receiver.who} is not known.", None, None
    else:
        needs = f"; it needs {least:g} V" if least is not None else ""
        says = f"{works}: {receiver.who} gets {told[2]:.2f} V then, with {told[0]}{needs}."
        value, doubt = told[2], DROP_DOUBT * max(_lost(electrics, supply.name, told[1]) - told[2], 0.0)
    return RECEIVER_UNDER_ITS_LOAD.judge(
        about=f"{receiver.who} while {load.who} is on",
        subjects=(*receiver.subjects, *load.subjects, supply),
        cause=load.subjects[0],
        value=Estimate(value, doubt),
        limit=Limit(least, receiver.sources),
        says=says,
        because=_because(case, electrics, chain, failing),
        asks=(
            *((least_volts_of(receiver),) if least is None else ()),
            *(_asks_of_supply(case, supply) if failing is None else ()),
        ),
        remedies=lambda verdict: _remedies(case, ends, chain),
        stake=Stake.HARM if _is_lock(case, load) else None,
        sources=DROP_SOURCES,
    )


def _asks_of_supply(case: Case, supply: SupplyRef) -> tuple[Ask, ...]:
    """How low a supply comes of which only the rated volts are known: what holds there may fail below."""
    lowest = lowest_of(case.equipment.supplies[supply.path], case.equipment.batteries.get(supply.path))
    return (lowest_volts_of(supply.path),) if lowest is None or lowest.is_nominal else ()


def _lost(electrics: Electrics, supply: str, level: SupplyLevel) -> float:
    """Volts of the supply at a level [V]."""
    source = electrics.circuit.source(supply)
    given = source.rated if level is AS_READ else source.lowest
    return given.volts if given is not None else 0.0


def _because(
    case: Case, electrics: Electrics, chain: _Chain, failing: tuple[str, SupplyLevel, float] | None
) -> str:
    """What follows from what: the load takes the receiver's volts, the receiver stops, nothing answers."""
    receiver, load, supply = chain.receiver, chain.load, SupplyRef(chain.path)
    free = arrival_in(electrics.in_moment(chain.off, AS_READ), supply.name, receiver)
    says = f"The current of {load.who} flows in the cores of {receiver.who} too."
    if free is not None and free.volts is not None:
        says += f" With {load.who} off it has {free.volts:.2f} V."
    if failing is None:
        return says
    box = case.job.premises[supply.premises.path].receivers[receiver.subjects[0].path.partition("/")[2]]
    dead = ["its fobs", *(f"input {number} ({entry.reads})" for number, entry in box.inputs.items())]
    says += f" {receiver.who} stops then, and {listed(dead)} with it."
    if load.at is not None and load.at.output.contact == "normally closed":
        return f"{says} Its relay is off in any case, so {load.who} stays on and {receiver.who} stays dead."
    return f"{says} Its relay lets {load.who} go, the volts come back, and it begins again."


def _remedies(case: Case, ends: tuple[End, ...], chain: _Chain) -> tuple[Remedy, ...]:
    """Cores of its own for the load, or copper with which the receiver has enough beside it, solved anew."""
    load, receiver = chain.load, chain.receiver
    lowest = lowest_of(case.equipment.supplies[chain.path], case.equipment.batteries.get(chain.path))
    offered = remedies_for_volts(case, chain.path, lowest, ends, receiver) if lowest is not None else ()
    copper = tuple(remedy for remedy in offered if remedy.effect)
    changes: tuple[Change, ...] = ()
    if load.run is not None and load.run.shares_return_with:
        changes = (Change((*load.run_path, "shares_return_with"), None),)
    return (
        Remedy(f"Give {load.who} a pair of cores of its own from the supply.", changes=changes),
        *(copper or (Remedy(f"Use a cable with more copper for {receiver.who} and {load.who} together."),)),
        Remedy(f"Put a supply beside {load.who}."),
    )


def _is_lock(case: Case, load: End) -> bool:
    device = case.equipment.devices.get(load.subjects[0].path)
    return device is not None and device.sheet.traits.is_lock
