"""Whether a receiver whose housing is to be watched has a contact that can report its opening."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.case import Case
from farpress.case.citations import GIVEN, PRACTICE
from farpress.domain.finding import Finding, Link, Remedy, Stake, Who
from farpress.domain.refs import PanelRef, ReceiverRef
from farpress.judging.check import Answer, Check

__all__ = ["AT_ALL_TIMES", "TAMPER_CONTACT", "judge"]

TAMPER_CONTACT: Final = Check(
    "PAN-15",
    Link.PANEL,
    "Whether a receiver that is wired to a tamper input has a contact that opens with its housing.",
    stake=Stake.DUTY,
    ask="See in the receiver's data sheet whether it has a tamper contact, and of which kind.",
    mends="A receiver with a tamper contact, or one in a housing that has one.",
)
AT_ALL_TIMES: Final = Check(
    "PAN-60",
    Link.PANEL,
    "A housing's tamper contact: read by an input that tells at any time, set or not.",
    stake=Stake.PROMISE,
    ask="Ask the alarm company whether that input tells of an opened housing while the system is unset.",
    who=Who.ALARM_COMPANY,
    minutes=5.0,
    mends="An input that tells at any time, over a pair of its own.",
)


def judge(case: Case) -> Iterator[Finding]:
    """PAN-15 and PAN-60 of each receiver that is wired to a tamper input."""
    for premises, house in case.job.premises.items():
        for name, receiver in house.receivers.items():
            if receiver.tamper is None:
                continue
            path = f"{premises}/{name}"
            part = case.equipment.receivers[path]
            contact = part.sheet.tamper_contact
            panel = receiver.tamper.split(".")[0]
            words = {
                None: f"Whether {name} has a tamper contact is not known; it is wired to {receiver.tamper}.",
                "none": f"{name} has no tamper contact, and is wired to {receiver.tamper}.",
            }
            yield TAMPER_CONTACT.decide(
                about=path,
                subjects=(ReceiverRef(path), PanelRef(f"{premises}/{panel}")),
                says=words.get(
                    contact, f"{name} has a tamper contact, {contact}, for {receiver.tamper} to read."
                ),
                because="A housing that can be opened unseen is where a strange fob is taught.",
                answer=Answer.UNKNOWN if contact is None else Answer.of(contact != "none"),
                remedies=(Remedy("Take a receiver with a tamper contact, or a housing that has one."),),
                sources=part.cite("tamper_contact"),
            )
            yield _told(case, path, receiver.tamper)


def _told(case: Case, path: str, tamper: str) -> Finding:
    """PAN-60: an input that reads 'tamper' tells always; a zone as it says."""
    premises, name = path.split("/")
    panel, _, entry = tamper.partition(".")
    part, mounted = (
        case.equipment.panels.get(f"{premises}/{panel}"),
        case.job.premises[premises].panels.get(panel),
    )
    reads = (part.sheet.inputs or {}).get(entry) if part is not None else None
    zone = mounted.zones.get(entry) if mounted is not None else None
    because = ""
    if zone is not None and zone.told is not None:
        answer = Answer.of(zone.told == "at any time")
        says = f"{name}'s housing lies in zone {entry} of {panel}, told of {zone.told}."
    elif reads is not None and reads.reads == "tamper":
        answer, says = Answer.YES, f"{tamper} tells at any time that the housing of {name} was opened."
    else:
        answer = Answer.UNKNOWN
        says = (
            f"Whether {tamper} tells of the opened housing of {name} while the system is unset is not known."
        )
    if answer is not Answer.YES:
        because = (
            "While it is unset, as by day, it can be opened and a strange fob learned, and nobody hears."
        )
    return AT_ALL_TIMES.decide(
        about=path,
        subjects=(ReceiverRef(path), PanelRef(f"{premises}/{panel}")),
        answer=answer,
        says=says,
        because=because,
        remedies=(
            Remedy(f"A tamper input for the housing of {name}, told at any time, on a pair of its own"),
        ),
        sources=(PRACTICE, GIVEN),
    )
