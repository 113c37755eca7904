"""How likely things go wrong in use: out of step, left on, a second press, a long press split, a queue.

Each number comes from the model that is searched too, as a Markov chain, or from the exact
formula of its kind; the chance that a press is heard comes from the radio links.
"""

from __future__ import annotations

from collections.abc import Iterator
from math import exp, floor
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from farpress.case.behaviour import second_press_counts
from farpress.case.case import Case, OutputAt, promise_id
from farpress.case.driven import (
    Driven,
    alarm,
    driven_of,
    function_kinds,
    presses_per_second,
    promises_of,
    seconds,
    switching,
)
from farpress.core.reach.press import telegram_spread
from farpress.core.rehearsal.bursts import press_seen_in_bursts
from farpress.core.rehearsal.chance import (
    chance_after,
    chance_ever,
    chance_for_ever,
    make_chain,
    rounds_until,
)
from farpress.core.rehearsal.model import TICK, StateModel, join
from farpress.core.rehearsal.press import losses_that_split
from farpress.core.rehearsal.ready import make_ready
from farpress.core.rehearsal.runs import SeenAs, press_seen_as
from farpress.core.rehearsal.watches import second_press
from farpress.domain.job import Promise
from farpress.phrases import listed
from farpress.reach.radio_budget import SHORT_PRESS_S, RadioLink
from farpress.reach.radio_link import Radio, radio_of
from farpress.rehearsal.building import build_site
from farpress.rehearsal.chances_of_use import Chance, queues, set_on_people, toggled_by_people
from farpress.rehearsal.site import input_id, neighbours, output_id, thing_id
from farpress.sources import cited

__all__ = ["Chance", "Heard", "chances_of", "left_on"]

_HELD_S = 2.0
"""A long press as people make it; our choice."""

_USES = (5, 20)


def chances_of(case: Case) -> list[Chance]:
    """All chances that the job gives numbers for, in the order of its outputs."""
    radio = radio_of(case)
    found: list[Chance] = []
    for output in case.outputs():
        heard = _worst(case, radio, output, output.functions)
        found += _out_of_step(case, output, heard)
        found += left_on(
            case, output, *(_worst(case, radio, output, names) for names in _on_and_off(case, output))
        )
        found += _split(case, output, heard)
        for load in driven_of(case, output):
            found += _second(case, output, load)
    return [*found, *toggled_by_people(case), *set_on_people(case), *queues(case)]


class Heard(NamedTuple):
    """A promise, how surely one press of it is heard, and its radio link."""

    share: float
    promise: Promise
    link: RadioLink


def _worst(case: Case, radio: Radio, output: OutputAt, functions: tuple[str, ...]) -> Heard | None:
    """The promise of an output whose single press is heard least surely."""
    shares = []
    for promise in promises_of(case, functions):
        where = case.place(promise.from_, output.premises)
        if where is None or where[0] != output.premises:
            continue
        place = case.job.premises[where[0]].places[where[1]]
        link = radio.link(
            group=promise.to,
            premises=output.premises,
            receiver=output.receiver,
            place=place,
            place_path="/".join(where),
        )
        share = link.share(1)
        if share is not None:
            shares.append(Heard(share, promise, link))
    return min(shares, key=lambda reception: reception.share, default=None)


def _on_and_off(case: Case, output: OutputAt) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Functions that switch an output on, and off; the same ones where one button does both."""
    return (
        (switching(case, output, "on"), switching(case, output, "off"))
        if output.output.traits.has_two_buttons
        else (output.functions, output.functions)
    )


def _out_of_step(case: Case, output: OutputAt, heard: Heard | None) -> Iterator[Chance]:
    panel = [
        load
        for load in driven_of(case, output)
        if alarm(load) and (load.reading.turns_round or output.output.traits.turns_round)
    ]
    toggles = output.output.traits.turns_round or bool(panel)
    if not toggles or heard is None:
        return
    share, promise = heard.share, heard.promise
    # belief and state flip together; a lost press flips the belief only
    model = _belief()
    chain = make_chain(make_ready(model), {("heard",): share, ("lost",): 1.0 - share})
    numbers = [chance_after(chain, "apart", rounds=uses) for uses in _USES]
    first, ever = rounds_until(chain, "apart"), chance_for_ever(chain, "apart") if 0.0 < share < 1.0 else None
    what = listed(load.works for load in panel) if panel else output.path
    texts = [f"{number:.1%} after {uses} presses" for number, uses in zip(numbers, _USES, strict=True)]
    yield Chance(
        output.path,
        f"what the user believes of {what} is wrong in {listed(texts)}"
        + (
            f", for the first time after {first:.0f} presses on average, and in {ever:.0%} of all cases in"
            " the long run."
            if ever is not None
            else "."
        ),
        numbers[-1],
        f"Each press of {promise_id(promise)} is heard in {share:.1%} of cases; a lost press turns belief and"
        " state apart, the next lost one together again.",
        cited(make_chain),
    )


def _belief() -> StateModel:
    from farpress.core.rehearsal.model import ModelEvent, Variable

    return StateModel(
        (Variable("state"), Variable("belief")),
        (
            ModelEvent("heard", "state = 1 - state\nbelief = 1 - belief"),
            ModelEvent("lost", "belief = 1 - belief"),
        ),
        bad={"apart": "state != belief"},
    )


def _split(case: Case, output: OutputAt, heard: Heard | None) -> Iterator[Chance]:
    receiver = case.equipment.receivers.get(output.receiver_path)
    step = any(load.logic == "start" for load in driven_of(case, output)) or any(
        load.reading.turns_round for load in driven_of(case, output)
    )
    if (
        heard is None
        or receiver is None
        or receiver.sheet.dropout_s is None
        or not (output.output.traits.turns_round or step)
    ):
        return
    fob, spread = case.equipment.fobs.get(heard.promise.to), heard.link.telegrams_heard()
    if fob is None or fob.sheet.repeat_s is None or spread is None:
        return
    if receiver.sheet.dropout_s <= 0 or fob.sheet.repeat_s <= 0:
        which, what = (
            ("the drop-out time", output.receiver_path)
            if receiver.sheet.dropout_s <= 0
            else ("the pace of telegrams", f"the fob of {heard.promise.to}")
        )
        yield Chance(
            output.path,
            f"how a long press is seen cannot be said: {which} of {what} is given as 0 s; read it from the"
            " data sheet.",
            None,
        )
        return
    telegrams = max(int(_HELD_S / fob.sheet.repeat_s), 1)
    losses = losses_that_split(dropout_s=receiver.sheet.dropout_s, repeat_s=fob.sheet.repeat_s)
    burst = max(SHORT_PRESS_S / fob.sheet.repeat_s, 1.0)
    shares, presses = spread[0] * heard.link.clear_share, spread[1]
    alone = _mixed(
        [
            press_seen_as(telegrams=telegrams, heard_share=float(share), losses_to_split=losses)
            for share in shares
        ],
        presses,
    )
    bursts = _mixed(
        [
            press_seen_in_bursts(
                telegrams=telegrams,
                heard_share=float(share),
                burst_telegrams=max(burst, (1.0 - share) / share),
                losses_to_split=losses,
            )
            for share in shares
        ],
        presses,
    )
    lost = 1.0 - heard.link.clear_share
    yield Chance(
        output.path,
        f"one press of {_HELD_S:g} s from {heard.promise.from_} is seen as two or more in {alone.several:.2%}"
        f" of cases, as none in {alone.not_at_all:.2%}; the state is then wrong in {alone.even:.2%}. If the"
        f" same losses come in bursts of {burst:g} telegrams: two or more in {bursts.several:.2%}, none in"
        f" {bursts.not_at_all:.2%}, wrong in {bursts.even:.2%}.",
        max(alone.even, bursts.even),
        f"{telegrams} telegrams, {float(shares @ presses):.1%} of them heard ({lost:.1%} are lost to others"
        f" on the channel); the level is drawn once a press, losses once a telegram; {losses} lost in a row"
        " split a press. A burst as long as somebody else's short press is our choice.",
        (*cited(press_seen_as), *cited(press_seen_in_bursts), *cited(telegram_spread)),
    )


def _mixed(seen: list[SeenAs], weights: NDArray[np.float64]) -> SeenAs:
    """Presses of several kinds, each with its weight, together."""
    return SeenAs(
        *(sum(float(weight) * row[i] for row, weight in zip(seen, weights, strict=True)) for i in range(4))
    )


def left_on(
    case: Case, output: OutputAt, switching_on: Heard | None, switching_off: Heard | None
) -> Iterator[Chance]:
    """How likely a light stays on after somebody has come and gone.

    Args:
        case: the job.
        at: the output.
        switching_on, switching_off: how surely its presses are heard; the same one where one button does
            both.
    """
    if (
        "light" not in function_kinds(case, output)
        or output.output.traits.while_held
        or switching_on is None
        or switching_off is None
        or (output.output.traits.wants_length and output.output.for_s is None)
    ):
        return
    site = build_site(case, neighbours(case, (output,)), lengths=True, exact=False)
    on = next(
        (
            f"{presser.key}_press"
            for presser in site.pressers
            if output.path in presser.paths and output.path not in presser.resets
        ),
        None,
    )
    off = (
        next((f"{presser.key}_press" for presser in site.pressers if output.path in presser.resets), None)
        if output.output.traits.has_two_buttons
        else on
    )
    if on is None or off is None or f"{output_id(output)}_start" not in site.starts:
        return
    network = make_ready(join([site.model, StateModel(bad={"left on": f"{output_id(output)}_on"})]))
    runs_out = (
        (TICK,) * round(output.output.for_s * 1000 / network.tick_ms)
        if output.output.traits.wants_length and output.output.for_s
        else ()
    )
    p, q = switching_on.share, switching_off.share
    rounds: dict[tuple[str, ...], float] = {}
    for events, share in (
        ((on, off), p * q),
        ((on,), p * (1 - q)),
        ((off,), (1 - p) * q),
        ((), (1 - p) * (1 - q)),
    ):
        rounds[events + runs_out] = rounds.get(events + runs_out, 0.0) + share
    chain = make_chain(network, rounds)
    once, often = (chance_after(chain, "left on", rounds=uses) for uses in (1, _USES[-1]))
    two = {}
    for events, share in (((off, off), q * q), ((off,), 2 * q * (1 - q)), ((), (1 - q) ** 2)):
        two[events + runs_out] = share
    both = chance_after(make_chain(network, two, before=(on,)), "left on", rounds=1)
    if runs_out:
        says = (
            f"cannot be left on: it goes off {seconds(output.output.for_s or 0.0)} after the last press"
            f" that is heard{'' if output.output.retrigger else ' while it is off'}."
        )
    else:
        says = (
            f"is left on in {once:.1%} of cases after one coming and going, in {often:.1%} after {_USES[-1]};"
            f" in {both:.1%} if it is on and two who leave both press to switch it off."
        )
    because = (
        ""
        if runs_out
        else (
            f"Nobody looks; a press to switch on is heard in {p:.1%} of cases"
            f" ({promise_id(switching_on.promise)}), one to switch off in {q:.1%}"
            f" ({promise_id(switching_off.promise)})."
        )
    )
    yield Chance(
        output.path, f"{listed(output.works)} {says}", max(once, often, both), because, cited(make_chain)
    )


def _moves_s(load: Driven) -> float:
    """How long a press moves the leaf: a partial opening is over sooner."""
    travel, partial = load.sheet.travel_s or 0.0, load.sheet.partial_travel_s
    if load.logic != "partial open":
        return travel
    share = load.sheet.partial_opening_share
    return partial if partial is not None else travel * (0.5 if share is None else share)


def _second(case: Case, output: OutputAt, load: Driven) -> Iterator[Chance]:
    rate = presses_per_second(case, output)
    if (
        load.panel is not None
        or load.sheet.travel_s is None
        or not second_press_counts(load)
        or rate is None
        or rate[0] <= 0
    ):
        return
    outputs = neighbours(case, (output,))
    site = build_site(case, outputs, lengths=False, exact=False)
    if load.path not in site.things or site.things[load.path].kind != "leaf":
        return
    travel = _moves_s(load)
    # the press chain alone: other events of the model are not in the rounds
    watch = second_press(
        "second",
        thing_id(load.path),
        [f"{input_id(output.premises, load.works)}_rise"],
        within_ms=round(travel * 1000),
    )
    network = make_ready(join([site.model, watch]))
    press = next(
        (f"{presser.key}_press" for presser in site.pressers if output.path in presser.paths),
        f"{output_id(output)}_by_itself",
    )
    tick_s = network.tick_ms / 1000.0
    another = 1.0 - exp(-rate[0] * tick_s)
    chain = make_chain(network, {(press, TICK): another, (TICK,): 1.0 - another}, before=(press,))
    share = chance_ever(chain, "second", rounds=floor(travel / tick_s))
    yield Chance(
        f"{output.path}: {load.works}",
        f"{share:.1%} of openings are stopped or turned by somebody else's press within the {travel:g} s of"
        " travel.",
        share,
        f"{rate[1]}, at random; the model's chain in steps of {tick_s:g} s.",
        cited(chance_ever),
    )
