"""Pieces alike that sit evenly along one cable: the last one's volts, and the first one's peak."""

from __future__ import annotations

from typing import Any

import pytest

from farpress.case.cores import drawn_from_m, first_m
from farpress.core.wiring.elements import CurrentLoad, Resistor, VoltageSource
from farpress.core.wiring.network import solve
from farpress.domain.cables import CableRun
from farpress.domain.finding import Finding
from farpress.judging.supply import volts
from helpers.findings import finding_of
from helpers.wired_case import wired_case

POSTS, STEP_M, OHM_PER_KM, PIECE_A = 12, 15.0, 7.98, 0.15


def test_all_pieces_at_one_length_lose_as_many_volts_as_the_last_of_them() -> None:
    """12 x 0.15 A every 15 m of 2.5 mm2: 0.15 A x 15.96 ohm/km x 15 m x (1 + ... + 12) = 2.801 V, by hand;
    and by a circuit of twelve nodes.
    """
    run = CableRun(part="x", length_m=180.0, first_after_m=15.0)
    by_hand = PIECE_A * 2 * OHM_PER_KM / 1000 * STEP_M * sum(range(1, POSTS + 1))
    parts: list[Any] = [VoltageSource("supply", "p0", "0", 24.0)]
    for number in range(1, POSTS + 1):
        parts.append(Resistor(f"r{number}", f"p{number - 1}", f"p{number}", 2 * OHM_PER_KM / 1000 * STEP_M))
        parts.append(CurrentLoad(f"post {number}", f"p{number}", "0", PIECE_A))
    solved = solve(tuple(parts), ground="0")

    assert by_hand == pytest.approx(2.801, abs=5e-4)
    assert 24.0 - solved.volts[f"p{POSTS}"] == pytest.approx(by_hand)
    lumped = POSTS * PIECE_A * 2 * OHM_PER_KM / 1000 * drawn_from_m(run, POSTS)
    assert lumped == pytest.approx(by_hand)


@pytest.mark.parametrize(
    ("first", "pieces", "drawn", "nearest"),
    [(None, 12, 180.0, 180.0), (15.0, 1, 180.0, 15.0), (15.0, 12, 97.5, 15.0), (200.0, 12, 180.0, 180.0)],
)
def test_what_nobody_says_sits_at_the_end(
    first: float | None, pieces: int, drawn: float, nearest: float
) -> None:
    """And one piece alone does, whatever is written of the first."""
    run = CableRun(part="x", length_m=180.0, first_after_m=first)
    assert (drawn_from_m(run, pieces), first_m(run)) == (drawn, nearest)


def _lights(first: float | None) -> Finding:
    run = {"part": "twin-2.5", "length_m": 180.0, "first_after_m": first}
    lamp = {"device": "lamp", "supply": "dc", "load": "led", "voltage_v": 24.0, "voltage_min_v": 20.0}
    case = wired_case(
        {
            "supplies": {"main": {"supply": "dc", "voltage_v": 24.0, "voltage_min_v": 24.0, "rated_a": 2.5}},
            "devices": {
                "posts": lamp | {"current_a": 0.15, "pieces": 12, "fed": {"from": "main", "cable": run}}
            },
        },
        cables={"twin-2.5": {"area_mm2": 2.5, "resistance_ohm_per_km": 7.98, "cores": 2}},
    )
    return finding_of(volts.judge(case), "SUP-01")


def test_sup_01_of_lights_along_a_cable_is_that_of_the_last() -> None:
    """Cold the last post has 21.2 V, by hand; all at the far end would have 18.8 V."""
    spread, lumped = _lights(15.0).value, _lights(None).value
    assert spread is not None
    assert lumped is not None
    hot = (24.0 - lumped) / (24.0 - 18.829)  # 1.8 A over 2.873 ohm are 5.171 V cold

    assert 24.0 - spread == pytest.approx(2.801 * hot, rel=2e-3)
    assert spread > 20.0 > lumped
