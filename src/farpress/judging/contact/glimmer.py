"""Judges lamps on mains that are off at the end of a long cable: a live core beside theirs feeds them."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.case import Case
from farpress.case.supply_volts import mains_hz
from farpress.case.switched import Load, Switched
from farpress.core.wiring.contacts import leak_a
from farpress.domain.finding import Ask, Finding, Link, Remedy, Stake, Who
from farpress.domain.premises import CableRun
from farpress.judging.check import AT_MOST, Check, Estimate, Limit, no_edge
from farpress.sources import cited
from farpress.units import write_quantity

__all__ = ["GLIMMER", "judge_glimmer"]

LONG_M: Final = 30.0
"""From here on a lamp at a cable with more cores is asked about; our choice."""

CORES_OF_A_LAMP: Final = 3
"""Live, neutral and protective conductor: with more cores another may be live beside the lamp's."""

GLIMMER: Final = Check(
    "CON-12",
    Link.CONTACT,
    "Current from a live core of its cable to a lamp that is off, against what it glows from.",
    unit="A",
    bound=AT_MOST,
    thin=no_edge("the capacitance of a cable is known to a fifth at best"),
    stake=Stake.PROMISE,
    ask="Find the current from which the lamp glows, in its data sheet, or look at it at night.",
    mends="A bleed resistor or RC element across the lamp, or a relay beside it.",
)


def judge_glimmer(case: Case, circuits: tuple[Switched, ...]) -> Iterator[Finding]:
    """CON-12, of each lamp on mains whose cable may have another live core."""
    for circuit in circuits:
        run = circuit.at.output.cable
        part = case.equipment.cables.get(run.part) if run is not None else None
        if run is None or part is None or (part.sheet.cores or 0) <= CORES_OF_A_LAMP:
            continue
        for load in circuit.loads:
            device = case.equipment.devices.get(f"{circuit.at.premises}/{load.name}")
            if device is not None and load.is_mains and load.kind in ("led", "lamp"):
                yield from _judged(case, circuit, load, run, device.sheet.glows_from_a)


def _judged(
    case: Case, circuit: Switched, load: Load, run: CableRun, glows_a: float | None
) -> Iterator[Finding]:
    if glows_a is None and (load.kind != "led" or run.length_m < LONG_M):
        return
    part = case.equipment.cables[run.part]
    per_m, volts = part.sheet.capacitance_f, load.volts
    leak = None
    asks: list[Ask] = []
    if per_m is None:
        asks.append(Ask(f"Find the capacitance between two cores of {run.part}, a metre.", Who.LABEL, 5.0))
    elif volts is None:
        asks.append(Ask(f"Read the rated volts of {load.name} off its label.", Who.LABEL, 2.0))
    else:
        leak = leak_a(capacitance_f=per_m * run.length_m, volts=volts, frequency_hz=mains_hz(case))
    if glows_a is None:
        asks.append(
            Ask(f"Find the current from which {load.name} glows, or look at it at night.", Who.LABEL, 5.0)
        )
    metres = write_quantity(run.length_m, "length")
    says = f"{load.name} is off at the end of {metres} of {run.part}, whose other cores may be live"
    says += (
        f": {write_quantity(leak, 'current')} come over to it"
        if leak is not None
        else "; how much comes over to it is not known"
    )
    says += f", and it glows from {write_quantity(glows_a, 'current')}." if glows_a is not None else "."
    yield GLIMMER.judge(
        about=f"{circuit.about}: {load.name}",
        subjects=circuit.subjects,
        value=Estimate(leak, None),
        limit=Limit(glows_a, load.sources if glows_a is not None else ()),
        says=says,
        because="A signal that glimmers while it is off is taken for on."
        if leak is not None and glows_a is not None and leak > glows_a
        else "",
        asks=tuple(asks),
        remedies=(
            Remedy("A bleed resistor or RC element across the lamp, fitted by an electrician"),
            Remedy("A relay beside the lamp that switches both its cores, or a cable of its own"),
        ),
        sources=(*part.cite("capacitance_f"), *cited(leak_a)),
    )
