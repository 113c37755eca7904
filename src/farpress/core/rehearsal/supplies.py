"""Supplies that fail and return one by one, beside the power of the whole premises, as parts of a model.

A supply `k` has `up_k`; `came_k` stands in the event in which it returns. The power of the premises (`power`)
takes all of them away and brings all back; after it they may also return one by one, in any order.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import replace
from types import MappingProxyType
from typing import NamedTuple

from farpress.core.rehearsal.model import EventAct, ModelEvent, StateModel, Variable
from farpress.sources import Mark, cites

__all__ = ["SupplyCut", "fed_by", "supplies"]

_RULE = "semantics of this program"


class SupplyCut(NamedTuple):
    """A supply that may fail: its name in a story, and the supplies that go with it, itself included."""

    says: str
    takes: tuple[str, ...]


@cites(_RULE, place="supplies that fail alone, and return in any order", mark=Mark.CHOICE)
def supplies(
    feeds: Iterable[str],
    cuts: Mapping[str, SupplyCut],
    *,
    forgetful: Mapping[str, tuple[str, ...]] = MappingProxyType({}),
) -> StateModel:
    """What feeds the outputs and devices of a model; stands beside `outputs.power`.

    Args:
        feeds: the supplies that something hangs on.
        cuts: supply that may fail alone → how it is told, and what fails with it.
        forgetful: supply → variables that may or may not survive; both are tried.
    """
    every = tuple(feeds)
    off = "\n".join(f"up_{k} = 0" for k in every)
    on = "\n".join(f"came_{k} = 1 - up_{k}\nup_{k} = 1" for k in every)
    events = [
        ModelEvent("power_off", off, "power", "the power fails"),
        ModelEvent("power_on", on, "not power", "the power returns"),
    ]
    if any(forgetful.values()):
        events.append(
            ModelEvent("power_on_forgotten", on, "not power", "the power returns, states forgotten")
        )
    for k, cut in cuts.items():
        lost = "\n".join(f"up_{taken} = 0" for taken in cut.takes)
        back = "\n".join(f"came_{taken} = 1 - up_{taken}\nup_{taken} = 1" for taken in cut.takes)
        there, gone = (f"up_{taken}" for taken in cut.takes), (f"not up_{taken}" for taken in cut.takes)
        act = (EventAct("power off", cut.says), EventAct("power on", cut.says))
        events.append(ModelEvent(f"power_off_{k}", lost, " or ".join(there), f"{cut.says} fails", act[0]))
        missing = " or ".join(gone)
        events.append(ModelEvent(f"power_on_{k}", back, missing, f"{cut.says} returns", act[1]))
        lapses = [name for taken in cut.takes for name in forgetful.get(taken, ())]
        if lapses:
            forgotten = "\n".join((back, *(f"{name} = 0" for name in lapses)))
            says = f"{cut.says} returns, states forgotten"
            events.append(ModelEvent(f"power_on_{k}_forgotten", forgotten, missing, says))
    whole = " and ".join(f"up_{k}" for k in every)
    return StateModel(
        tuple(
            variable
            for k in every
            for variable in (Variable(f"up_{k}", start=1), Variable(f"came_{k}", passing=True))
        ),
        tuple(events),
        (),
        (f"if not power and {whole}:\n    power = 1\n    power_came = 1",),
    )


@cites(_RULE, place="what hangs on one supply", mark=Mark.CHOICE)
def fed_by(model: StateModel, k: str, cuts: Mapping[str, SupplyCut]) -> StateModel:
    """A part of a model that was written for the power of the premises, hung on supply `k` instead.

    Args:
        model: the part.
        k: the supply.
        cuts: as for `supplies`; those that take `k` away do to the part what a power failure does.
    """

    def text(given: str) -> str:
        return re.sub(r"\bpower\b", f"up_{k}", given)

    events = []
    for event in model.events:
        if event.name != "power_off":
            events.append(replace(event, does=text(event.does), when=text(event.when)))
            continue
        events.append(replace(event, does=text(event.does)))
        for name, cut in cuts.items():
            if k in cut.takes:
                there = " or ".join(f"up_{taken}" for taken in cut.takes)
                events.append(
                    ModelEvent(f"power_off_{name}", text(event.does), there, f"{cut.says} fails", event.act)
                )
    return replace(
        model,
        events=tuple(events),
        ticking=tuple(text(statement) for statement in model.ticking),
        settling=tuple(text(statement) for statement in model.settling),
        timers=tuple(
            replace(timer, ends=text(timer.ends), runs_while=text(timer.runs_while)) for timer in model.timers
        ),
    )
