"""Whether a receiver whose housing is to be watched has a contact that can report its opening."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.case import Case
from farpress.domain.finding import Finding, Link, Remedy, Stake
from farpress.domain.refs import PanelRef, ReceiverRef
from farpress.judging.check import Answer, Check

__all__ = ["TAMPER_CONTACT", "judge"]

TAMPER_CONTACT: Final = Check(
    "PAN-15",
    Link.PANEL,
    "Whether a receiver that is wired to a tamper input has a contact that opens with its housing.",
    stake=Stake.DUTY,
    ask="See in the receiver's data sheet whether it has a tamper contact, and of which kind.",
    mends="A receiver with a tamper contact, or one in a housing that has one.",
)


def judge(case: Case) -> Iterator[Finding]:
    """One finding for each receiver that is wired to a tamper input."""
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
