"""Contacts of doors on status inputs that come back on a core in which something else's current flows."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.case import Case
from farpress.case.cores import HOT, core_of_run
from farpress.domain.finding import Ask, Finding, Link, Remedy, Stake, Who
from farpress.domain.premises import ReceiverInput
from farpress.domain.refs import InputRef, ReceiverRef
from farpress.judging.check import AT_MOST, Check, Estimate, Limit
from farpress.judging.panel.zone_returns import lift_v_of, on_the_core
from farpress.sources import Citation, Mark
from farpress.units import write_quantity

__all__ = ["LIFTED_CONTACT", "judge"]

LIFTED_CONTACT: Final = Check(
    "RCV-08",
    Link.RECEIVER,
    "Volts that a closed contact leaves at a status input while the load is on with which it shares a core,"
    " against what the input still takes for closed.",
    unit="V",
    bound=AT_MOST,
    stake=Stake.PROMISE,
    ask="Find the highest voltage that the status input still takes for closed.",
    who=Who.LABEL,
    minutes=5.0,
    mends="A return core of its own for the contact.",
)

_LIFT: Final = Citation("Ohm's law", place="volts along a shared core", mark=Mark.COMPUTED)


def judge(case: Case) -> Iterator[Finding]:
    """RCV-08 of each input that reads a device's contact and shares its return core."""
    for premises, house in case.job.premises.items():
        for receiver, box in house.receivers.items():
            for number, entry in box.inputs.items():
                shares = entry.cable is not None and entry.cable.shares_return_with is not None
                if shares and entry.reads.partition(".")[0] in house.devices:
                    yield _judged(case, premises, receiver, number, entry)


def _judged(case: Case, premises: str, receiver: str, number: str, entry: ReceiverInput) -> Finding:
    run, path = entry.cable, f"{premises}/{receiver}"
    assert run is not None
    assert run.shares_return_with is not None
    own = f"{receiver}/{run.shares_return_with}"
    together = on_the_core(case, premises, own) or on_the_core(case, premises, run.shares_return_with)
    core = core_of_run(case, run)
    lift_v = lift_v_of(run, together, None if core is None else core.hot_ohm_per_km)
    part = case.equipment.receivers[path]
    name = entry.reads.partition(".")[0]
    shared = run.shares_return_with
    with_ = f"output {shared}" if shared.isdigit() else shared
    head = f"{entry.reads} comes back on the core of {with_}"
    says = f"{head}; what that leaves at input {number} of {receiver} is not known."
    if lift_v is not None:
        says = (
            f"{head}, which lifts it by {write_quantity(lift_v, 'voltage')} while that is on: so much is left"
            f" at input {number} of {receiver} with the contact closed."
        )
    asks = () if lift_v is not None else (Ask(f"Find the current of what {with_} works.", Who.LABEL),)
    return LIFTED_CONTACT.judge(
        about=f"{path} input {number} from {entry.reads}",
        subjects=(ReceiverRef(path), InputRef(f"{path}/in{number}")),
        cause=InputRef(f"{path}/in{number}"),
        value=Estimate(lift_v, None, (*(source for end in together for source in end.sources), HOT, _LIFT)),
        limit=Limit(part.sheet.input_low_v, part.cite("input_low_v")),
        says=says,
        because=f"Above that the input reads {name} as open while it is shut.",
        asks=asks,
        remedies=(Remedy("Give the contact a return core of its own: a spare core of the cable will do"),),
    )
