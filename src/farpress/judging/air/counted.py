"""Presses that were counted on site, against what is promised there: a count decides, whatever is predicted.

A level that was read moves the prediction; a count beside it says what really came through, noise, bursts and
hands included. So it is judged on its own, and not averaged away.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.case import Case, OutputAt, promise_id
from farpress.core.proving.counted import counted_share
from farpress.core.proving.failure_share import failure_share_upper, trials_needed
from farpress.domain.finding import Ask, Finding, Link, Remedy, Stake, Who
from farpress.domain.job import Promise, Reading
from farpress.domain.refs import PlaceRef, PromiseRef, ReceiverRef, Ref
from farpress.judging.air.advice import WIRED_CALL, is_call
from farpress.judging.check import AT_LEAST, Check, Estimate, Limit, no_edge
from farpress.phrases import listed
from farpress.reach.hidden import away_at
from farpress.reach.radio_link import radio_of
from farpress.reach.radio_readings import ReadingAt
from farpress.sources import Citation, Mark, cited
from farpress.units import write_share

__all__ = ["contradiction", "judge"]

COUNTED: Final = Check(
    "AIR-07",
    Link.AIR,
    "Share of presses that were heard when they were counted on site, against what is promised from there.",
    unit="%",
    bound=AT_LEAST,
    thin=no_edge("a count has its own doubt"),
    who=Who.METER,
    minutes=15.0,
    mends="Another place for the aerial, less noise, or a wired button; then count again.",
)

PROVED: Final = Check(
    "AIR-08",
    Link.AIR,
    "What counted presses prove: the least share of single presses, 95 % sure, against what is wanted.",
    unit="%",
    bound=AT_LEAST,
    thin=no_edge("the doubt of the count is in the least share already"),
    advice=True,
    who=Who.METER,
    minutes=30.0,
    mends="More presses without a failure, or fewer with an attenuator in the aerial cable.",
)

SURE: Final = 0.95
"""How sure a proof is, and the share that is wanted where nothing is promised; common practice."""

SHOWN: Final = (0.05, 0.01)
"""Shares of failures for which the presses are told that would show them."""

_COUNT: Final = Citation("presses counted on site", mark=Mark.MEASURED)


def judge(case: Case) -> Iterator[Finding]:
    """One finding for each promise and receiver for which presses were counted at its place."""
    for promise in case.job.promises:
        outputs = {output.receiver_path: output for output in case.outputs_of(promise.function)}
        for path, output in outputs.items():
            counts = list(_counts(case, promise, output))
            if counts:
                is_help = is_call(case, output)
                beside = _beside_level(case, promise, output, counts)
                beside += _beside_prediction(case, promise, output, counts)
                away = _away(case, promise, output, counts)
                yield _counted(promise, path, counts, beside, away, several=len(outputs) > 1, is_help=is_help)
                if is_help:
                    head = f"{promise.function} from {promise.from_}"
                    about = f"{promise_id(promise)} at {path}"
                    yield _proved(
                        about, head, path, counts, promise.at_least_share, PromiseRef(promise_id(promise))
                    )
    yield from _elsewhere(case)


def _elsewhere(case: Case) -> Iterator[Finding]:
    """Counts at places of a receiver's own premises from which nothing that it does is promised."""
    found: dict[tuple[str, str], list[Reading]] = {}
    for reading in case.job.readings:
        for premises, house in case.job.premises.items():
            where = case.place(reading.place, premises)
            name = reading.receiver.removeprefix(f"{premises}/")
            is_there = name in house.receivers and where is not None and where[0] == premises
            if is_there and reading.heard is not None and reading.of and _is_as_mounted(reading):
                assert where is not None
                found.setdefault((f"{premises}/{name}", "/".join(where)), []).append(reading)
    for (receiver, place), counts in found.items():
        if not _promised_from(case, receiver, place):
            head = f"{receiver} from {place.partition('/')[2]}, from where nothing is promised"
            yield _proved(f"{receiver} from {place}", head, receiver, counts, SURE, PlaceRef(place))


def _promised_from(case: Case, receiver: str, place: str) -> bool:
    for promise in case.job.promises:
        for output in case.outputs_of(promise.function):
            where = case.place(promise.from_, output.premises)
            if output.receiver_path == receiver and where is not None and "/".join(where) == place:
                return True
    return False


def _is_as_mounted(reading: Reading) -> bool:
    is_so = reading.aerial_at is None and not reading.otherwise
    return is_so and not reading.pad_db and reading.housing != "open"


def _counts(case: Case, promise: Promise, output: OutputAt) -> Iterator[Reading]:
    """Readings with a count at the place of a promise, taken as people press there, the box closed."""
    location = case.place(promise.from_, output.premises)
    if location is None or location[0] != output.premises:
        return
    place = case.job.premises[location[0]].places[location[1]]
    for reading in case.job.readings:
        if (
            reading.heard is not None
            and reading.of
            and _is_as_mounted(reading)
            and case.place(reading.place, output.premises) == location
            and reading.receiver in (output.receiver, output.receiver_path)
            and (reading.held or place.pressed) == place.pressed
        ):
            yield reading


def _away(case: Case, promise: Promise, output: OutputAt, counts: list[Reading]) -> tuple[str, ...]:
    """What hides the place at times and was there at none of the counts."""
    location = case.place(promise.from_, output.premises)
    if location is None:
        return ()
    place = case.job.premises[location[0]].places[location[1]]
    missed = [set(away_at(place, reading.there)) for reading in counts]
    return tuple(sorted(set.intersection(*missed)))


def _beside_prediction(case: Case, promise: Promise, output: OutputAt, counts: list[Reading]) -> str:
    """Where a count and the prediction without any reading contradict each other: that, in words."""
    location = case.place(promise.from_, output.premises)
    if location is None or any(reading.level_dbm is not None for reading in counts):
        return ""
    link = radio_of(case).link(
        group=promise.to,
        premises=output.premises,
        receiver=output.receiver,
        place=case.job.premises[location[0]].places[location[1]],
        place_path="/".join(location),
        use_readings=False,
        there={name for reading in counts for name in reading.there},
    )
    share = link.share(1)
    tried = sum(reading.of or 0 for reading in counts)
    found = counted_share(
        heard=min(sum(reading.heard or 0 for reading in counts), tried), tried=tried, presses=1
    )
    if share is None or found.low <= share <= found.high:
        return ""
    return (
        f" The prediction without the count is {share:.0%} of single presses: the two contradict each other;"
        " read the level there once."
    )


def _beside_level(case: Case, promise: Promise, output: OutputAt, counts: list[Reading]) -> str:
    """Where the same readings have a level too, and it says something else than the count: that, in words."""
    location = case.place(promise.from_, output.premises)
    if location is None:
        return ""
    for compared in radio_of(case).readings(output.premises, output.receiver):
        if compared.reading in counts and compared.against is not None and not compared.against.agree:
            return f" {contradiction(compared)}"
    return ""


def contradiction(compared: ReadingAt) -> str:
    """A level and a count of one reading that contradict each other, in words."""
    against, level = compared.against, compared.reading.level_dbm
    assert against is not None
    assert level is not None
    lets = "more" if against.level_share > against.high else "fewer"
    causes = (
        "noise, other telegrams or a body in the way" if lets == "more" else "the level read, or its place"
    )
    return (
        f"The two contradict each other: {level:g} dBm read there would let {lets} through,"
        f" {against.level_share:.0%} of single presses; look for {causes}."
    )


def _counted(
    promise: Promise,
    receiver: str,
    counts: list[Reading],
    beside: str,
    away: tuple[str, ...],
    *,
    several: bool,
    is_help: bool,
) -> Finding:
    heard = sum(reading.heard or 0 for reading in counts)
    tried = sum(reading.of or 0 for reading in counts)
    presses = max(int(promise.within_presses), 1)
    found = counted_share(heard=min(heard, tried), tried=tried, presses=presses)
    name, wanted = promise_id(promise), promise.at_least_share
    without = f" Counted without {listed(away)}." if away else ""
    asks = (
        (
            Ask(
                f"Count presses of {promise.function} from {promise.from_} again with {listed(away)} there.",
                Who.METER,
                30.0,
            ),
        )
        if away
        else ()
    )
    failing = failure_share_upper(failures=tried - min(heard, tried), trials=tried, confidence=SURE)
    within = "" if presses == 1 else f", {write_share(found.within, '.3g')} within {presses} presses at most"
    return COUNTED.judge(
        about=f"{name} at {receiver}" if several else name,
        subjects=(PromiseRef(name), ReceiverRef(receiver)),
        says=f"{promise.function} from {promise.from_}: {heard} of {tried} presses were heard{within};"
        f" {write_share(wanted)} promised.{beside}{without}",
        because=f"For one press the count allows {100 * found.low:.0f} to {write_share(found.high, '.0f')}"
        " (two-sided 95 %). Presses are taken to be independent, which is the best case: what spoils one"
        " often spoils the next. What was counted stands before what is predicted. It proves no more than"
        f" that fewer than {100 * failing:.1f} % of single presses fail ({100 * SURE:g} % sure); without one"
        f" failure {_shown()}.",
        asks=asks,
        value=Estimate(100.0 * found.within, 100.0 * found.doubt, (_COUNT, *cited(counted_share))),
        limit=Limit(100.0 * wanted, (Citation("promised share", mark=Mark.GIVEN),)),
        remedies=(
            *((WIRED_CALL,) if is_help else ()),
            Remedy("Find out what spoils it (noise, body, metal), or move the aerial; then count again."),
        ),
        cause=ReceiverRef(receiver),
        stake=Stake.HARM if is_help else None,
    )


def _proved(
    about: str, head: str, receiver: str, counts: list[Reading], wanted: float, there: Ref
) -> Finding:
    """AIR-08: by one press, since whoever needs help may press once only."""
    heard = sum(reading.heard or 0 for reading in counts)
    tried = sum(reading.of or 0 for reading in counts)
    failing = failure_share_upper(failures=tried - min(heard, tried), trials=tried, confidence=SURE)
    both = counted_share(heard=min(heard, tried), tried=tried, presses=1)
    needed = _shown()
    return PROVED.judge(
        about=about,
        subjects=(there, ReceiverRef(receiver)),
        says=f"{head}: {heard} of {tried} presses were heard, which proves only that fewer than"
        f" {100 * failing:.1f} % fail ({100 * SURE:g} % sure); {100 * wanted:g} % are to be heard.",
        because=f"One press, two-sided {100 * SURE:g} %: {100 * both.low:.0f} to {100 * both.high:.0f} % are"
        f" heard. Without one failure, of failures {needed}.",
        value=Estimate(100.0 * (1.0 - failing), None, (_COUNT, *cited(failure_share_upper))),
        limit=Limit(100.0 * wanted),
        remedies=(
            Remedy("Count on without a failure, or with an attenuator in the aerial cable: fewer presses do"),
        ),
        cause=ReceiverRef(receiver),
    )


def _shown() -> str:
    """How many presses without a failure show which share of failures."""
    return " and ".join(
        f"{trials_needed(failure_share=share, confidence=SURE)} show {share:.0%}" for share in SHOWN
    )
