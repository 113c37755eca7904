"""Chances on a model, against closed forms, plain matrix powers, a graph library and simulation."""

from __future__ import annotations

import networkx as nx
import numpy as np
import pytest

from farpress.core.rehearsal import contacts, driven, outputs, watches
from farpress.core.rehearsal.barrier import queue_growth, share_another_press
from farpress.core.rehearsal.chance import chance_after, chance_ever, make_chain
from farpress.core.rehearsal.model import ModelEvent, StateModel, Variable, join
from farpress.core.rehearsal.parity import (
    share_out_of_step,
    share_pair_out_of_step,
    share_step_drive_not_opening,
)
from farpress.core.rehearsal.press import losses_that_split
from farpress.core.rehearsal.queue import waiting_over_the_day
from farpress.core.rehearsal.ready import make_ready
from farpress.core.rehearsal.runs import press_seen_as
from farpress.errors import InputError


def _belief() -> StateModel:
    events = (
        ModelEvent("heard", "state = 1 - state\nbelief = 1 - belief"),
        ModelEvent("lost", "belief = 1 - belief"),
    )
    return StateModel((Variable("state"), Variable("belief")), events, bad={"apart": "state != belief"})


@pytest.mark.parametrize("heard", [0.95, 0.9, 0.5])
@pytest.mark.parametrize("presses", [1, 2, 5, 20])
def test_belief_and_panel_apart_is_the_closed_form_and_a_matrix_power(heard: float, presses: int) -> None:
    """(1 - (2p - 1)^n) / 2, and the two-state matrix to the n-th power."""
    chain = make_chain(make_ready(_belief()), {("heard",): heard, ("lost",): 1.0 - heard})
    matrix = np.linalg.matrix_power(np.array([[heard, 1.0 - heard], [1.0 - heard, heard]]), presses)

    found = chance_after(chain, "apart", rounds=presses)

    assert found == pytest.approx(share_out_of_step(presses=presses, heard_share=heard), abs=1e-12)
    assert found == pytest.approx(matrix[0, 1], abs=1e-12)


def test_separate_buttons_are_out_of_step_only_if_all_presses_are_lost() -> None:
    """(1 - p)^n by the chain."""
    model = StateModel(
        (Variable("state"),),
        (ModelEvent("heard", "state = 1"), ModelEvent("lost", "state = state")),
        bad={"unset": "state == 0"},
    )
    chain = make_chain(make_ready(model), {("heard",): 0.9, ("lost",): 0.1})

    assert chance_after(chain, "unset", rounds=2) == pytest.approx(
        share_pair_out_of_step(presses=2, heard_share=0.9), abs=1e-12
    )


@pytest.mark.parametrize("presses", [1, 2, 3])
def test_quick_presses_on_a_step_drive_by_its_own_model(presses: int) -> None:
    """The leaf that is searched too: it is not opening unless just one press is heard.

    From the fourth press on the formula takes it that the leaf has left its end stop.
    """
    parts = [
        outputs.power(lost=False),
        outputs.press("press", ["o"], says=""),
        outputs.momentary_output("o"),
        outputs.relay("o"),
        contacts.edge("i", "o_on"),
        driven.leaf(
            "d", {"i": "start"}, opening_ms=60_000, closing_ms=60_000, closes_after_ms=None, presence=False
        ),
    ]
    network = make_ready(
        join(
            [
                *parts,
                StateModel((), (ModelEvent("lost", "d_occ = d_occ"),), bad={"not opening": "d_mode != 1"}),
            ]
        ),
        slicing=False,
    )

    found = chance_after(
        make_chain(network, {("press",): 0.9, ("lost",): 0.1}), "not opening", rounds=presses
    )

    assert found == pytest.approx(share_step_drive_not_opening(presses=presses, heard_share=0.9), abs=1e-12)


@pytest.mark.parametrize(("telegrams", "heard"), [(20, 0.9), (10, 0.7), (30, 0.5)])
def test_one_long_press_seen_as_two_by_the_telegram_model(telegrams: int, heard: float) -> None:
    """The chain over telegrams gives the run formula: P(two or more)."""
    k = losses_that_split(dropout_s=0.4, repeat_s=0.1)
    model = join(
        [
            outputs.telegrams("f", [], repeat_ms=100, cut_off_ms=100 * telegrams, losses_to_split=k),
            StateModel(bad={"twice": "f_seen == 2"}),
        ]
    )
    chain = make_chain(
        make_ready(model), {("tick_heard",): heard, ("tick_lost",): 1.0 - heard}, before=("hold",)
    )

    assert chance_ever(chain, "twice", rounds=telegrams) == pytest.approx(
        press_seen_as(telegrams=telegrams, heard_share=heard, losses_to_split=k).several, abs=1e-12
    )


@pytest.mark.long
def test_the_run_formula_against_simulation() -> None:
    """20 telegrams, half of them heard: within four standard deviations of 100 000 presses drawn."""
    random = np.random.default_rng(20261125)
    heard = random.random((100_000, 20)) < 0.5
    several = 0
    for row in heard:
        places = np.flatnonzero(row)
        several += bool(len(places) > 1 and (np.diff(places) > 3).any())
    expected = press_seen_as(telegrams=20, heard_share=0.5, losses_to_split=3).several

    assert abs(several / 100_000 - expected) < 4 * np.sqrt(expected * (1 - expected) / 100_000)


def test_a_second_press_during_the_travel_is_a_poisson_chance() -> None:
    """One press at most a tick, arrivals at random: 1 - exp(-rate x travel), exactly."""
    parts = [
        outputs.power(lost=False),
        outputs.press("press", ["o"], says=""),
        outputs.momentary_output("o"),
        outputs.relay("o"),
        contacts.edge("i", "o_on"),
        driven.leaf(
            "d", {"i": "start"}, opening_ms=2200, closing_ms=2200, closes_after_ms=None, presence=False
        ),
        watches.second_press("second", "d", ["i_rise"], within_ms=2200),
    ]
    network = make_ready(join(parts), moments_ms=[100])
    another = share_another_press(rate_per_s=0.2, within_s=0.1)
    chain = make_chain(network, {("press", "tick"): another, ("tick",): 1.0 - another}, before=("press",))

    assert chance_ever(chain, "second", rounds=22) == pytest.approx(
        share_another_press(rate_per_s=0.2, within_s=2.2), abs=1e-12
    )


def test_the_long_run_of_a_chain_is_networkx_google_matrix_fixed_point() -> None:
    """A lamp toggled by people who mostly switch it off: networkx's stationary weights by power iteration."""
    model = StateModel(
        (Variable("on"),),
        (ModelEvent("evening", "on = 1"), ModelEvent("leaving", "on = 0")),
        bad={"left on": "on"},
    )
    chain = make_chain(make_ready(model), {("evening",): 0.3, ("leaving",): 0.7})
    graph = nx.DiGraph()
    matrix = chain.step.toarray()
    graph.add_weighted_edges_from(
        (i, j, matrix[i, j]) for i in range(len(matrix)) for j in range(len(matrix)) if matrix[i, j] > 0
    )
    ranks = nx.pagerank(graph, alpha=1.0, tol=1e-12)

    assert chance_after(chain, "left on", rounds=200) == pytest.approx(
        sum(ranks[i] * chain.holds["left on"][i] for i in ranks), abs=1e-9
    )


@pytest.mark.parametrize(
    ("rounds", "says"),
    [
        ({("heard",): 0.5}, "add up to 1"),
        ({("heard",): 0.5, ("shout",): 0.5}, "no event shout"),
        ({("heard",): 1.5, ("lost",): -0.5}, "a share"),
    ],
)
def test_impossible_rounds_are_refused(rounds: dict[tuple[str, ...], float], says: str) -> None:
    """Chances that are none, events that are not there."""
    with pytest.raises(InputError, match=says):
        make_chain(make_ready(_belief()), rounds)


def test_a_steady_queue_is_the_pollaczek_khinchine_formula() -> None:
    """Fixed service time, load r: r + r^2 / (2 (1 - r)) are there on average (textbook, from memory), seen at
    the ends of cycles.

    At the ends of cycles one that has just left is not counted, so the formula for a
    server that begins only at whole cycles holds: r + r^2 / (2 (1 - r)).
    """
    for load in (0.3, 0.6, 0.8):
        found = waiting_over_the_day(stretches=[(load * 4000.0, 4000.0 * 5.0)], cycle_s=5.0)[0]

        assert found.mean == pytest.approx(load + load**2 / (2.0 * (1.0 - load)), rel=1e-6)
        assert found.beyond < 1e-12


def test_a_queue_over_capacity_grows_by_the_difference() -> None:
    """180 cars in a quarter of an hour, 8.2 s each; a little more, for the barrier waits for the first
    ones.
    """
    found = waiting_over_the_day(stretches=[(180.0, 900.0)], cycle_s=8.2)[0]

    assert found.mean == pytest.approx(
        queue_growth(arrivals=180, stretch_s=900.0, capacity_per_s=1 / 8.2), abs=2.0
    )
    assert found.nine_in_ten > found.mean


def test_a_queue_against_simulation() -> None:
    """Three stretches of a morning: mean within four standard errors of 4 000 simulated mornings."""
    stretches = [(30.0, 600.0), (90.0, 600.0), (20.0, 600.0)]
    random = np.random.default_rng(7)
    waiting = np.zeros(4000)
    for arrivals, length in stretches:
        for _ in range(round(length / 8.0)):
            waiting = np.maximum(waiting - 1, 0) + random.poisson(arrivals / length * 8.0, 4000)
    found = waiting_over_the_day(stretches=stretches, cycle_s=8.0)[-1]

    assert abs(found.mean - waiting.mean()) < 4 * waiting.std() / np.sqrt(4000)
