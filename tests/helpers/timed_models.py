"""Small random models of timers and presses, and a search of them that shares no code with the product.

`reached_by_brute_force` reads the texts of a model as they stand, keeps every remaining time as a number of
half units and lets half a unit pass at a time.
"""

from __future__ import annotations

from random import Random
from typing import Any

from farpress.core.rehearsal.model import ModelEvent, StateModel, Timer, Variable

__all__ = ["UNIT_MS", "random_model", "reached_by_brute_force"]

UNIT_MS = 1000


def random_model(seed: int) -> StateModel:
    """Two or three timers of one to three units that presses and each other's ends begin and take back, two
    flags, and something that has lasted for an exact time when something else is so.
    """
    dice = Random(seed)
    timers = [f"t{index}" for index in range(dice.choice((2, 3)))]
    times = {f"{name.upper()}": UNIT_MS * dice.randint(1, 3) for name in timers}
    running = [f"{name} {sign} 0" for name in timers for sign in (">", "==")]
    conditions = ["1", "not f", "f", "g", *running]

    def effect() -> str:
        name = dice.choice(timers)
        begins = f"{name} = {name.upper()}"
        simple = dice.choice((begins, begins, f"{name} = 0", "f = 1 - f", "f = 1", "g = 1", "g = 1 - g"))
        return simple if dice.random() < 0.5 else f"if {dice.choice(conditions)}:\n    {simple}"

    first = dice.choice(timers)
    events = (
        ModelEvent("begins", f"{first} = {first.upper()}", dice.choice(("1", f"{first} == 0"))),
        *(
            ModelEvent(f"press{index}", effect(), dice.choice(conditions))
            for index in range(dice.choice((2, 3)))
        ),
    )
    clock = "if w and c < LIMIT:\n    c = c + 1"
    watched = dice.choice(running)
    settle = f"w = 1 if {watched} else 0\nif not w:\n    c = 0"
    chosen = dice.sample([f"{name} > 0" for name in timers] + ["f", "g"], dice.choice((1, 2)))
    bad = " and ".join([*chosen, "c == SINCE"])
    return StateModel(
        (Variable("f"), Variable("g"), Variable("w"), Variable("c", "LIMIT")),
        events,
        (clock,),
        (settle,),
        {**times, "SINCE": UNIT_MS * dice.randint(1, 4), "LIMIT": 5 * UNIT_MS},
        bad={"bad": bad},
        timers=tuple(Timer(name, name.upper(), effect()) for name in timers),
    )


def reached_by_brute_force(model: StateModel, *, parts: int, most_states: int = 60_000) -> bool:
    """Whether the condition can be met when time goes on by a unit divided by `parts`; an end that is due
    holds the time back and comes before or after whatever else happens in that instant.
    """
    step_ms = UNIT_MS // parts
    over = -1  # a timer that is not running; 0 is due
    start = {variable.name: variable.start for variable in model.variables} | {
        timer.name: over for timer in model.timers
    }

    def done(values: dict[str, int], text: str) -> dict[str, int]:
        # texts say 0 for not running and above 0 for running, its last instant included
        timed = {timer.time for timer in model.timers}
        space: dict[str, Any] = {
            name: time // step_ms + (name in timed) for name, time in model.times_ms.items()
        }
        for name, value in values.items():
            space[name] = value + 1 if name.startswith("t") else value
        exec(text, {}, space)
        return {name: space[name] - 1 if name.startswith("t") else space[name] for name in values}

    def holds(values: dict[str, int], text: str) -> bool:
        return bool(done({**values, "answer": 0}, f"answer = 1 if ({text}) else 0")["answer"])

    condition, settle = model.bad["bad"], "\n".join(model.settling)
    known = {tuple(start.values())}
    ahead = [start]
    while ahead:
        values = ahead.pop()
        after = [
            done(values, f"{event.does}\n{settle}") for event in model.events if holds(values, event.when)
        ]
        for timer in model.timers:
            if values[timer.name] == 0:
                after.append(done({**values, timer.name: over}, f"{timer.ends}\n{settle}"))
        if all(values[timer.name] != 0 for timer in model.timers):
            passed = {
                timer.name: max(values[timer.name] - 1, 0) if values[timer.name] > 0 else over
                for timer in model.timers
            }
            after.append(done({**values, **passed}, "\n".join((*model.ticking, settle))))
        for following in after:
            if holds(following, condition):
                return True
            key = tuple(following.values())
            if key not in known:
                known.add(key)
                ahead.append(following)
                assert len(known) <= most_states
    return False
