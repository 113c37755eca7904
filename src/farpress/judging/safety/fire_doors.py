"""Contacts that somebody relies on and an output would bridge; doors that a magnet holds open."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.case import Case, OutputAt
from farpress.case.citations import GIVEN, PRACTICE, RADIO
from farpress.case.driven import Driven, driven_of, subjects_of
from farpress.domain.cautions import LOCAL_CODES, caution
from farpress.domain.finding import Ask, Finding, Link, Remedy, Stake, Who
from farpress.domain.refs import OutputRef, Ref
from farpress.judging.check import Answer, Check
from farpress.phrases import listed
from farpress.sources import Citation, Mark

__all__ = ["BRIDGED", "FREED_IN_FIRE", "judge"]

EN_1155: Final = Citation("EN 1155", place="hold-open devices for swing doors", mark=Mark.MEMORY)

BRIDGED: Final = Check(
    "SAFE-60",
    Link.SAFETY,
    "A contact that somebody relies on, as the fire alarm's: no output of a receiver may lie across it.",
    stake=Stake.HARM,
    bars=True,
    halts=True,
    ask="Look whether a contact of the receiver lies across one of the fire alarm or of a safeguard.",
    who=Who.INSTALLER,
    minutes=10.0,
    mends="The wire across it taken away; for a test, whoever keeps that system switches it to test himself.",
)
FREED_IN_FIRE: Final = Check(
    "SAFE-61",
    Link.SAFETY,
    "A fire door held open: the fire alarm lets it go, before any contact of a receiver.",
    stake=Stake.HARM,
    bars=True,
    halts=True,
    ask="Try with whoever keeps the fire alarm whether its call lets the door go.",
    who=Who.CUSTOMER,
    minutes=20.0,
    mends="The fire alarm's contact first in the feed of the magnets, and a button at the door.",
)

_TEST: Final = "Have whoever keeps it switch it to test for that time, and back, written down"


def judge(case: Case) -> Iterator[Finding]:
    """SAFE-60 of each output that lies across a contact or may, SAFE-61 of each door that a magnet holds."""
    for output in case.outputs():
        worked = driven_of(case, output)
        yield from _bridged(output, worked)
        for driven in worked:
            if driven.traits.holds_open:
                yield _freed(output, driven)


def _bridged(output: OutputAt, worked: tuple[Driven, ...]) -> Iterator[Finding]:
    """SAFE-60; asked where the fire alarm lets go what the output works, as both ends are at hand there."""
    across = output.output.across
    is_near = any(it.traits.holds_open or "fire alarm" in (it.sheet.released_by or ()) for it in worked)
    if across is None and not is_near:
        return
    known = tuple(what for what in across or () if what != "something else")
    asks: tuple[Ask, ...] = ()
    because = ""
    if known:
        answer = Answer.NO
        what = listed([f"the {word}" for word in known])
        says = f"A contact of {output.path} lies across {what}: while it is on, that counts for nothing."
        because = f"Whoever forgets the press has switched {what} off, and nothing shows it.{_after(output)}"
    elif across:
        answer = Answer.UNKNOWN
        says = f"A contact of {output.path} lies across another; who relies on that is not said."
        asks = (Ask(f"Ask what the contact is for that {output.path} lies across.", Who.CUSTOMER, 5.0),)
    elif across is None:
        answer = Answer.UNKNOWN
        says = f"Whether a contact of {output.path} lies across the fire alarm's is not known."
        asks = (
            Ask(
                f"Look whether a contact of {output.path} lies across that of the fire alarm, and write"
                " 'across'; [] for none.",
                Who.INSTALLER,
                10.0,
            ),
        )
    else:
        answer, says = Answer.YES, f"No contact of {output.path} lies across one that somebody relies on."
    refs: tuple[Ref, ...] = tuple(dict.fromkeys(it.subject for it in worked))
    yield BRIDGED.decide(
        about=output.path,
        subjects=(OutputRef(output.path), *refs),
        answer=answer,
        says=says,
        because=because,
        asks=asks,
        remedies=(Remedy("Take the wire across it away"), Remedy(_TEST)),
        sources=(RADIO, PRACTICE, GIVEN),
        cause=OutputRef(output.path),
    )


def _after(output: OutputAt) -> str:
    """What a power cut makes of it."""
    if not output.output.traits.keeps_state:
        return ""
    return " It keeps its state: where it comes back as it was, it bridges again after a power cut."


def _freed(output: OutputAt, driven: Driven) -> Finding:
    """SAFE-61."""
    ways, name = driven.sheet.released_by, driven.path.split("/")[1]
    asks: tuple[Ask, ...] = ()
    if ways is None:
        answer = Answer.UNKNOWN
        says = f"Whether the fire alarm lets {name} go is not known."
        asks = (
            Ask(
                f"Try with whoever keeps the fire alarm whether its call lets {name} go, and write"
                " 'released_by'.",
                Who.CUSTOMER,
                20.0,
            ),
        )
    elif "fire alarm" in ways:
        answer = Answer.YES
        says = (
            f"The fire alarm lets {name} go before the contact of {output.path}, which may let it go as well."
        )
    else:
        answer = Answer.NO
        says = f"{name} holds a fire door open, and the fire alarm does not let it go: refused."
    return FREED_IN_FIRE.decide(
        about=f"{output.path}: {driven.works}",
        subjects=subjects_of(output, driven),
        answer=answer,
        says=says,
        because="" if answer is Answer.YES else f"{caution('fire door')} {LOCAL_CODES}",
        asks=asks,
        remedies=(
            Remedy(f"Feed {name} through the fire alarm's contact first, approved by the fire authority"),
            Remedy("A holder with a smoke detector of its own at the door"),
        ),
        sources=(*driven.cite("released_by"), EN_1155, PRACTICE),
        cause=driven.subject,
    )
