"""How likely things go wrong in use: out of step, left on, a second press, a long press split, a queue.

Each number comes from the model that is searched too, as a Markov chain, or from the exact
formula of its kind; the chance that a press is heard comes from the radio links.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import exp, floor

from farpress.core.rehearsal.barrier import lane_capacity_per_s
from farpress.core.rehearsal.chance import chance_after, chance_ever, make_chain
from farpress.core.rehearsal.model import TICK, Model, join, make_ready
from farpress.core.rehearsal.press import losses_that_split
from farpress.core.rehearsal.queue import waiting_over_the_day
from farpress.core.rehearsal.runs import press_seen_as
from farpress.core.rehearsal.watches import second_press
from farpress.domain.job import Promise
from farpress.sources import Citation, cited
from farpress.tasks.case import Case, OutputAt, promise_id
from farpress.tasks.driven import Driven, alarm, driven_of, groups_of, listed, presses_per_second, promises_of, stretch_s
from farpress.tasks.output_use import second_press_counts
from farpress.tasks.radio_link import Radio
from farpress.tasks.rehearsal_site import build_site, input_id, neighbours, output_id, thing_id

__all__ = ["Chance", "chances_of"]

_HELD_S = 2.0
"""A long press as people make it; our choice."""

_USES = (5, 20)


@dataclass(frozen=True)
class Chance:
    """One number about use.

    Attributes:
        about: what it is about.
        says: the number in a sentence.
        share: the chance; None where the number is something else.
        because: how it was found.
        sources: of the formula.
    """

    about: str
    says: str
    share: float | None
    because: str = ""
    sources: tuple[Citation, ...] = ()


def chances_of(case: Case) -> list[Chance]:
    """All chances that the job gives numbers for, in the order of its outputs."""
    radio = Radio.of(case)
    found: list[Chance] = []
    for at in case.outputs():
        heard = _worst(case, radio, at)
        found += _out_of_step(case, at, heard)
        found += _split(case, at, heard)
        for one in driven_of(case, at):
            found += _second(case, at, one)
    return found + list(_queues(case))


def _worst(case: Case, radio: Radio, at: OutputAt) -> tuple[float, Promise] | None:
    """The lowest chance of all promises of an output that one press is heard."""
    shares = []
    for promise in promises_of(case, at.functions):
        where = case.place(promise.from_, at.premises)
        if where is None or where[0] != at.premises:
            continue
        place = case.job.premises[where[0]].places[where[1]]
        share = radio.link(group=promise.to, premises=at.premises, receiver=at.receiver, place=place, place_path="/".join(where)).share(1)
        if share is not None:
            shares.append((share, promise))
    return min(shares, key=lambda one: one[0], default=None)


def _out_of_step(case: Case, at: OutputAt, heard: tuple[float, Promise] | None) -> Iterator[Chance]:
    panel = [one for one in driven_of(case, at) if alarm(one) and (one.reads == "toggling pulse" or at.output.kind == "toggle")]
    toggles = at.output.kind == "toggle" or bool(panel)
    if not toggles or heard is None:
        return
    share, promise = heard
    # belief and state flip together; a lost press flips the belief only
    model = _belief()
    chain = make_chain(make_ready(model), {("heard",): share, ("lost",): 1.0 - share})
    numbers = [chance_after(chain, "apart", rounds=uses) for uses in _USES]
    what = listed(one.works for one in panel) if panel else at.path
    texts = [f"{number:.1%} after {uses} presses" for number, uses in zip(numbers, _USES, strict=True)]
    yield Chance(at.path, f"what the user believes of {what} is wrong in {listed(texts)}.", numbers[-1],
                 f"Each press of {promise_id(promise)} is heard in {share:.1%} of cases; a lost press turns belief and state apart, the next lost one together again.", cited(make_chain))


def _belief() -> Model:
    from farpress.core.rehearsal.model import Event, Variable

    return Model((Variable("state"), Variable("belief")), (Event("heard", "state = 1 - state\nbelief = 1 - belief"), Event("lost", "belief = 1 - belief")), bad={"apart": "state != belief"})


def _split(case: Case, at: OutputAt, heard: tuple[float, Promise] | None) -> Iterator[Chance]:
    receiver = case.equipment.receivers.get(at.receiver_path)
    step = any(one.logic == "start" for one in driven_of(case, at)) or any(one.reads == "toggling pulse" for one in driven_of(case, at))
    if heard is None or receiver is None or receiver.sheet.dropout_s is None or not (at.output.kind == "toggle" or step):
        return
    share, promise = heard
    fob = case.equipment.fobs.get(promise.to)
    if fob is None or fob.sheet.repeat_s is None:
        return
    telegrams = max(int(_HELD_S / fob.sheet.repeat_s), 1)
    losses = losses_that_split(dropout_s=receiver.sheet.dropout_s, repeat_s=fob.sheet.repeat_s)
    seen = press_seen_as(telegrams=telegrams, heard_share=share, losses_to_split=losses)
    yield Chance(at.path, f"one press of {_HELD_S:g} s from {promise.from_} is seen as two or more in {seen.several:.2%} of cases, as none in {seen.not_at_all:.2g}; the state is then wrong in {seen.even:.2%}.", seen.even,
                 f"{telegrams} telegrams, each heard in {share:.1%} of cases and independent of the others, {losses} lost in a row split a press. Bursts of losses may be better or worse.", cited(press_seen_as))


def _second(case: Case, at: OutputAt, one: Driven) -> Iterator[Chance]:
    rate = presses_per_second(case, at)
    if one.panel is not None or one.sheet.travel_s is None or not second_press_counts(one) or rate is None or rate[0] <= 0:
        return
    outputs = neighbours(case, (at,))
    site = build_site(case, outputs, lengths=False, exact=False)
    if one.path not in site.things or site.things[one.path].kind != "leaf":
        return
    travel = one.sheet.travel_s
    # the press chain alone: other events of the model are not in the rounds
    watch = second_press("second", thing_id(one.path), [f"{input_id(at.premises, one.works)}_rise"], within_ms=round(travel * 1000))
    network = make_ready(join([site.model, watch]))
    press = next((f"{presser.key}_press" for presser in site.pressers if at.path in presser.paths), f"{output_id(at)}_by_itself")
    tick_s = network.tick_ms / 1000.0
    another = 1.0 - exp(-rate[0] * tick_s)
    chain = make_chain(network, {(press, TICK): another, (TICK,): 1.0 - another}, before=(press,))
    share = chance_ever(chain, "second", rounds=floor(travel / tick_s))
    yield Chance(f"{at.path}: {one.works}", f"{share:.1%} of openings are stopped or turned by somebody else's press within the {travel:g} s of travel.", share,
                 f"{rate[1]}, at random; the model's chain in steps of {tick_s:g} s.", cited(chance_ever))


def _queues(case: Case) -> Iterator[Chance]:
    for traffic in case.job.traffic:
        for at in case.outputs_of(traffic.function):
            for one in driven_of(case, at):
                sheet = one.sheet
                if sheet.travel_s is None or traffic.passage_s is None:
                    continue
                closing = sheet.travel_back_s or sheet.travel_s
                cycle = 1.0 / lane_capacity_per_s(opening_s=sheet.travel_s, passage_s=traffic.passage_s, closing_s=closing)
                stretches = [(float(number), stretch_s(name)) for name, number in traffic.arrivals.items() if stretch_s(name) > 0]
                if not stretches:
                    continue
                waiting = waiting_over_the_day(stretches=stretches, cycle_s=cycle)
                worst = max(range(len(waiting)), key=lambda i: waiting[i].mean)
                name = [name for name in traffic.arrivals if stretch_s(name) > 0][worst]
                groups = len(groups_of(case, at))
                yield Chance(f"{at.path}: {one.works}", f"at the end of {name} {waiting[worst].mean:.0f} vehicles wait on average, not more than {waiting[worst].nine_in_ten} on nine of ten days.", None,
                             f"One vehicle in {cycle:g} s if it opens and closes for each, {groups} group{'s' if groups != 1 else ''}; held open while they come it passes more.", cited(waiting_over_the_day))
