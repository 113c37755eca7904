"""Judges what was found on the cores of a cable that lies there already, beside what they should be."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.cable_bodies import CableBody, CoreBody
from farpress.case.cables import cables_of
from farpress.case.case import Case
from farpress.case.citations import GIVEN, PRACTICE
from farpress.case.cores import core_of
from farpress.core.wiring.conductors import COPPER_CLAD_FACTOR_HIGH
from farpress.domain.finding import Ask, Finding, Link, Remedy, Stake, Who
from farpress.judging.check import WITHIN, Answer, Check, Estimate, Limit, no_edge
from farpress.units import write_quantity

__all__ = ["CORE_OHM", "CORE_WHOLE", "HIGHEST_SHARE", "LOWEST_SHARE", "judge"]

CORE_OHM: Final = Check(
    "SUP-25",
    Link.SUPPLY,
    "Resistance measured on a core of a cable, against what its length and its part say.",
    unit="ohm",
    bound=WITHIN,
    thin=no_edge("the band has the meter's and the length's doubt in it"),
    stake=Stake.PROMISE,
    ask="Find the area or the resistance of the cable.",
    who=Who.METER,
    minutes=5.0,
    mends="A joint made good, the right length in the job, or another cable.",
)

CORE_WHOLE: Final = Check(
    "SUP-26",
    Link.SUPPLY,
    "State in which a core of a cable was found: whole, and of the metal that its part says.",
    stake=Stake.PROMISE,
    ask="Measure the core from end to end.",
    who=Who.METER,
    minutes=5.0,
    mends="Another core, or another cable.",
)

LOWEST_SHARE: Final = 0.75
"""Of the largest permitted resistance: what a good core of the right length may measure; common practice."""
HIGHEST_SHARE: Final = 1.1
"""Of the largest permitted resistance, joints and a warm day included; common practice."""


def judge(case: Case) -> Iterator[Finding]:
    """SUP-25 of every core that was measured, SUP-26 of every one of which a state is told."""
    for premises in case.job.premises:
        for body in cables_of(case, premises):
            for core in body.cores:
                if core.laid is None:
                    continue
                if core.laid.found_ohm is not None:
                    yield _ohm(case, body, core, core.laid.found_ohm)
                if core.laid.broken is not None or core.laid.metal is not None:
                    yield _state(case, body, core)


def _ohm(case: Case, body: CableBody, core: CoreBody, found: float) -> Finding:
    part = body.sheet(case)
    known = core_of(part) if part is not None else None
    metal = core.laid.metal if core.laid is not None else None
    least = most = None
    if known is not None and part is not None and body.length_m is not None:
        is_clad = metal == "copper-clad aluminium" and part.sheet.material != metal
        full = known.cold_ohm_per_km * body.length_m / 1000 * (COPPER_CLAD_FACTOR_HIGH if is_clad else 1.0)
        full *= part.sheet.parallel or 1
        least, most = LOWEST_SHARE * full, HIGHEST_SHARE * full
    length = "" if body.length_m is None else f" of {write_quantity(body.length_m, 'length')}"
    if least is None or most is None:
        wanted = "what it should have is not known"
    else:
        low, high = write_quantity(least, "resistance"), write_quantity(most, "resistance")
        wanted = f"a good one{length} has {low} to {high} at 20 °C"
    return CORE_OHM.judge(
        about=f"core {core.name} of {body.label}, as found",
        subjects=(body.core_ref(core), body.ref),
        value=Estimate(found, 0.0),
        limit=Limit(least, part.cite("resistance_ohm_per_km", "area_mm2") if part is not None else (), most),
        says=f"Core {core.name} of {body.label} measures {write_quantity(found, 'resistance')}; {wanted}.",
        because="More than that is a bad joint, a thinner core, a longer way or aluminium under copper; less"
        " is a shorter way, or two cores that touch.",
        asks=()
        if least is not None
        else (Ask(f"Find the area or the resistance of the cable {body.part}."),),
        remedies=(
            Remedy("Measure again at 20 °C with the meter's leads taken off, core by core against another"),
            Remedy("Look for the joint on the way; else write the length or the part as it is"),
        ),
        sources=(GIVEN, PRACTICE),
    )


def _state(case: Case, body: CableBody, core: CoreBody) -> Finding:
    part = body.sheet(case)
    laid = core.laid
    assert laid is not None  # judged only where something was found
    usual = part.sheet.material if part is not None and part.sheet.material is not None else "copper"
    answer, says = Answer.YES, f"Core {core.name} of {body.label} was found whole, of {laid.metal or usual}."
    because = ""
    if laid.broken and core.is_used:
        answer, says = Answer.NO, f"Core {core.name} of {body.label} is broken, and it is in use."
        because = "No current comes through; what hangs on it does not work."
    elif laid.broken:
        says = f"Core {core.name} of {body.label} is broken; nothing is joined to it."
    elif laid.metal is not None and laid.metal != usual:
        answer = Answer.BARELY
        says = f"Core {core.name} of {body.label} was found to be {laid.metal}; {body.part} is {usual}."
        because = (
            "Aluminium under copper has about one and a half times the resistance, breaks when it is bent and"
            " works loose under a screw."
            if laid.metal != "copper"
            else "It is better than the part says."
        )
    return CORE_WHOLE.decide(
        about=f"core {core.name} of {body.label}, state",
        subjects=(body.core_ref(core), body.ref),
        answer=answer,
        says=says,
        because=because,
        remedies=(Remedy("Use a spare core in its place, at both ends"), Remedy("Lay another cable")),
        sources=(GIVEN, PRACTICE),
    )
