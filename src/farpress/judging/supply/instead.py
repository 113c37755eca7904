"""Judges a supply that somebody would use in place of another: "if it is not enough, take the battery"."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.cabling import End
from farpress.case.case import Case
from farpress.case.supply_ends import ends_of
from farpress.domain.finding import Ask, Finding, Link, Remedy, Stake
from farpress.domain.parts import SupplySheet
from farpress.domain.refs import Ref, SupplyRef
from farpress.judging.check import Answer, Check
from farpress.judging.supply.asks import kind_of, voltage_of
from farpress.judging.supply.suits import MOST_OVER, heat_says, kind_says
from farpress.phrases import listed
from farpress.sources import Citation, Mark

__all__ = ["USED_INSTEAD", "judge_instead"]

USED_INSTEAD: Final = Check(
    "SUP-31",
    Link.SUPPLY,
    "A supply that somebody would use in place of another: its kind of current and its volts, against what"
    " hangs there.",
    stake=Stake.HARM,
    ask="Read kind and volts of both supplies and of the loads off their labels.",
    mends="The supply that the loads are made for, made strong enough; or loads made for the other one.",
)

_HAIR: Final = 1e-6
"""Below this two voltages are one [V]."""

_SWAPPED: Final = Citation(
    "a coil for alternating current is held back by its reactance; on direct current only by its ohms",
    mark=Mark.PRACTICE,
)


def judge_instead(case: Case, premises: str, name: str) -> Iterator[Finding]:
    """SUP-31 of a supply beside which the job names another to be used in its place.

    Args:
        case: the job.
        premises, name: of the supply.
    """
    other = case.job.premises[premises].supplies[name].instead
    if other is None:
        return
    sheet = case.equipment.supplies[f"{premises}/{other}"].sheet
    ends = [end for end in ends_of(case, premises, name) if end.current != "potential-free"]
    wrong = [(end, why) for end in ends if (why := _wrong(sheet, end))]
    asks = _asks(sheet, f"{premises}/{other}", ends)
    subjects = tuple(dict.fromkeys(_subjects(premises, name, other, [end for end, _ in wrong] or ends)))
    if wrong:
        whys = dict.fromkeys(why for _, why in wrong)
        told = [
            f"{listed(dict.fromkeys(end.who for end, its in wrong if its == why))}: {why}" for why in whys
        ]
        says = f"{other} in place of {name} is refused: {'; '.join(told)}."
    elif asks:
        says = f"Whether {other} can take the place of {name} is not known."
    else:
        says = f"{other} suits everything that hangs on {name}, by kind of current and volts."
    yield USED_INSTEAD.decide(
        about=f"{other} in place of {name} at {premises}",
        subjects=subjects,
        cause=SupplyRef(f"{premises}/{name}"),
        answer=Answer.of(not wrong),
        says=says,
        because=_because(sheet, [end for end, _ in wrong]),
        asks=() if wrong else asks,
        remedies=_remedies(name, [end for end, _ in wrong]),
        bars=any(_burns(sheet, end) for end, _ in wrong),
        sources=(*case.equipment.supplies[f"{premises}/{other}"].cite("supply", "voltage_v"), _SWAPPED),
    )


def _subjects(premises: str, name: str, other: str, ends: list[End]) -> Iterator[Ref]:
    for end in ends:
        yield from end.subjects
    yield SupplyRef(f"{premises}/{name}")
    yield SupplyRef(f"{premises}/{other}")


def _burns(sheet: SupplySheet, end: End) -> bool:
    return sheet.supply == "dc" and end.current == "ac"


def _wrong(sheet: SupplySheet, end: End) -> str:
    """What is wrong with an end on another supply, as goes on after its name; empty where nothing is."""
    kind, volts = sheet.supply, sheet.voltage_v
    if kind is not None and end.current in ("dc", "ac") and end.current != kind:
        return f"made for {kind_says(end.current)}, and it gives {kind_says(kind)}"
    if volts is None:
        return ""
    if end.minimum_v is not None and volts < end.minimum_v:
        return f"works from {end.minimum_v:g} V, and it gives {volts:g} V"
    most = end.maximum_v
    if most is None and end.nominal_v is not None and kind is not None:
        most = MOST_OVER[kind] * end.nominal_v
    return f"stands {most:g} V, and it gives {volts:g} V" if most is not None and volts > most + _HAIR else ""


def _asks(sheet: SupplySheet, path: str, ends: list[End]) -> tuple[Ask, ...]:
    asks = [kind_of(path)] if sheet.supply is None else []
    asks += [voltage_of(path)] if sheet.voltage_v is None else []
    return (*asks, *(kind_of(end.who) for end in ends if end.current is None))


def _because(sheet: SupplySheet, wrong: list[End]) -> str:
    coil = next((end for end in wrong if _burns(sheet, end)), None)
    if coil is None:
        return ""
    return (
        "A coil made for alternating current draws several times its power on direct current and burns."
        f"{heat_says(sheet, coil)}"
    )


def _remedies(name: str, wrong: list[End]) -> tuple[Remedy, ...]:
    if not wrong:
        return ()
    return (
        Remedy(f"Leave them on {name}, and make that strong enough"),
        Remedy("Loads made for the other supply; for water latching valves, worked by pulses"),
    )
