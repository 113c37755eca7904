"""Chances of use, held against matrix solves by numpy and against a simulated queue."""

from __future__ import annotations

import math
import random
from itertools import product
from typing import Any

import networkx as nx
import numpy as np
import pytest

from farpress.core.rehearsal.chance import MarkovChain, chance_for_ever, make_chain, rounds_until
from farpress.core.rehearsal.model import ModelEvent, StateModel, Variable
from farpress.core.rehearsal.ready import make_ready
from farpress.errors import InputError
from farpress.rehearsal.chances import Chance, chances_of
from helpers.logic_case import a_case
from helpers.rehearsal_jobs import SHORT_GATE

PULSE: dict[str, Any] = {"kind": "pulse", "for_s": 1.0}


def _walk(up: float, down: float, *, most: int = 4) -> MarkovChain:
    """Somebody goes in or out of a room for `most` people, or nothing happens; "full" when it is."""
    model = StateModel(
        (Variable("inside", most),),
        (
            ModelEvent("in", "inside = inside + 1", f"inside < {most}"),
            ModelEvent("out", "inside = inside - 1", "inside > 0"),
        ),
        bad={"full": f"inside == {most}"},
    )
    return make_chain(make_ready(model), {("in",): up, ("out",): down, (): 1.0 - up - down})


@pytest.mark.parametrize(("up", "down"), [(0.2, 0.3), (0.3, 0.3), (0.05, 0.6)])
def test_shares_and_waiting_times_are_those_of_the_matrix(up: float, down: float) -> None:
    """The stationary share by the largest eigenvector, the mean time by a dense solve, both by numpy."""
    chain, most = _walk(up, down), 4
    matrix = np.zeros((most + 1, most + 1))
    for n in range(most + 1):
        matrix[n, min(n + 1, most)] += up
        matrix[n, max(n - 1, 0)] += down
        matrix[n, n] += 1.0 - up - down
    values, vectors = np.linalg.eig(matrix.T)
    spread = np.real(vectors[:, np.argmax(np.real(values))])
    spread /= spread.sum()
    times = np.linalg.solve(np.eye(most) - matrix[:most, :most], np.ones(most))

    assert chance_for_ever(chain, "full") == pytest.approx(spread[most], rel=1e-9)
    assert rounds_until(chain, "full") == pytest.approx(times[0], rel=1e-9)


def test_a_chain_is_as_networkx_ranks_it() -> None:
    """PageRank without jumps is the stationary distribution of the same walk."""
    up, down, most = 0.2, 0.3, 4
    graph = nx.DiGraph()
    for n in range(most + 1):
        for after, share in ((min(n + 1, most), up), (max(n - 1, 0), down), (n, 1.0 - up - down)):
            before = graph.get_edge_data(n, after, {"weight": 0.0})["weight"]
            graph.add_edge(n, after, weight=before + share)
    rank = nx.pagerank(graph, alpha=1.0, tol=1e-12, max_iter=5000)

    assert chance_for_ever(_walk(up, down), "full") == pytest.approx(rank[most], rel=1e-6)


def test_what_can_never_be_met_is_waited_for_for_ever() -> None:
    """Nobody goes in: infinite; and a walk that is caught at one of two ends has no one share for ever."""
    caught = StateModel(
        (Variable("end", 2),),
        (ModelEvent("left", "end = 1", "end == 0"), ModelEvent("right", "end = 2", "end == 0")),
        bad={"right": "end == 2"},
    )
    chain = make_chain(make_ready(caught), {("left",): 0.5, ("right",): 0.5})

    assert rounds_until(_walk(0.0, 0.4), "full") == math.inf
    assert rounds_until(chain, "right") == math.inf
    with pytest.raises(InputError, match="one of 2 sets"):
        chance_for_ever(chain, "right")


def _chances(about: str, **more: Any) -> list[Chance]:
    outputs = more.pop("outputs")
    return [chance for chance in chances_of(a_case(outputs, **more)) if about in chance.about]


def test_a_toggle_after_a_shift_by_all_ways_to_press_it() -> None:
    """Three people, each with a chance of a press: summed over all eight ways."""
    shares = (0.9, 0.5, 0.2)
    people = {"people": ("A", "B", "C"), "buttons": {"1": "f1"}, "uses_share": {"f1": shares}}
    (found,) = _chances("use", outputs={"1": {"kind": "toggle", "works": "lamp.on"}}, groups={"crew": people})
    odd = sum(
        math.prod(share if pressed else 1.0 - share for share, pressed in zip(shares, ways, strict=True))
        for ways in product((0, 1), repeat=3)
        if sum(ways) % 2
    )

    assert found.share == pytest.approx(odd, abs=1e-12)


@pytest.mark.parametrize(("works", "moves_s"), [("gate.start", 6.0), ("gate.partial", 2.0)])
def test_a_second_press_meets_a_partial_opening_less_often(works: str, moves_s: float) -> None:
    """The time in which it can stop the leaf is that of its own movement: 1 - exp(-rate x time)."""
    inputs = {
        "start": {"logic": "start", "wants": "pulse", "closes_by_second_press": True},
        "partial": {"logic": "partial open", "wants": "pulse", "closes_by_second_press": True},
    }
    found = _chances(
        "house/R1/1:",
        outputs={"1": {**PULSE, "works": works}},
        devices={"gate": SHORT_GATE | {"inputs": inputs, "partial_travel_s": 2.0}},
        traffic=({"place": "here", "function": "f1", "arrivals": {"07:00-08:00": 360}},),
    )
    second = next(chance for chance in found if "somebody else" in chance.says)

    if works == "gate.start":
        assert second.share == pytest.approx(1.0 - math.exp(-0.1 * moves_s), abs=1e-9)
    assert f"the {moves_s:g} s of travel" in second.says


def test_who_is_inside_when_it_is_set() -> None:
    """Two an hour for half an hour each, at random: somebody is there in 1 - exp(-1) of all moments."""
    area = {"shop": {"arrivals_per_day": {"Saturday": 48.0}, "stay_s": 1800.0}}
    (found,) = _chances(
        "Saturday", outputs={"1": {**PULSE, "works": "panel.set"}}, mounted_panel={"areas": area}
    )

    assert found.share == pytest.approx(1.0 - math.exp(-1.0), abs=1e-9)


def test_a_queue_before_a_lock_of_two_gates() -> None:
    """Each vehicle needs both gates, one after the other: against a simulated queue of the same cycle."""
    lock = {"enter_by": ("outer",), "leave_by": ("inner",), "second_kept_out_by": ()}
    found = _chances(
        "house/R1/1:",
        outputs={"1": {**PULSE, "works": "outer.open"}, "2": {**PULSE, "works": "inner.open"}},
        devices={"outer": SHORT_GATE, "inner": SHORT_GATE},
        house={"gate_locks": {"yard lock": lock}},
        traffic=(
            {
                "place": "here",
                "function": "f1",
                "arrivals": {"07:00-08:00": 140},
                "passage_s": 4.0,
                "days": ("monday",),
            },
        ),
    )
    queue = next(chance for chance in found if "on average" in chance.says)
    told = float(queue.says.split("Monday ")[1].split()[0])
    chance = random.Random(7)
    ends = []
    for _ in range(400):
        waiting = 0
        for _ in range(112):  # cycles of 32 s in an hour
            arrivals = sum(chance.random() < 140 / 3600 for _ in range(32))
            waiting = max(waiting - 1, 0) + arrivals
        ends.append(waiting)

    assert "One vehicle in 32 s through yard lock" in queue.because
    assert told == pytest.approx(sum(ends) / len(ends), abs=2.5)
