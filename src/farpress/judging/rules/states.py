"""Rules about states of things: leaves, areas, people at work, locks of gates, hours.

Nothing but a search of press stories settles them; here stands what they are about, and what mends them.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from types import MappingProxyType
from typing import Final

from farpress.case.case import Case, OutputAt
from farpress.case.driven import driven_of, subjects_of
from farpress.domain.cautions import DUTIES
from farpress.domain.finding import Remedy
from farpress.domain.job import Rule
from farpress.judging.check import Answer
from farpress.judging.rules.ruling import Ruling
from farpress.rehearsal.stated import stated_checks

__all__ = ["states"]

_MENDS: Final[Mapping[str, tuple[Remedy, ...]]] = MappingProxyType(
    {
        "both open": (
            Remedy("Each leaf waits for the end contact of the other one: 'waits_for' and 'waits_by'"),
        ),
        "set with somebody inside": (
            Remedy("A switch of those inside that prevents setting, as long as they are there"),
            Remedy("Set it by time after somebody has looked round; never by the press of whoever leaves"),
        ),
        "open while set": (
            Remedy(
                "Let the panel prevent setting while it is open, and let its set output block the opening"
            ),
        ),
        "live while worked on": (
            Remedy(
                "An isolator at the place of work that can be locked off, and a lock for whoever works there"
            ),
        ),
        "more than one inside": (
            Remedy("A loop inside that keeps the gate to drive in by shut while somebody is there"),
            Remedy("A gate that closes behind each vehicle, so that none follows in the same opening"),
        ),
        "works outside hours": (
            Remedy(
                "A time switch on the control of what it works, so that a press does nothing at other hours"
            ),
        ),
    }
)
"""Kind of rule → what mends it; each is tried by writing it into the job and searching again."""


def states(case: Case, rule: Rule, outputs: tuple[OutputAt, ...]) -> Iterator[Ruling]:
    """What a rule about states of things is about; the search says the rest."""
    del outputs
    found = False
    for check in stated_checks(case, rule):
        found = True
        subjects = tuple(
            dict.fromkeys(name for seed in check.seeds for name in subjects_of(seed, *driven_of(case, seed)))
        )
        yield Ruling(
            Answer.UNKNOWN,
            f"Whether {check.forbids} was not searched to the end here.",
            DUTIES["machine"] if rule.never == "live while worked on" else "",
            check.about,
            asks=("'farpress rehearsal' looks further.",),
            remedies=_MENDS[rule.never],
            subjects=subjects,
            is_searched=True,
        )
    if not found:
        yield Ruling(Answer.UNKNOWN, "nothing it names can do what it forbids.", never_matters=True)
