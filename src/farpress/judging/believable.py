"""Nothing absurd is computed with: a value outside its believable band is asked about, with what was likely
meant.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Final

from farpress.case.case import Case
from farpress.case.doubted import Doubted
from farpress.domain.finding import Ask, Finding, Link, Who
from farpress.domain.refs import (
    CableRef,
    DeviceRef,
    GroupRef,
    OutputRef,
    PanelRef,
    PlanRef,
    ReceiverRef,
    Ref,
    SupplyRef,
)
from farpress.judging.check import Answer, Check
from farpress.units import write_quantity

__all__ = ["BELIEVABLE", "judge"]

BELIEVABLE: Final = Check(
    "KNOW-08",
    Link.DEVICE,
    "A value so far from what there is on premises that it is not computed with.",
    who=Who.LABEL,
    minutes=2.0,
    mends="Read the value again, with its unit.",
)
"""Its link is that of the thing; this one stands for all."""

_HOME: Final[dict[str, tuple[Link, type[Ref]]]] = {
    "receivers": (Link.RECEIVER, ReceiverRef),
    "devices": (Link.DEVICE, DeviceRef),
    "panels": (Link.PANEL, PanelRef),
    "supplies": (Link.SUPPLY, SupplyRef),
    "batteries": (Link.SUPPLY, SupplyRef),
    "fobs": (Link.FOB, GroupRef),
    "cells": (Link.FOB, GroupRef),
    "groups": (Link.FOB, GroupRef),
    "outputs": (Link.OUTPUT, OutputRef),
    "interference": (Link.AIR, PlanRef),
    "cables": (Link.SUPPLY, CableRef),
    "relays": (Link.CONTACT, CableRef),
}


def judge(case: Case) -> Iterator[Finding]:
    """One finding for each value that is not believed; none for the rest, which other checks hold."""
    things: dict[tuple[str, str], list[Doubted]] = {}
    for doubted in case.doubted:
        things.setdefault((doubted.table, doubted.name), []).append(doubted)
    for (table, name), values in things.items():
        link, kind = _HOME[table]
        given = " and ".join(f"{value.key} {_text(value, value.value)}" for value in values)
        band = "; ".join(
            f"{value.key} lies between {_text(value, value.band.low)} and {_text(value, value.band.high)}"
            for value in values
        )
        yield replace(BELIEVABLE, link=link).decide(
            about=f"{name}: {', '.join(value.key for value in values)}",
            subjects=(kind(name),),
            says=f"{name} is given with {given}, which cannot be. {_used(values)}",
            because=f"On premises {band}.",
            answer=Answer.UNKNOWN,
            asks=tuple(Ask(_question(value), Who.LABEL, 2.0) for value in values),
            sources=tuple(source for value in values for source in (*value.sources, value.band.source)),
        )


def _used(values: list[Doubted]) -> str:
    """What became of it: "It is not computed with." or what stays."""
    stay = [value.key for value in values if value.band.stays]
    if not stay:
        return "It is not computed with."
    return f"Until it is answered, {' and '.join(stay)} counts as given."


def _question(doubted: Doubted) -> str:
    likely = doubted.band.likely(doubted.value)
    given = _text(doubted, doubted.value)
    if likely is None:
        return f"Read {doubted.key} of {doubted.name} again: {given} is not believed."
    return f"{given} for {doubted.key} of {doubted.name}: was {_text(doubted, likely)} meant?"


def _text(doubted: Doubted, value: float) -> str:
    return write_quantity(value, doubted.band.kind)
