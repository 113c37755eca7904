"""The papers there are: name, title, what each is for, and who gets it. Light, so that help is quick."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

__all__ = ["AUDIENCES", "KINDS", "PaperKind"]

AUDIENCES: Final = ("customer", "installer", "auditor")
"""Who a pack can be made for."""


@dataclass(frozen=True)
class PaperKind:
    """One paper: its title, one line about it, and who gets it."""

    title: str
    says: str
    audiences: frozenset[str]


def _for(*audiences: str) -> frozenset[str]:
    return frozenset(audiences)


_ALL: Final = frozenset(AUDIENCES)

KINDS: Final[dict[str, PaperKind]] = {
    "cover": PaperKind(
        "Cover", "one page in plain words: works, not yet, never, whom to ring", _for("customer", "installer")
    ),
    "survey-record": PaperKind(
        "Enquiry and survey record",
        "what was asked for, what stands on site, what is open",
        _for("installer", "auditor"),
    ),
    "system-design-proposal": PaperKind(
        "System design proposal", "outputs, reach, supply, rights, limits, to be accepted", _ALL
    ),
    "wiring-schedule": PaperKind(
        "Block diagram and wiring schedule", "every run core by core, terminal drawings", _ALL
    ),
    "output-sheets": PaperKind(
        "Output sheets", "one page an output: drawing, judgement, hazards, trials", _ALL
    ),
    "settings-schedule": PaperKind(
        "Settings schedule", "planned, set and checked, receiver by receiver", _ALL
    ),
    "key-register": PaperKind(
        "Key register", "who holds which fob, with the table of persons", _for("customer", "installer")
    ),
    "key-register-without-names": PaperKind(
        "Key register, copy without names", "the same without a person's name", _for("installer", "auditor")
    ),
    "user-cards": PaperKind(
        "User cards", "one page a person: only their buttons, drawn", _for("customer", "installer")
    ),
    "pocket-cards": PaperKind(
        "Pocket cards", "a small card for each fob, to cut out", _for("customer", "installer")
    ),
    "labels": PaperKind("Labels", "a label for each fob with code and check character", _for("installer")),
    "proving-record": PaperKind("Proving record", "tests, expected, found, and what that shows", _ALL),
    "risk-notes": PaperKind("Risk notes", "hazards, measures, what remains", _ALL),
    "handover-certificate": PaperKind(
        "Commissioning and handover certificate", "papers, training, open faults, signatures", _ALL
    ),
    "maintenance-plan": PaperKind(
        "Maintenance plan", "who looks at what, how often, against which value", _ALL
    ),
    "log-book": PaperKind("Log book", "what happened, and room to write", _ALL),
    "lost-fob-sheet": PaperKind(
        "Lost-fob sheet", "what is exposed, what is blocked, where to go", _for("customer", "installer")
    ),
    "change-order": PaperKind(
        "Change order", "what differs from an earlier version, and its effects", _for("customer", "installer")
    ),
    "data-note": PaperKind("Data note", "which names are kept, by whom, until when", _ALL),
    "cell-plan": PaperKind(
        "Cell plan", "which cells are due when, how many to order", _for("customer", "installer")
    ),
    "reach-report": PaperKind(
        "Reach report", "budgets, readings, noise and maps", _for("installer", "auditor")
    ),
    "refusal-letter": PaperKind(
        "What we cannot do, and what we offer instead", "the letter about wishes that radio cannot meet", _ALL
    ),
    "summary": PaperKind("Summary of promises", "every promise as a chain, with its weakest link", _ALL),
}
"""Name of a paper, which is the name of its file → the paper, in the order of a pack."""
