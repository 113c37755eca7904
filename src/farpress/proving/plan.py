"""The proving plan: how many presses where, which checks and measurements, at the least cost.

Presses at one spot with one hand say what that spot and hand do; the plan therefore asks to
turn between presses. Nothing is proven by the prediction alone.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from typing import Final

from farpress.case.case import Case, OutputAt, promise_id
from farpress.case.driven import driven_of, moves
from farpress.core.proving.attenuated import PRIOR_SPREAD_DB, pad_share, pad_trials_needed
from farpress.core.proving.failure_share import trials_needed
from farpress.core.proving.sequential import sequential_outcome, sequential_plan
from farpress.domain.cautions import CAUTIONS, LOCAL_CODES
from farpress.domain.job import Promise
from farpress.domain.refs import PlaceRef, PromiseRef
from farpress.errors import InputError
from farpress.phrases import listed
from farpress.proving.checks import checks
from farpress.proving.tests import METHODS, Method, PressPlan, ProvingPlan, ProvingTest
from farpress.reach.radio_budget import RadioLink
from farpress.reach.radio_link import Radio, radio_of

__all__ = ["proving_plan"]

CONFIDENCE: Final = 0.95
"""With which a failure is to be shown rare; common practice."""

PAD_DB: Final = 6.0
"""Pad of the shorter plan: small enough that a promise with a fair margin passes; our choice."""

PAD_SPREAD_DB: Final = 5.0
"""Spread of presses that the pad plan allows for, the upper end of what hands do; our choice."""

LEAST_PRESSES: Final = 4
"""One in each of four directions, however few would do; our choice."""

GOOD_TO_BAD: Final = 5.0
"""A share of failures five times below the promised one shall pass the sequential test; our choice."""

REJECT_GOOD: Final = 0.10
"""Chance of refusing such a good place; our choice, it costs a few presses more."""

LEVEL_SDS: Final = 2.0
"""A level further from the design than so many spreads means that something is not as drawn; our choice."""

PRESS_MIN: Final = 0.15
"""Minutes for one press and looking whether it worked; our choice, measure it once."""

WALK_MIN: Final = 2.0
"""Minutes to get to a place; our choice."""

STAIRS: Final = 3.0
"""A metre of height costs as much walking as so many on the flat; our choice."""

PAD_MIN: Final = 3.0
"""Minutes to put the pad in and take it out again; our choice."""


def proving_plan(
    case: Case, *, confidence: float = CONFIDENCE, method: Method | None = None, premises: str | None = None
) -> ProvingPlan:
    """Every test that is needed to call the outputs and promises of a job proven.

    Args:
        case: the job.
        confidence: with which failures are to be shown rare, as 0.95.
        method: one method for all places; None takes the cheapest that is likely to pass.
        premises: plan for one premises only.

    Raises:
        InputError: an unknown method or premises, or a confidence that is none.
    """
    if not 0.5 <= confidence < 1.0:
        raise InputError(
            f"confidence is {confidence:g}; it must be at least 0.5 and below 1 (our choice: less than a half"
            " shows nothing). Write 0.95 for 95 %."
        )
    if method is not None and method not in METHODS:
        raise InputError(f"there is no method '{method}'; there are {', '.join(METHODS)}")
    if premises is not None and premises not in case.job.premises:
        raise InputError(
            f"there are no premises '{premises}' in this job; there are {', '.join(case.job.premises)}"
        )
    case = case.without_evidence()  # the prediction must not know the trials that test it
    made = [*_walked(case, list(_presses(case, confidence, method))), *checks(case)]
    kept = [test for test in made if premises is None or test.premises == premises]
    order = {name: number for number, name in enumerate(case.job.premises)}
    kept.sort(key=lambda test: order.get(test.premises, len(order)))
    letters = {"presses": "P", "check": "C", "measure": "M"}
    counts = dict.fromkeys(letters, 0)
    numbered = []
    for test in kept:
        counts[test.kind] += 1
        numbered.append(replace(test, number=f"{letters[test.kind]}{counts[test.kind]:02d}"))
    return ProvingPlan(case.job.job, confidence, tuple(numbered), tuple(_cautions(case)))


def _presses(case: Case, confidence: float, method: Method | None) -> Iterator[ProvingTest]:
    """One test for each place and receiver: the strictest promise decides."""
    radio = radio_of(case)
    grouped: dict[tuple[str, str, str], list[tuple[Promise, OutputAt]]] = {}
    for promise in case.job.promises:
        for output in case.outputs_of(promise.function):
            spot = case.place(promise.from_, output.premises)
            if spot is not None and promise.to in case.job.groups:
                pressed = case.job.premises[spot[0]].places[spot[1]].pressed
                grouped.setdefault(("/".join(spot), output.receiver_path, pressed), []).append(
                    (promise, output)
                )
    for (place, receiver, held), found in grouped.items():
        strictest = min((promise for promise, _ in found), key=_single_failure)
        link = _link(case, radio, strictest, place, found[0][1])
        plan = _press_plan(strictest, link, confidence, method)
        yield _press_test(case, place, receiver, held, found, plan)
        if link is not None and link.level_dbm is not None:
            yield _level_test(place, receiver, held, found, link)


def _walked(case: Case, tests: list[ProvingTest]) -> Iterator[ProvingTest]:
    """The tests from place to place, always on to the nearest place left; what is done at one place stays
    together.
    """
    by_place: dict[str, list[ProvingTest]] = {}
    for test in tests:
        by_place.setdefault(test.place, []).append(test)
    here = next(iter(by_place), None)
    while here is not None:
        for number, test in enumerate(by_place.pop(here)):
            yield test if number else replace(test, minutes=test.minutes + WALK_MIN)
        last = here
        here = min(
            by_place,
            key=lambda name: (name.split("/")[0] != last.split("/")[0], _distance_m(case, last, name)),
            default=None,
        )


def _distance_m(case: Case, first: str, second: str) -> float:
    """On the plan, a metre of height counted as `STAIRS` on the flat."""
    (locations, a), (two, b) = (
        (
            case.job.premises[name.split("/")[0]],
            case.job.premises[name.split("/")[0]].places[name.split("/")[1]],
        )
        for name in (first, second)
    )
    heights = [
        house.levels[place.level].floor_m if place.level in house.levels else 0.0
        for house, place in ((locations, a), (two, b))
    ]
    return float(math.dist(a.at[:2], b.at[:2]) + STAIRS * abs(heights[0] - heights[1]))


def _single_failure(promise: Promise) -> float:
    """Single presses that may be lost so that the promise is still kept."""
    return float(max(1.0 - promise.at_least_share, 1e-4) ** (1.0 / max(int(promise.within_presses), 1)))


def _link(case: Case, radio: Radio, promise: Promise, place: str, output: OutputAt) -> RadioLink | None:
    where, name = place.split("/")
    if where != output.premises:
        return None
    return radio.link(
        group=promise.to,
        premises=output.premises,
        receiver=output.receiver,
        place=case.job.premises[where].places[name],
        place_path=place,
    )


def _press_plan(
    promise: Promise, link: RadioLink | None, confidence: float, method: Method | None
) -> PressPlan:
    bad = _single_failure(promise)
    fixed = max(trials_needed(failure_share=bad, confidence=confidence), LEAST_PRESSES)
    forgiving = tuple(
        (failures, trials_needed(failure_share=bad, confidence=confidence, failures_allowed=failures))
        for failures in (1, 2, 3)
    )
    pad = max(
        pad_trials_needed(failure_share=bad, confidence=confidence, pad_db=PAD_DB, spread_db=PAD_SPREAD_DB),
        LEAST_PRESSES,
    )
    sequential = sequential_plan(
        good_share=bad / GOOD_TO_BAD,
        bad_share=bad,
        reject_good_risk=REJECT_GOOD,
        accept_bad_risk=1.0 - confidence,
    )
    share = link.share(1) if link is not None else None
    mean = (
        sequential_outcome(plan=sequential, failure_share=1.0 - share).mean_trials
        if share is not None
        else None
    )
    margin = link.margin_db if link is not None else None
    spread = max(link.press_sd_db, 1.0) if link is not None else PRIOR_SPREAD_DB
    doubt = (
        math.sqrt(link.offset_sd_db**2 + link.place_sd_db**2 + link.fob_sd_db**2) if link is not None else 0.0
    )
    clear = link.clear_share if link is not None else 1.0
    passes_pad = (
        margin is not None and pad_share(margin_db=margin, spread_db=spread, pad_db=PAD_DB) ** pad >= 0.5
    )
    saved = (min(fixed, sequential.first_accept) - pad) * PRESS_MIN
    chosen: Method = method or ("pad" if passes_pad and saved > PAD_MIN else "sequential")
    return PressPlan(
        bad,
        confidence,
        fixed,
        forgiving,
        PAD_DB,
        pad,
        sequential,
        mean,
        share,
        margin,
        doubt,
        spread,
        clear,
        max(int(promise.within_presses), 1),
        promise.at_least_share,
        chosen,
    )


def _press_test(
    case: Case, place: str, receiver: str, held: str, found: list[tuple[Promise, OutputAt]], plan: PressPlan
) -> ProvingTest:
    where, name = place.split("/")
    functions = list(dict.fromkeys(promise.function for promise, _ in found))
    outputs = tuple(dict.fromkeys(output.path for _, output in found))
    promises = tuple(dict.fromkeys(promise_id(promise) for promise, _ in found))
    groups = list(dict.fromkeys(promise.to for promise, _ in found))
    moving = any(moves(driven) for _, output in found for driven in driven_of(case, output))
    how = {"in car": "sitting in the car, windows shut", "in pocket": "with the fob in the pocket"}.get(
        held, "with the fob in the hand"
    )
    count = f"{plan.presses} presses"
    pad = f" through a pad of {plan.pad_db:g} dB at the aerial" if plan.method == "pad" else ""
    does = (
        f"At {name}, {how}: {count}{pad} of {listed(functions)}. Turn a quarter and step aside between"
        " presses; doors, lids and cabinet shut as in daily use."
        + (
            f" Use a fob of {listed(groups)}."
            if len(groups) <= 3
            else f" Use fobs of {len(groups)} groups in turn."
        )
    )
    if plan.method == "sequential":
        expected = f"All heard: done after {plan.sequential.first_accept}. Otherwise go on as the page says."
    else:
        expected = f"All {plan.presses} heard."
    predicted = (
        f" The design says {plan.predicted_share:.0%} of single presses are heard."
        if plan.predicted_share is not None
        else " The design cannot say yet what to expect."
    )
    mean = (
        f"; on average {plan.mean_presses:.0f}"
        if plan.mean_presses is not None and plan.method == "sequential"
        else ""
    )
    because = (
        f"Shows with {plan.confidence:.0%} that fewer than {plan.failure_share:.1%} of single presses are"
        f" lost, which {plan.within} press{'es' if plan.within > 1 else ''} at {plan.wanted_share:.0%} allow."
        f" Choose: {plan.fixed} without a pad and without a failure, {plan.pad_presses} through"
        f" {plan.pad_db:g} dB, or Wald's test from {plan.sequential.first_accept}{mean}.{predicted}"
    )
    minutes = PRESS_MIN * (
        plan.mean_presses or plan.presses if plan.method == "sequential" else plan.presses
    ) + (PAD_MIN if plan.method == "pad" else 0.0)
    return ProvingTest(
        f"reach: {place} to {receiver}" + ("" if held == "in hand" else f", {held}"),
        "",
        "presses",
        does,
        expected,
        where,
        place,
        receiver,
        outputs,
        promises,
        tuple(PromiseRef(promise) for promise in promises),
        required=any(promise.importance == "must" for promise, _ in found),
        presses=plan,
        minutes=minutes,
        caution=CAUTIONS["gate"] if moving else "",
        held=held,
        because=because,
    )


def _level_test(
    place: str, receiver: str, held: str, found: list[tuple[Promise, OutputAt]], link: RadioLink
) -> ProvingTest:
    """The level from a place, where the receiver or a meter shows one: the baseline of later years."""
    level, slack = link.level_dbm or 0.0, LEVEL_SDS * link.spread_db
    where, name = place.split("/")
    return ProvingTest(
        f"level: {place} to {receiver}" + ("" if held == "in hand" else f", {held}"),
        "",
        "measure",
        f"If {receiver.split('/')[1]} or a meter shows a level: the mean of four presses from {name}, in"
        " dBm.",
        f"About {level:.0f} dBm; {level - slack:.0f} to {level + slack:.0f} fit the design.",
        where,
        place,
        receiver,
        tuple(dict.fromkeys(output.path for _, output in found)),
        subjects=(PlaceRef(place),),
        required=False,
        unit="dBm",
        low=level - slack,
        high=level + slack,
        predicted=level,
        held=held,
        because=(
            "It corrects the prediction everywhere at this receiver, and is the baseline that later visits"
            " are held against."
        ),
    )


def _cautions(case: Case) -> Iterator[str]:
    """What stands at the head of the plan."""
    yield (
        "A second person stands where everything that moves can be seen, and stays in touch."
        f" {CAUTIONS['general']}"
    )
    inside = [driven for output in case.outputs() for driven in driven_of(case, output)]
    if any(driven.traits.calls_help for driven in inside) or any(
        function.kind == "call" for function in case.job.functions.values()
    ):
        yield CAUTIONS["call for help"]
    if any(driven.sheet.escape_route for driven in inside):
        yield f"{CAUTIONS['escape']} {LOCAL_CODES}"
    if any(driven.sheet.supply == "mains" for driven in inside):
        yield CAUTIONS["mains"]
    yield CAUTIONS["deference"]
