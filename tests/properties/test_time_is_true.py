"""The search in whole ticks against searches that let time pass in other ways.

Outside the product: a brute search that reads the model's texts itself and counts in halves of the unit;
spin on the same model written out. What the theory says is Henzinger, Manna, Pnueli, ICALP 1992.
"""

from __future__ import annotations

from pathlib import Path
from random import Random

import pytest

from farpress.core.rehearsal.contacts import edge
from farpress.core.rehearsal.driven import leaf
from farpress.core.rehearsal.loose_leaves import leaf_of_whole_travels, leaf_without_times
from farpress.core.rehearsal.model import StateModel, Variable, join
from farpress.core.rehearsal.outputs import momentary_output, power, press, relay
from farpress.core.rehearsal.ready import make_ready
from farpress.core.rehearsal.search import search_all
from farpress.core.rehearsal.watches import after_power, on_somebody, second_press
from helpers.spin import ask_spin
from helpers.timed_models import random_model, reached_by_brute_force

_FEW = range(12)
_MANY = range(200)


def _agrees(seed: int) -> bool:
    """Compare one model; returns whether its condition can be met."""
    model = random_model(seed)
    network = make_ready(model, closed=True)
    found = search_all(network)

    assert found.finished or found.stories
    assert bool(found.stories) == reached_by_brute_force(model, parts=2), model
    return bool(found.stories)


def test_whole_ticks_reach_what_half_ticks_reach() -> None:
    """A condition can be met in whole ticks exactly where a brute search in half ticks meets it."""
    assert {_agrees(seed) for seed in _FEW} == {False, True}


@pytest.mark.long
def test_whole_ticks_reach_what_half_ticks_reach_in_two_hundred_models() -> None:
    """The same for two hundred models, neither verdict rare."""
    met = sum(_agrees(seed) for seed in _MANY)

    assert 40 <= met <= 180


@pytest.mark.parametrize("seed", _FEW)
def test_short_times_left_open_leave_more_stories(seed: int) -> None:
    """What cannot happen with a timer that may end early cannot happen at all."""
    model = random_model(seed)

    loose = search_all(make_ready(model, closed=True, loose_below_ms=2500))
    true = search_all(make_ready(model, closed=True))

    assert loose.stories or not true.stories


@pytest.mark.long
@pytest.mark.parametrize("seed", range(0, 60, 3))
def test_spin_agrees_on_timers(seed: int, tmp_path: Path) -> None:
    """Verdict and number of steps of the same model written for spin."""
    network = make_ready(random_model(seed), closed=True)
    found = search_all(network)

    said = ask_spin(network, tmp_path, counts=False)

    assert said.shortest == (len(found.stories["bad"]) if found.stories else None)


def _ends_after(units: int, mode: int, rises: list[str]) -> StateModel:
    """A movement ends just so long after the last press."""
    pressed = " or ".join(rises)
    settle = f"""
n = 1 if m == {mode} and d_mode != {mode} and c == SINCE and power and not ({pressed}) else 0
if {pressed}:
    c = 0
m = d_mode
"""
    return StateModel(
        (Variable("m", 3), Variable("n", passing=True), Variable("c", "LIMIT")),
        ticking=("if c < LIMIT:\n    c = c + 1",),
        settling=(settle,),
        times_ms={"SINCE": 1000 * units, "LIMIT": 5000},
        bad={"bad": "n"},
    )


def _gate(seed: int, how: str) -> StateModel:
    """One leaf with random inputs, travels, timed closing and presence, and one thing it must never do."""
    dice = Random(seed)
    logics = dice.sample(("start", "open only", "partial open", "close", "stop"), dice.choice((1, 2, 3)))
    inputs = {f"i{index}": logic for index, logic in enumerate(logics)}
    opening_ms, closing_ms = 1000 * dice.randint(1, 3), 1000 * dice.randint(1, 3)
    closes_after_ms = dice.choice((None, 1000, 2000))
    presence, waits = dice.random() < 0.5, dice.random() < 0.5
    rises = [f"{i}_rise" for i in inputs]
    watch = dice.choice(
        (
            on_somebody("bad", "d"),
            second_press("bad", "d", rises, within_ms=1000 * dice.randint(1, 4)),
            after_power("bad", "d_mode == 1 or d_mode == 3", [f"o{i}_start" for i in inputs]),
            _ends_after(dice.randint(0, 3), dice.choice((1, 3)), rises),
        )
    )
    common = {"presence": presence, "waits_after_power": waits}
    timed = {"opening_ms": opening_ms, "closing_ms": closing_ms, "closes_after_ms": closes_after_ms}
    if how == "any time":
        drive = leaf_without_times("d", inputs, timed_closing=bool(closes_after_ms), **common)
    elif how == "whole travels":
        drive = leaf_of_whole_travels("d", inputs, **timed, **common)
    else:
        drive = leaf("d", inputs, **timed, **common)
    return join(
        [
            power(),
            StateModel((Variable("unused"),)),
            *(press(f"p{i}", [f"o{i}"], says=i) for i in inputs),
            *(momentary_output(f"o{i}") for i in inputs),
            *(relay(f"o{i}") for i in inputs),
            *(edge(i, f"o{i}_on") for i in inputs),
            drive,
            watch,
        ]
    )


def _loose_does_more(seed: int) -> bool:
    true = search_all(make_ready(_gate(seed, "positions"), moments_ms=(500,)))
    for how in ("any time", "whole travels"):
        loose = search_all(make_ready(_gate(seed, how), closed=True))
        assert loose.finished or loose.stories
        assert loose.stories or not true.stories, (seed, how, true.stories)
    return bool(true.stories)


def test_a_leaf_of_whole_travels_does_all_that_one_with_positions_does() -> None:
    """Every condition that a leaf with its positions, moved in half ticks, meets, the loose ones meet."""
    assert {_loose_does_more(seed) for seed in _FEW} == {False, True}


@pytest.mark.long
def test_a_leaf_of_whole_travels_does_all_that_one_with_positions_does_in_two_hundred_models() -> None:
    """The same for two hundred drives, neither verdict rare."""
    met = sum(_loose_does_more(seed) for seed in _MANY)

    assert 40 <= met <= 180
