"""What protects people and switches on again by itself, before something that a fob switches on."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.case import Case, OutputAt
from farpress.case.citations import GIVEN, PRACTICE
from farpress.case.driven import Driven, driven_of, subjects_of
from farpress.domain.cautions import LOCAL_CODES
from farpress.domain.finding import Ask, Finding, Link, Remedy, Stake, Who
from farpress.judging.check import Answer, Check

__all__ = ["STAYS_TRIPPED", "judge"]

STAYS_TRIPPED: Final = Check(
    "SAFE-54",
    Link.SAFETY,
    "What protects people at a thing that a fob switches on: once tripped it stays off until somebody looks.",
    stake=Stake.HARM,
    bars=True,
    ask="Trip it with its test button, and wait ten minutes: it must stay off.",
    who=Who.INSTALLER,
    minutes=12.0,
    mends="A residual current device that is switched on again by hand, at the place, after somebody looked.",
)


def judge(case: Case) -> Iterator[Finding]:
    """SAFE-54 of each thing of which it is said, and of what feeds something that is not harmless."""
    seen: set[str] = set()
    for output in case.outputs():
        for driven in driven_of(case, output):
            known = driven.sheet.recloses is not None
            feeds = driven.traits.feeds_more and driven.sheet.harmless is False
            if (known or feeds) and driven.path not in seen:
                seen.add(driven.path)
                yield _judged(output, driven)


def _judged(output: OutputAt, driven: Driven) -> Finding:
    name, again = driven.path.split("/")[1], driven.sheet.recloses
    says = {
        True: f"What protects people at {name} switches on again by itself after it tripped.",
        False: f"What protects people at {name} stays off once it tripped.",
        None: f"Whether what protects people at {name} stays off once it tripped is not known.",
    }[again]
    return STAYS_TRIPPED.decide(
        about=driven.path,
        subjects=(driven.subject, *subjects_of(output)),
        answer=Answer.of(None if again is None else not again),
        says=says,
        because=f"Whoever lies in the water, or has the fault in hand, gets it again. {LOCAL_CODES}",
        asks=(Ask(f"Trip what protects {name} with its test button: it must stay off.", Who.INSTALLER, 12.0),)
        if again is None
        else (),
        remedies=(
            Remedy("One that is switched on again by hand, at the place, after somebody looked"),
            Remedy("No start of it by radio: switched on at the place alone"),
        ),
        sources=(*driven.cite("recloses", "harmless"), PRACTICE, GIVEN),
    )
