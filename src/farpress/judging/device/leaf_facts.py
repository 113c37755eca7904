"""Two leaves that overlap, and how high the beams are: what somebody measures at a gate."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.case import Case
from farpress.case.citations import EN_12453, GIVEN, PRACTICE
from farpress.case.found_on_site import working_safeguards
from farpress.case.worked import Worked, worked_devices
from farpress.domain.device_care import LeafPair
from farpress.domain.finding import Ask, Finding, Link, Remedy, Stake, Who
from farpress.judging.check import AT_LEAST, Answer, Check, Estimate, Limit, no_edge
from farpress.phrases import listed
from farpress.units import write_quantity

__all__ = ["BEAMS_SEE", "IN_ORDER", "judge_leaf_facts"]

BEAM_HIGH_M: Final = 0.5
"""The highest beam of a way for vehicles is no lower; common practice, no source."""

BEAMS_SEE: Final = Check(
    "DEV-56",
    Link.DEVICE,
    "How high the highest beam of a way for vehicles is: a low one alone sees wheels and feet, and no body"
    " between the axles, drawbar or fork.",
    unit="m",
    bound=AT_LEAST,
    limit=Limit(BEAM_HIGH_M, (PRACTICE,)),
    thin=no_edge("a height for a body of many heights"),
    stake=Stake.HARM,
    ask="Measure how high the beams are.",
    who=Who.METER,
    minutes=5.0,
    mends="A second pair of beams at the height of bodies and drawbars, a loop, or an edge on the leaf.",
)
IN_ORDER: Final = Check(
    "DEV-58",
    Link.DEVICE,
    "Two leaves that overlap: the upper one opens first and closes last, with a delay between them.",
    stake=Stake.PROMISE,
    ask="Watch both leaves open and close, and take the time between them.",
    who=Who.METER,
    minutes=5.0,
    mends="The order set in the control, with a delay both ways.",
)


def judge_leaf_facts(case: Case) -> Iterator[Finding]:
    """DEV-56 and DEV-58, of what is said."""
    for worked in worked_devices(case):
        sheet = worked.driven.sheet
        beams_alone = set(working_safeguards(sheet) or ()) == {"beams"}
        if worked.driven.traits.passes_vehicles and beams_alone:
            yield _beams(worked)
        if sheet.two_leaves is not None:
            yield _order(worked, sheet.two_leaves)


def _beams(worked: Worked) -> Finding:
    """DEV-56, where nothing but beams sees what stands in the way."""
    sheet, name = worked.driven.sheet, worked.name
    heights = sorted(sheet.beams_at_m or ())
    high = listed([write_quantity(height, "length") for height in heights])
    says = f"How high the beams of {name} are is not said."
    if heights:
        says = f"The beams of {name} are {high} high, and nothing else sees what stands in its way."
    return BEAMS_SEE.judge(
        about=worked.path,
        subjects=worked.refs,
        value=Estimate(heights[-1] if heights else None, 0.0, worked.driven.cite("beams_at_m")),
        says=says,
        because="A body between the axles, a drawbar or a fork passes over a low beam.",
        asks=() if heights else (Ask(f"Measure how high the beams of {name} are.", Who.METER, 5.0),),
        remedies=(
            Remedy("A second pair of beams at the height of bodies and drawbars"),
            Remedy("An edge on the leaf, or a loop in the way"),
        ),
        sources=(EN_12453, PRACTICE),
    )


def _order(worked: Worked, pair: LeafPair) -> Finding:
    """DEV-58."""
    name = worked.name
    closes_first = pair.closes_first or {"upper": "lower", "lower": "upper"}.get(pair.opens_first or "")
    wrong = [
        words
        for is_wrong, words in (
            (pair.opens_first == "lower", "the lower one opens first, against the one that lies over it"),
            (closes_first == "upper", "the upper one closes first, and the lower one comes down on it"),
            (pair.opening_delay_s == 0.0, "both begin to open at once"),
            (pair.closing_delay_s == 0.0, "both begin to close at once"),
        )
        if is_wrong
    ]
    missing = [
        words
        for value, words in (
            (pair.opens_first, "which opens first"),
            (pair.opening_delay_s, "how long after it the other one opens"),
            (pair.closing_delay_s, "how long after the first the other one closes"),
        )
        if value is None
    ]
    asks: tuple[Ask, ...] = ()
    if wrong:
        answer, says = Answer.NO, f"The leaves of {name} overlap, and {listed(wrong)}."
    elif missing:
        answer = Answer.UNKNOWN
        says = f"The leaves of {name} overlap; it is not said {listed(missing)}."
        asks = (
            Ask(f"Watch both leaves of {name} open and close, and take the time between.", Who.METER, 5.0),
        )
    else:
        answer = Answer.YES
        opens, closes = (
            write_quantity(t or 0.0, "time") for t in (pair.opening_delay_s, pair.closing_delay_s)
        )
        says = f"The upper leaf of {name} opens {opens} before the other and closes {closes} after it."
    return IN_ORDER.decide(
        about=worked.path,
        subjects=worked.refs,
        answer=answer,
        says=says,
        because=""
        if answer is Answer.YES
        else "They lock against each other, and a drive bends the weaker one.",
        asks=asks,
        remedies=(Remedy("Set the order in the control of the drives, with a delay both ways"),),
        sources=(*worked.driven.cite("two_leaves"), GIVEN, PRACTICE),
    )
