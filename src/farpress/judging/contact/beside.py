"""Judges a contact that is open, and its neighbours: what leaks past it, and mains beside low volts."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import groupby
from typing import Final

from farpress.case.case import Case
from farpress.case.citations import MAINS, PRACTICE
from farpress.case.supply_volts import mains_hz
from farpress.case.switched import Load, Switched
from farpress.core.wiring.contacts import leak_a
from farpress.domain.cautions import caution
from farpress.domain.finding import Ask, Finding, Link, Remedy, Stake, Who
from farpress.domain.refs import ReceiverRef
from farpress.judging.check import AT_MOST, Answer, Check, Estimate, Limit, no_edge
from farpress.phrases import listed
from farpress.sources import Citation, Mark, cited
from farpress.units import write_quantity

__all__ = ["APART", "LEAKS", "judge_beside"]

FELT_A: Final = 0.5e-3
"""Current through a hand that is just felt, alternating; from memory [A]."""

LEAKS: Final = Check(
    "CON-10",
    Link.CONTACT,
    "Mains that leaks through an RC element built in across an open contact, against what a hand feels.",
    unit="A",
    bound=AT_MOST,
    limit=Limit(
        FELT_A, (Citation("IEC 60479-1", place="threshold of perception, 0.5 mA", mark=Mark.MEMORY),)
    ),
    thin=no_edge("what is felt is far below what kills"),
    stake=Stake.HARM,
    ask="Look in the data sheet whether an RC element is built in across the contacts, and how large.",
    mends="A contactor between, whose contacts have nothing across them.",
)
APART: Final = Check(
    "CON-11",
    Link.CONTACT,
    "Mains on one contact of a receiver and extra-low voltage on another: kept apart inside it.",
    stake=Stake.HARM,
    halts=True,
    ask="Look in the data sheet whether its contacts are kept apart as mains from extra-low voltage.",
    minutes=5.0,
    mends="An interposing relay in an enclosure of its own for the mains.",
)


def judge_beside(case: Case, circuits: tuple[Switched, ...]) -> Iterator[Finding]:
    """CON-10 of each receiver's contact on mains, CON-11 of each receiver with mains beside low volts."""
    own = [circuit for circuit in circuits if not circuit.contact.is_relay]
    for circuit in own:
        mains = next((load for load in circuit.loads if load.is_mains), None)
        if mains is not None and circuit.contact.mains_rated:
            yield _leak(case, circuit, mains)
    for path, group in groupby(own, key=lambda circuit: circuit.at.receiver_path):
        yield from _apart(case, path, tuple(group))


def _leak(case: Case, circuit: Switched, load: Load) -> Finding:
    """CON-10."""
    part = case.equipment.receivers[circuit.at.receiver_path]
    capacitance, volts = part.sheet.contact_capacitance_f, load.volts
    leak = None
    if capacitance is not None and volts is not None:
        leak = leak_a(capacitance_f=capacitance, volts=volts, frequency_hz=mains_hz(case))
    name = circuit.contact.name
    asks: tuple[Ask, ...] = ()
    if leak is None:
        says = f"Whether an RC element is built in across {name}, which leaks while it is open, is not known."
        asks = (Ask(f"Look in the data sheet for an RC element across {name}; 0 nF if none.", Who.LABEL),)
    elif leak:
        built = write_quantity(capacitance or 0.0, "capacitance")
        says = (
            f"{write_quantity(leak, 'current')} flow to {load.name} while {name} is open: {built} across it."
        )
    else:
        says = f"Nothing is built in across {name}: open, it lets nothing through."
    return LEAKS.judge(
        about=circuit.about,
        subjects=circuit.subjects,
        value=Estimate(leak, None),
        says=says,
        because=(
            "What is switched off is live: a hand on it feels it, a small lamp glows, a small relay may"
            f" hold. {caution('mains')}"
        )
        if leak != 0
        else "",
        asks=asks,
        remedies=(
            Remedy("Put a contactor between, whose contacts have nothing across them"),
            Remedy(f"A lockable isolator at {load.name}: an open contact is no isolation"),
        ),
        sources=(*part.cite("contact_capacitance_f"), *cited(leak_a)),
    )


def _apart(case: Case, path: str, circuits: tuple[Switched, ...]) -> Iterator[Finding]:
    """CON-11."""
    on_mains = [
        circuit
        for circuit in circuits
        if circuit.contact.mains_rated is not False and any(load.is_mains for load in circuit.loads)
    ]
    low = [
        circuit for circuit in circuits if circuit.loads and not any(load.is_mains for load in circuit.loads)
    ]
    if not on_mains or not low:
        return
    part, name = case.equipment.receivers[path], path.partition("/")[2]
    apart = part.sheet.contacts_apart
    what = (
        f"{name} switches mains ({listed(load.name for load in on_mains[0].loads)}) beside extra-low voltage"
        f" ({listed(load.name for circuit in low for load in circuit.loads)})"
    )
    told = {
        True: "its contacts are kept apart for that",
        False: "its contacts are not kept apart for that",
        None: "whether its contacts are kept apart for that is not known",
    }[apart]
    yield APART.decide(
        about=path,
        subjects=(ReceiverRef(path), *dict.fromkeys(ref for each in circuits for ref in each.subjects)),
        cause=ReceiverRef(path),
        answer=Answer.of(apart),
        says=f"{what}; {told}.",
        because=""
        if apart
        else f"A fault inside puts mains on what people touch, in damp above all. {caution('mains')}",
        asks=()
        if apart is not None
        else (
            Ask(
                f"Look in the data sheet of {name} whether its contacts are kept apart as mains from"
                " extra-low voltage, with the clearances of that.",
                Who.LABEL,
                5.0,
            ),
        ),
        remedies=(
            Remedy("An interposing relay in an enclosure of its own for the mains, by an electrician"),
        ),
        offers=(Remedy("An interposing relay in an enclosure of its own for the mains, by an electrician"),),
        sources=(*part.cite("contacts_apart", "mains_rated"), MAINS, PRACTICE),
    )
