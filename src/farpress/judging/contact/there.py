"""Judges a contactor that is there already: whether it makes the peak of what hangs on it today."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.case import Case
from farpress.domain.finding import Finding, Link, Remedy, Stake
from farpress.domain.refs import DeviceRef
from farpress.judging.check import AT_MOST, Check, Estimate, Limit
from farpress.units import write_quantity

__all__ = ["THERE_ALREADY", "judge_there"]

THERE_ALREADY: Final = Check(
    "CON-15",
    Link.CONTACT,
    "Peak of what hangs on a contactor that is there already, against what it may make.",
    unit="A",
    bound=AT_MOST,
    stake=Stake.PROMISE,
    ask="Read the peak of one piece at switching on, and how many there are.",
    mends="Two contactors, one after the other, or one made for such a peak.",
)


def judge_there(case: Case) -> Iterator[Finding]:
    """CON-15 of each thing whose contactor is given, whichever output works it or none yet."""
    for path, part in case.equipment.devices.items():
        sheet = part.sheet
        if sheet.contactor_make_a is None:
            continue
        name, pieces = path.split("/")[1], sheet.pieces or 1
        peak = None if sheet.peak_a is None else sheet.peak_a * pieces
        makes = write_quantity(sheet.contactor_make_a, "current")
        says = f"The peak of {name} at switching on is not known; its contactor may make {makes}."
        if peak is not None and sheet.peak_a is not None:
            each = f"{pieces} x {sheet.peak_a:g} A, " if pieces > 1 else ""
            says = f"{name} makes a peak of {each}{peak:g} A; the contactor that is there may make {makes}."
        groups = 0 if peak is None else -(-peak // sheet.contactor_make_a)
        yield THERE_ALREADY.judge(
            about=path,
            subjects=(DeviceRef(path),),
            value=Estimate(peak),
            limit=Limit(sheet.contactor_make_a, part.cite("contactor_make_a")),
            says=says,
            because="A contact that welds stays on whatever is pressed.",
            remedies=(
                Remedy(f"{groups:.0f} groups on contactors of their own, a second apart, by an electrician"),
                Remedy("A contactor made for such a peak, or an inrush limiter before it"),
            ),
            sources=part.cite("peak_a", "pieces"),
        )
