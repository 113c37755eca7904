"""Presses that were counted on site, against what is promised there: a count decides, whatever is predicted.

A level that was read moves the prediction; a count beside it says what really came through, noise, bursts and
hands included. So it is judged on its own, and not averaged away.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.case import Case, OutputAt, promise_id
from farpress.core.proving.counted import counted_share
from farpress.domain.finding import Finding, Link, Remedy, Who
from farpress.domain.job import Promise, Reading
from farpress.domain.refs import PromiseRef, ReceiverRef
from farpress.judging.check import AT_LEAST, Check, Estimate, Limit, no_edge
from farpress.sources import Citation, Mark, cited
from farpress.units import write_share

__all__ = ["judge"]

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

_COUNT: Final = Citation("presses counted on site", mark=Mark.MEASURED)


def judge(case: Case) -> Iterator[Finding]:
    """One finding for each promise and receiver for which presses were counted at its place."""
    for promise in case.job.promises:
        outputs = {output.receiver_path: output for output in case.outputs_of(promise.function)}
        for path, output in outputs.items():
            counts = list(_counts(case, promise, output))
            if counts:
                yield _counted(promise, path, counts, several=len(outputs) > 1)


def _counts(case: Case, promise: Promise, output: OutputAt) -> Iterator[Reading]:
    """Readings with a count at the place of a promise, taken as people press there, the box closed."""
    location = case.place(promise.from_, output.premises)
    if location is None or location[0] != output.premises:
        return
    place = case.job.premises[location[0]].places[location[1]]
    for reading in case.job.readings:
        as_mounted = reading.aerial_at is None and not reading.pad_db and reading.housing != "open"
        if (
            reading.heard is not None
            and reading.of
            and as_mounted
            and case.place(reading.place, output.premises) == location
            and reading.receiver in (output.receiver, output.receiver_path)
            and (reading.held or place.pressed) == place.pressed
        ):
            yield reading


def _counted(promise: Promise, receiver: str, counts: list[Reading], *, several: bool) -> Finding:
    heard = sum(reading.heard or 0 for reading in counts)
    tried = sum(reading.of or 0 for reading in counts)
    presses = max(int(promise.within_presses), 1)
    found = counted_share(heard=min(heard, tried), tried=tried, presses=presses)
    name, wanted = promise_id(promise), promise.at_least_share
    within = "" if presses == 1 else f", {write_share(found.within, '.3g')} within {presses} presses at most"
    return COUNTED.judge(
        about=f"{name} at {receiver}" if several else name,
        subjects=(PromiseRef(name), ReceiverRef(receiver)),
        says=f"{promise.function} from {promise.from_}: {heard} of {tried} presses were heard{within};"
        f" {write_share(wanted)} promised.",
        because=f"For one press the count allows {100 * found.low:.0f} to {write_share(found.high, '.0f')}"
        " (two-sided 95 %). Presses are taken to be independent, which is the best case: what spoils one"
        " often spoils the next. What was counted stands before what is predicted.",
        value=Estimate(100.0 * found.within, 100.0 * found.doubt, (_COUNT, *cited(counted_share))),
        limit=Limit(100.0 * wanted, (Citation("promised share", mark=Mark.GIVEN),)),
        remedies=(
            Remedy("Find out what spoils it (noise, body, metal), or move the aerial; then count again."),
        ),
        cause=ReceiverRef(receiver),
    )
