"""More reach wanted at a receiver for one, and forbidden to another: what cures the first harms the other."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Final

from farpress.case.case import Case
from farpress.domain.finding import Finding, Link, Remedy, Stake
from farpress.domain.job import Promise, Rule
from farpress.domain.refs import FunctionRef, PlaceRef, ReceiverRef
from farpress.judging.check import AT_MOST, Check, Estimate, Limit, no_edge
from farpress.reach.radio_budget import RadioLink
from farpress.reach.radio_link import Radio, radio_of
from farpress.sources import Citation, Mark

__all__ = ["OPPOSED", "judge"]

OPPOSED: Final = Check(
    "SAFE-48",
    Link.SAFETY,
    "More reach wanted at a receiver, and a place from which it must never work: how often it would, once"
    " what is"
    " promised is reached.",
    unit="%",
    bound=AT_MOST,
    limit=Limit(1.0, (Citation("what must never be, one press in a hundred at most", mark=Mark.CHOICE),)),
    thin=no_edge("reach is no fence, however small the chance"),
    stake=Stake.HARM,
    ask="Draw both places on one plan.",
    mends="A receiver of its own for each of the two, with other buttons.",
)

MOST_DB: Final = 40
"""No aerial gives more; our choice [dB]."""


def judge(case: Case) -> Iterator[Finding]:
    """SAFE-48 of each rule about a place, and of the promise at the same receiver that lacks most."""
    rules = [rule for rule in case.job.rules if rule.never == "works from" and rule.from_]
    if not rules:
        return
    radio = radio_of(case)
    lacking = _lacking(case, radio)
    for rule in rules:
        for function in rule.of:
            for output in case.outputs_of(function):
                wanted = lacking.get(output.receiver_path)
                if wanted is not None:
                    yield from _opposed(case, radio, rule, function, output.receiver_path, wanted)


def _lacking(case: Case, radio: Radio) -> dict[str, tuple[int, Promise]]:
    """Receiver → how much level its weakest promise lacks [dB], and that promise."""
    found: dict[str, tuple[int, Promise]] = {}
    for promise in case.job.promises:
        for output in case.outputs_of(promise.function):
            place = case.place(promise.from_, output.premises)
            if place is None:
                continue
            link = radio.link(
                group=promise.to,
                premises=output.premises,
                receiver=output.receiver,
                place=case.job.premises[place[0]].places[place[1]],
                place_path="/".join(place),
            )
            more = _more_db(link, int(promise.within_presses), promise.at_least_share)
            if more > found.get(output.receiver_path, (0, promise))[0]:
                found[output.receiver_path] = (more, promise)
    return found


def _more_db(link: RadioLink, presses: int, wanted: float) -> int:
    """Level that a link lacks, were nobody else on the channel [dB]; 0 where it is enough."""
    quiet = replace(link, clear_share=1.0)
    steps = range(MOST_DB + 1)
    return next((more for more in steps if (_raised(quiet, more).share(presses) or 1.0) >= wanted), MOST_DB)


def _raised(link: RadioLink, more_db: float) -> RadioLink:
    return replace(link, level_dbm=None if link.level_dbm is None else link.level_dbm + more_db)


def _opposed(
    case: Case, radio: Radio, rule: Rule, function: str, receiver: str, wanted: tuple[int, Promise]
) -> Iterator[Finding]:
    more, promise = wanted
    premises, _, name = receiver.partition("/")
    for path in rule.from_:
        place = case.place(path, premises)
        if place is None:
            continue
        links = [
            radio.link(
                group=group,
                premises=premises,
                receiver=name,
                place=case.job.premises[place[0]].places[place[1]],
                place_path="/".join(place),
                pressed="in hand",
                there=(),
            )
            for group, _ in case.groups_with(function)
        ]
        chances = [
            (after, before)
            for link in links
            if (before := link.share(1)) is not None and (after := _raised(link, more).share(1)) is not None
        ]
        if not chances:
            continue
        after, before = max(chances)
        yield OPPOSED.judge(
            about=f"{receiver}: {promise.function} from {promise.from_}, never {function} from {path}",
            subjects=(
                ReceiverRef(receiver),
                FunctionRef(promise.function),
                FunctionRef(function),
                PlaceRef("/".join(place)),
            ),
            value=Estimate(100.0 * after, None),
            says=f"'{promise.function}' from {promise.from_} wants {more} dB more at {name}; '{function}'"
            " from"
            f" {path}, which must never work, is then heard in {after:.0%} of cases, now in {before:.0%}.",
            because="A better aerial hears everything better. The two wishes contradict each other at one"
            " receiver.",
            remedies=(
                Remedy(f"A receiver of its own near {promise.from_}, which knows only '{promise.function}'"),
                Remedy(
                    f"'{function}' on another button and receiver, with a second condition beside the press"
                ),
            ),
            sources=links[0].sources,
        )
