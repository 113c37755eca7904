"""Asks about cables that lay there already: what metal, what area, and whether anybody has measured them."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.cable_bodies import CableBody
from farpress.case.cables import cables_of
from farpress.case.case import Case
from farpress.case.cores import core_of
from farpress.core.wiring.conductors import COPPER_CLAD_FACTOR_HIGH
from farpress.domain.finding import Ask, Finding, Link, Stake, Who
from farpress.judging.check import Answer, Check
from farpress.sources import Citation, Mark
from farpress.units import write_quantity

__all__ = ["LAY_THERE", "judge"]

LAY_THERE: Final = Check(
    "SUP-28",
    Link.SUPPLY,
    "A cable that lay there already: whether a core was measured, as copper and copper-clad look alike.",
    stake=Stake.PROMISE,
    advice=True,
    ask="Measure a core from end to end, and read what stands on the sheath.",
    who=Who.METER,
    minutes=10.0,
    mends="The ohms found, written at the core; or a new cable.",
)

_CLAD: Final = Citation(
    "copper-clad aluminium against copper of the same area", mark=Mark.MEMORY, place="resistance"
)


def judge(case: Case) -> Iterator[Finding]:
    """SUP-28 of every cable that the job says lay there."""
    for premises in case.job.premises:
        for body in cables_of(case, premises):
            if _lay_there(case, body):
                yield _judged(case, body)


def _lay_there(case: Case, body: CableBody) -> bool:
    drawn = case.job.premises[body.premises].cables.get(body.label) if body.is_drawn else None
    if drawn is not None:
        return bool(drawn.existing)
    return any(run.run is not None and bool(run.run.existing) for run in body.runs)


def _judged(case: Case, body: CableBody) -> Finding:
    part = body.sheet(case)
    core = core_of(part) if part is not None else None
    read = [core.name for core in body.cores if core.laid is not None and core.laid.found_ohm is not None]
    if read:
        says, asks = f"Core {read[0]} of {body.label} was measured.", tuple[Ask, ...]()
    else:
        says = f"{body.label} ({body.part or 'part not known'}) lay there already, and no core was measured."
        asks = (Ask(_question(body, core.cold_ohm_per_km if core is not None else None), Who.METER, 10.0),)
    return LAY_THERE.decide(
        about=f"{body.label} at {body.premises}, which lay there",
        subjects=(body.ref,),
        answer=Answer.of(True if read else None),
        says=says,
        because=""
        if read
        else "Thin alarm cable is sold as copper and as copper-clad aluminium, and looks alike.",
        asks=asks,
        sources=() if read else (_CLAD,),
    )


def _question(body: CableBody, ohm_per_km: float | None) -> str:
    """What to measure, and what it shows if all is as it is said."""
    ask = f"Measure one core of {body.label} from end to end, and read type and strands off its sheath"
    if ohm_per_km is None or body.length_m is None:
        return f"{ask}."
    ohm = ohm_per_km * body.length_m / 1000.0
    clad = COPPER_CLAD_FACTOR_HIGH * ohm
    return (
        f"{ask}: up to {write_quantity(ohm, 'resistance')} if it is copper, about"
        f" {write_quantity(clad, 'resistance')} if it is copper-clad aluminium."
    )
