"""What opens overhead: the small door in its leaf, and whoever drives out before it is fully open."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.case import Case
from farpress.case.citations import EN_12453, GIVEN, PRACTICE
from farpress.case.leaf import whole_travel_s
from farpress.case.worked import Worked, worked_devices
from farpress.domain.finding import Ask, Finding, Link, Remedy, Stake, Who
from farpress.domain.place_sheets import Doorway
from farpress.domain.told_words import SMALL_DOOR, told
from farpress.judging.check import AT_LEAST, Answer, Check, Estimate, Limit
from farpress.units import write_quantity

__all__ = ["HIGH_ENOUGH", "SMALL_DOOR_STOPS", "judge_doorway"]

SMALL_DOOR_STOPS: Final = Check(
    "DEV-70",
    Link.DEVICE,
    "A small door in a leaf that opens overhead: a contact keeps the drive from starting while it is open.",
    stake=Stake.HARM,
    halts=True,
    ask="Look for a small door in the leaf and for its contact; open it, and press.",
    who=Who.INSTALLER,
    minutes=5.0,
    mends="A contact at the small door in the drive's own stop circuit, and a flat sill.",
)
HIGH_ENOUGH: Final = Check(
    "DEV-71",
    Link.DEVICE,
    "Height under the leaf when somebody drives as usual, on a slow day, against the tallest that drives.",
    unit="m",
    bound=AT_LEAST,
    stake=Stake.HARM,
    ask="Measure the clear height and the tallest that drives through, aerial and load too.",
    who=Who.METER,
    minutes=10.0,
    mends="A light that the end of the travel switches, and driving on that light alone; a higher doorway.",
)


def judge_doorway(case: Case) -> Iterator[Finding]:
    """DEV-70 and DEV-71 of each leaf overhead, and of whatever is said to have such a doorway."""
    for worked in worked_devices(case):
        driven = worked.driven
        doorway = driven.sheet.doorway or Doorway()
        word = told(SMALL_DOOR, *worked.texts(case))
        if driven.traits.opens_overhead or doorway.wicket is not None or (driven.traits.is_leaf and word):
            yield _small_door(worked, doorway, word)
        if driven.traits.opens_overhead or doorway.tallest_m is not None:
            yield _height(worked, doorway)


def _slower(worked: Worked) -> float:
    """How much of its way is done on its slowest day after its usual time; 1 where none is said."""
    usual, worst = whole_travel_s(worked.driven.sheet), worked.driven.sheet.travel_worst_s
    return 1.0 if not usual or not worst else min(1.0, usual / worst)


def _small_door(worked: Worked, doorway: Doorway, word: str) -> Finding:
    """DEV-70."""
    name = worked.name
    written = f" '{word}' is written about it." if word else ""
    answer, says = {
        None: (
            Answer.UNKNOWN,
            f"Whether {name} has a small door in its leaf, and what keeps it from starting then, is not"
            f" said.{written}",
        ),
        "none": (Answer.YES, f"{name} has no small door in its leaf."),
        "stops the drive": (
            Answer.YES,
            f"The small door in {name} keeps its drive from starting while open.",
        ),
        "no contact": (
            Answer.NO,
            f"{name} starts while the small door in its leaf stands open: it has no contact.",
        ),
    }[doorway.wicket]
    if doorway.wicket == "none" and word:
        answer = Answer.UNKNOWN
        says = f"'{word}' is written about {name}, and it is said to have no small door in its leaf."
    return SMALL_DOOR_STOPS.decide(
        about=worked.path,
        subjects=worked.refs,
        answer=answer,
        says=says,
        because="The leaf takes along whoever steps through, and the sill catches feet.",
        bars=answer is Answer.NO,
        halts=bool(word) or answer is Answer.NO,
        asks=(
            Ask(
                f"Look whether {name} has a small door in its leaf; if so, open it, press, and see that"
                " nothing starts ('doorway: wicket').",
                Who.INSTALLER,
                5.0,
            ),
        )
        * (answer is Answer.UNKNOWN),
        remedies=(
            Remedy(f"A contact at the small door of {name} in the drive's own stop circuit, tried"),
            Remedy("The small door locked for good, and another way in"),
        ),
        sources=(*worked.driven.cite("doorway", "device"), EN_12453, PRACTICE),
    )


def _height(worked: Worked, doorway: Doorway) -> Finding:
    """DEV-71."""
    name, sheet = worked.name, worked.driven.sheet
    overhead = worked.driven.traits.opens_overhead
    clear = doorway.clear_m
    if clear is None and overhead:
        clear = sheet.leaf_m
    is_told = doorway.told_open == "light at the end of travel"
    share = 1.0 if is_told else _slower(worked)
    there = None if clear is None else clear * share
    asks = []
    if clear is None:
        asks.append(Ask(f"Measure the clear height under {name}, fully open.", Who.METER, 5.0))
    if doorway.tallest_m is None:
        asks.append(
            Ask(f"Ask for the tallest that drives through {name}, aerial and load too.", Who.CUSTOMER, 5.0)
        )
    if not is_told and sheet.travel_worst_s is None:
        asks.append(
            Ask(
                f"Time {name} on a cold morning ('travel_worst'), and ask what tells a driver when it"
                " is open.",
                Who.CUSTOMER,
                10.0,
            )
        )
    says = f"How high {name} is when somebody drives through is not known."
    if there is not None:
        when = "fully open"
        if share < 1.0 and sheet.travel_worst_s is not None:
            usual = write_quantity(whole_travel_s(sheet) or 0.0, "time")
            when = (
                f"after the {usual} that it usually takes, on a day on which it takes"
                f" {write_quantity(sheet.travel_worst_s, 'time')}"
            )
        says = f"{name} leaves {there:.2f} m free {when}"
        tallest = doorway.tallest_m
        says += "." if tallest is None else f"; the tallest that drives through is {tallest:g} m."
    return HIGH_ENOUGH.judge(
        about=worked.path,
        subjects=worked.refs,
        value=Estimate(there, 0.1, worked.driven.cite("doorway", "leaf_m", "travel_s", "travel_worst_s")),
        limit=Limit(doorway.tallest_m, (GIVEN,)),
        says=says,
        because="Whoever drives as usual does not see from the seat how high the leaf stands."
        if share < 1.0
        else "",
        asks=asks,
        remedies=(
            Remedy(f"A light that the end of travel of {name} switches; drive on that light alone"),
            Remedy(
                f"Have springs, grease and drive of {name} mended; measure clear height and vehicle again"
            ),
        ),
        halts=there is not None and doorway.tallest_m is not None and there < doorway.tallest_m,
        sources=(PRACTICE,),
    )
