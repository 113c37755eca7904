"""Readings that were taken while something stood otherwise than when it is promised."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.case import Case
from farpress.case.citations import GIVEN, PRACTICE
from farpress.domain.finding import Finding, Link, Remedy, Stake
from farpress.domain.refs import PlaceRef, ReceiverRef, Ref
from farpress.judging.check import Answer, Check

__all__ = ["TAKEN_OTHERWISE", "judge"]

TAKEN_OTHERWISE: Final = Check(
    "AIR-60",
    Link.AIR,
    "A reading taken while something stood otherwise, as a shutter open: left out of the prediction.",
    stake=Stake.PROMISE,
    advice=True,
    mends="The same tried again as it stands when it is needed: shut, full, with snow, with everybody there.",
)


def judge(case: Case) -> Iterator[Finding]:
    """AIR-60 of each reading that says what stood otherwise."""
    for number, reading in enumerate(case.job.readings, start=1):
        if not reading.otherwise:
            continue
        refs: tuple[Ref, ...] = ()
        for premises, house in case.job.premises.items():
            name = reading.receiver.removeprefix(f"{premises}/")
            where = case.place(reading.place, premises)
            if name in house.receivers and where is not None:
                refs = (ReceiverRef(f"{premises}/{name}"), PlaceRef("/".join(where)))
        if not refs:
            continue  # the job file says that there is no such place or receiver
        yield TAKEN_OTHERWISE.decide(
            about=f"reading {number} at {reading.receiver} from {reading.place}",
            subjects=refs,
            answer=Answer.BARELY,
            says=f"At {reading.receiver} from {reading.place} it was read with: {reading.otherwise}. It"
            " proves nothing for when that is not so; the prediction leaves it out.",
            because="A closed shutter, a full hall or wet snow cost 10 to 30 dB.",
            remedies=(Remedy(f"Try it again from {reading.place} as it stands when it is needed"),),
            sources=(PRACTICE, GIVEN),
        )
