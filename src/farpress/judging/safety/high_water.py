"""What hangs lower than the highest water that was ever there: it fails when it is needed most."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.case import Case
from farpress.case.citations import GIVEN, PRACTICE
from farpress.domain.cautions import LOCAL_CODES
from farpress.domain.finding import Ask, Finding, Link, Remedy, Stake, Who
from farpress.domain.premises import Premises
from farpress.domain.refs import DeviceRef, PanelRef, PremisesRef, ReceiverRef, Ref, SupplyRef
from farpress.judging.check import AT_LEAST, Check, Estimate, Limit, wide_edge
from farpress.phrases import listed

__all__ = ["HIGH_WATER", "judge"]

HIGH_WATER: Final = Check(
    "SAFE-65",
    Link.SAFETY,
    "What hangs lowest with current in it, against the highest water known at the premises.",
    unit="m",
    bound=AT_LEAST,
    thin=wide_edge(0.3, "waves, and the next flood, stand higher than the last mark"),
    stake=Stake.HARM,
    ask="Ask for the highest water known there, and measure on the plan's heights where its mark is.",
    who=Who.CUSTOMER,
    minutes=10.0,
    mends="Boxes and supplies hung over the mark with a reserve, and what moves the water wound by hand.",
)


def judge(case: Case) -> Iterator[Finding]:
    """SAFE-65 of premises with a mark, and of those where something holds water back by power."""
    for premises, house in case.job.premises.items():
        parts = (case.equipment.devices.get(f"{premises}/{name}") for name in house.devices)
        holds_back = any(
            part is not None and part.sheet.traits.moves and part.sheet.traits.runs_water for part in parts
        )
        if house.high_water_m is not None or holds_back:
            yield _lowest(premises, house)


def _heights(premises: str, house: Premises) -> Iterator[tuple[str, Ref, float | None]]:
    """Each thing with current in it, and its height; None where that is not said."""
    for name, receiver in house.receivers.items():
        yield name, ReceiverRef(f"{premises}/{name}"), _height(receiver.at)
    placed = (
        *((name, SupplyRef(f"{premises}/{name}"), supply.at) for name, supply in house.supplies.items()),
        *((name, PanelRef(f"{premises}/{name}"), panel.at) for name, panel in house.panels.items()),
        *((name, DeviceRef(f"{premises}/{name}"), device.at) for name, device in house.devices.items()),
    )
    for name, ref, place in placed:
        yield name, ref, _height(place)


def _height(place: tuple[float, ...] | None) -> float | None:
    return float(place[2]) if place is not None and len(place) > 2 else None


def _lowest(premises: str, house: Premises) -> Finding:
    mark = house.high_water_m
    every = list(_heights(premises, house))
    unsaid = [name for name, _, height in every if height is None]
    known = [(height, name, ref) for name, ref, height in every if height is not None]
    lowest = min(known, key=lambda it: it[0], default=None)
    low = [it for it in known if mark is not None and it[0] < mark]
    asks: list[Ask] = []
    if mark is None:
        asks.append(
            Ask(
                f"Ask for the highest water known at {premises}, and write its height as 'high_water'.",
                Who.CUSTOMER,
                10.0,
            )
        )
    if unsaid:
        asks.append(Ask(f"Measure how high {listed(unsaid)} hang over the plan's zero.", Who.METER, 5.0))
    says = f"How high the water has stood at {premises} is not known; something there holds it back by power."
    if mark is not None:
        says = f"The highest water known at {premises} stood at {mark:g} m; what hangs lowest is not known."
        if lowest is not None:
            says = f"The highest water known at {premises} stood at {mark:g} m; {lowest[1]} hangs at"
            says += f" {lowest[0]:g} m."
    if low:
        under = ", ".join(f"{name} at {height:g} m" for height, name, _ in sorted(low, key=lambda it: it[0]))
        says = f"The highest water known at {premises} stood at {mark:g} m; under that hang {under}."
    refs = tuple(ref for _, _, ref in low) or ((lowest[2],) if lowest is not None else ())
    return HIGH_WATER.judge(
        about=premises,
        subjects=(PremisesRef(premises), *refs),
        cause=PremisesRef(premises),
        value=Estimate(lowest[0] if lowest is not None and (low or not unsaid) else None, None, (GIVEN,)),
        limit=Limit(mark, (GIVEN, PRACTICE)),
        says=says,
        because="In a flood it fails when it is needed, and mains in the water kills whoever wades to it."
        f" {LOCAL_CODES}",
        asks=asks,
        remedies=(
            Remedy("Hang boxes and supplies half a metre and more over the highest mark"),
            Remedy("A way to wind by hand what holds the water back, with its crank beside it, tried"),
        ),
        sources=(GIVEN, PRACTICE),
    )
