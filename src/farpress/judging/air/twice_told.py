"""A level and a count of one reading: each says how many presses come through, and the two must agree."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.case import Case
from farpress.domain.finding import Ask, Finding, Link, Stake, Who
from farpress.domain.refs import PlaceRef, ReceiverRef
from farpress.judging.air.counted import contradiction
from farpress.judging.check import Answer, Check
from farpress.reach.radio_link import radio_of
from farpress.reach.radio_readings import ReadingAt
from farpress.sources import Citation, Mark

__all__ = ["LEVEL_AND_COUNT", "judge"]

LEVEL_AND_COUNT: Final = Check(
    "AIR-90",
    Link.AIR,
    "A level and a count of one reading: what the level lets through against what was heard.",
    stake=Stake.PROMISE,
    who=Who.METER,
    minutes=10.0,
    mends="Level and count taken again in the same minute, the fob held as people hold it; what spoils"
    " presses there found: noise, other telegrams, a body in the way.",
)

_READ: Final = Citation("level and presses of one reading", mark=Mark.MEASURED)


def judge(case: Case) -> Iterator[Finding]:
    """AIR-90 of each reading with a level and a count that can be compared."""
    radio = radio_of(case)
    for premises, house in case.job.premises.items():
        for receiver in house.receivers if case.job.readings else ():
            for number, compared in enumerate(radio.readings(premises, receiver), start=1):
                if compared.against is not None:
                    yield _judged(ReceiverRef(f"{premises}/{receiver}"), number, compared)


def _judged(receiver: ReceiverRef, number: int, compared: ReadingAt) -> Finding:
    reading, against = compared.reading, compared.against
    assert against is not None
    head = (
        f"{receiver.path} from {compared.place.partition('/')[2]}: {reading.heard} of {reading.of} heard at"
    )
    head += f" {reading.level_dbm:g} dBm."
    counts = "the count" if against.level_share > against.high else "the level"
    because = (
        f"The count allows {against.low:.0%} to {against.high:.0%} of single presses (two-sided 95 %), the"
        f" level {against.level_share:.0%}."
    )
    asks: tuple[Ask, ...] = ()
    if not against.agree:
        because += (
            f" Until both are taken again {counts}, which says less, counts for every prediction there."
        )
        place = compared.place.partition("/")[2]
        asks = (Ask(f"Take level and count from {place} again, in the same minute.", Who.METER, 10.0),)
    return LEVEL_AND_COUNT.decide(
        about=f"{receiver.path} from {compared.place}, reading {number}",
        subjects=(ReceiverRef(receiver.path), PlaceRef(compared.place)),
        cause=PlaceRef(compared.place),
        says=f"{head} {'The two agree.' if against.agree else contradiction(compared)}",
        because=because,
        answer=Answer.YES if against.agree else Answer.UNKNOWN,
        asks=asks,
        sources=(_READ,),
    )
