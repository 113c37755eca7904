"""What several share at one panel: a tamper line that does not say whose, inputs that wait for each other."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Final

from farpress.case.case import Case
from farpress.case.citations import CHOICE, GIVEN, PRACTICE, PRESSES
from farpress.case.driven import driven_of
from farpress.dates import stretch_s
from farpress.domain.finding import Ask, Finding, Link, Remedy, Stake, Who
from farpress.domain.premises import Panel
from farpress.domain.refs import PanelRef, ReceiverRef, Ref
from farpress.judging.check import AT_MOST, Answer, Check, Estimate, Limit
from farpress.phrases import listed
from farpress.units import write_share

__all__ = ["LOST_IN_LOCKOUT", "WHOSE_HOUSING", "judge"]

WHOSE_HOUSING: Final = Check(
    "PAN-61",
    Link.PANEL,
    "Housings of several tenants on one tamper line: which one was opened, and whom it concerns.",
    stake=Stake.DUTY,
    advice=True,
    mends="A line of its own for each tenant's housing, told in his area.",
)
LOST_IN_LOCKOUT: Final = Check(
    "PAN-62",
    Link.PANEL,
    "Presses at the busiest minutes that fall into the time in which a panel takes no further command.",
    unit="%",
    bound=AT_MOST,
    limit=Limit(1.0, (CHOICE,)),
    stake=Stake.PROMISE,
    ask="Ask how many set or unset within which minutes, and write it as traffic.",
    who=Who.CUSTOMER,
    minutes=5.0,
    mends="An expander of its own for those who press together; a lamp that tells a press was taken.",
)


def judge(case: Case) -> Iterator[Finding]:
    """PAN-61 and PAN-62 of each panel."""
    for premises, house in case.job.premises.items():
        for name, mounted in house.panels.items():
            yield from _whose(case, premises, name, mounted)
            yield from _lost(case, premises, name)


def _whose(case: Case, premises: str, name: str, mounted: Panel) -> Iterator[Finding]:
    """PAN-61."""
    house = case.job.premises[premises]
    lines: dict[str, dict[str, str]] = {}
    for receiver, box in house.receivers.items():
        if box.tamper is None or box.tamper.partition(".")[0] != name:
            continue
        worked = {
            works.partition(".")[2]
            for output in box.outputs.values()
            for works in _works(output.works, output.with_)
        }
        for area in mounted.areas.values():
            if area.organisation is not None and worked & set(area.inputs):
                lines.setdefault(box.tamper, {})[receiver] = area.organisation
    for line, owners in lines.items():
        if len(set(owners.values())) < 2:
            continue
        refs: tuple[Ref, ...] = tuple(ReceiverRef(f"{premises}/{receiver}") for receiver in owners)
        yield WHOSE_HOUSING.decide(
            about=f"{premises}/{line}",
            subjects=(PanelRef(f"{premises}/{name}"), *refs),
            answer=Answer.BARELY,
            says=f"The housings of {listed(list(owners))} lie on one line, {line}: it does not tell which"
            f" one of {len(set(owners.values()))} tenants' it was.",
            because="Whoever works at one tenant's box raises the alarm for all of them, and nobody knows"
            " where to look.",
            remedies=(Remedy("A tamper line for each tenant, told in his area"),),
            sources=(PRACTICE, GIVEN),
        )


def _works(works: str | None, others: tuple[str, ...]) -> tuple[str, ...]:
    return (*((works,) if works else ()), *others)


def _lost(case: Case, premises: str, name: str) -> Iterator[Finding]:
    """PAN-62: of so many within some minutes, the share that comes while another's lock-out lasts."""
    path = f"{premises}/{name}"
    part = case.equipment.panels.get(path)
    lockout = part.sheet.lockout_all_s if part is not None else None
    if part is None or not lockout:
        return
    pressing = {
        function
        for output in case.outputs()
        if output.premises == premises and any(it.path == path for it in driven_of(case, output))
        for function in output.functions
    }
    counts: dict[str, int] = {}
    for traffic in case.job.traffic:
        if traffic.function in pressing:
            for stretch, count in traffic.arrivals.items():
                counts[stretch] = counts.get(stretch, 0) + count
    known = {stretch: length for stretch in counts if (length := stretch_s(stretch))}
    shares = {
        stretch: 100.0 * (1.0 - math.exp(-max(0, counts[stretch] - 1) * lockout / length))
        for stretch, length in known.items()
    }
    worst = max(shares, key=lambda stretch: shares[stretch], default=None)
    says = f"{name} takes no command for {lockout:g} s after one; how many press together is not known."
    if worst is not None:
        says = (
            f"{name} takes no command for {lockout:g} s after one: with {counts[worst]} pressing {worst},"
            f" {write_share(shares[worst] / 100.0, '.1f')} of the presses fall into it and are lost."
        )
    yield LOST_IN_LOCKOUT.judge(
        about=path,
        subjects=(PanelRef(path),),
        value=Estimate(None if worst is None else shares[worst], None, (PRESSES, GIVEN)),
        says=says,
        because="Nothing tells whoever pressed; the area stays as it was.",
        asks=()
        if worst is not None
        else (Ask(f"Ask how many set or unset at {name} within which minutes.", Who.CUSTOMER, 5.0),),
        remedies=(
            Remedy("A lamp or sound at each door that tells how the area stands"),
            Remedy("Inputs on expanders of their own"),
        ),
        sources=part.cite("lockout_all_s"),
    )
