"""Judges that one contact closes one circuit: a second one beside it gets the volts of the first."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.cabling import feeds_coil
from farpress.case.case import Case
from farpress.case.citations import GIVEN, PRACTICE
from farpress.case.switched import Load, Switched
from farpress.domain.finding import Ask, Finding, Link, Remedy, Stake, Who
from farpress.domain.refs import SupplyRef
from farpress.judging.check import Answer, Check
from farpress.phrases import listed

__all__ = ["ONE_CIRCUIT", "judge_circuits"]

ONE_CIRCUIT: Final = Check(
    "CON-09",
    Link.CONTACT,
    "Several things on one contact: whether they lie in one circuit, or the contact joins two.",
    stake=Stake.PROMISE,
    ask="Look which supply feeds each thing on this contact, and which input gives its own volts.",
    who=Who.INSTALLER,
    minutes=10.0,
    mends="A relay with a contact for each circuit, or an output of its own for each.",
)

_APART: Final = (
    Remedy("A relay with a contact of its own for each circuit between, its coil on the output"),
    Remedy("An output of its own for each, both learned on the one button"),
)


def judge_circuits(case: Case, circuit: Switched) -> Iterator[Finding]:
    """CON-09 of a contact that works more than one thing."""
    if len(circuit.loads) < 2:
        return
    names = listed([load.name for load in circuit.loads])
    fed_by = {load.name: _fed_by(case, circuit, load) for load in circuit.loads}
    known = {whose for whose in fed_by.values() if whose is not None}
    open_ones = [name for name, whose in fed_by.items() if whose is None]
    inputs = all(load.is_signal and not load.is_panel for load in circuit.loads)
    told = listed([f"{name} in that of {whose}" for name, whose in fed_by.items() if whose is not None])
    answer, says, because = Answer.YES, f"{names} lie in one circuit, of {listed(sorted(known))}.", ""
    if len(known) > 1:
        answer = Answer.BARELY if inputs else Answer.NO
        says = f"{circuit.contact.name} joins circuits that are to stay apart: {told}."
        because = (
            "Each control gives its inputs volts of its own; joined, one feeds the other while it is off,"
            " and may be worked by it."
            if inputs
            else "The volts that feed the one come into the other: an input or loop reads wrong or is"
            " destroyed, and what it shall tell is not told."
        )
    elif open_ones:
        answer = Answer.UNKNOWN
        says = f"Whether {names} lie in one circuit is not known: what feeds {listed(open_ones)} is not said."
    yield ONE_CIRCUIT.decide(
        about=circuit.about,
        subjects=circuit.subjects,
        answer=answer,
        says=says,
        because=because,
        asks=tuple(
            Ask(f"Look which supply {circuit.contact.name} switches to {name}.", Who.INSTALLER, 10.0)
            for name in open_ones
            if answer is Answer.UNKNOWN
        ),
        remedies=_APART if answer is not Answer.UNKNOWN else (),
        sources=(*(source for load in circuit.loads for source in load.sources), PRACTICE, GIVEN),
    )


def _fed_by(case: Case, circuit: Switched, load: Load) -> str | None:
    """Whose volts a load has: of its own control or panel, of a supply, of the mains; None: unsaid."""
    name = load.name.partition(".")[0]
    if load.is_signal or load.is_panel:
        return name
    if load.is_mains:
        return "the mains"
    output = circuit.at
    device = case.job.premises[output.premises].devices.get(name)
    given = output.output.load_from if not feeds_coil(case, output) else None
    if given is None and device is not None and device.fed is not None:
        given = device.fed.from_
    return SupplyRef(f"{output.premises}/{given.partition('.')[0]}").name if given else None
