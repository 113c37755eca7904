"""Rec. ITU-R P.1238-11, Table 2: what the table has to give at its own anchor points.

The coefficients were read in an independent implementation, which takes the frequency in MHz where
the table means GHz; the Recommendation was not at hand. So that this slip cannot come back, each row
is held against physics: at 1 m and 1 GHz it lies within 12 dB of free space there (32.45 dB), which
60 dB too much or too little would not. The values at 433.92 MHz themselves are ours and frozen.
The power-loss form is held against free space: with N = 20 and no floor they are one law
(32.45 - 60 = -27.55, rounded to -28 in the Recommendation; constants from memory).
"""

from __future__ import annotations

import pytest

from farpress.core.reach.free_space import free_space_loss_db
from farpress.core.reach.indoor import ENVIRONMENTS, indoor_loss, power_law_loss_db


@pytest.mark.parametrize("name", ENVIRONMENTS)
def test_at_one_metre_and_one_gigahertz_a_row_is_near_free_space(name: str) -> None:
    """The row's constant is the loss at 1 m and 1 GHz."""
    assert indoor_loss(environment=name, distance_m=1.0, frequency_hz=1e9).loss_db == pytest.approx(
        32.45, abs=12.0
    )


@pytest.mark.parametrize("distance_m", [2.0, 10.0, 50.0])
def test_with_the_coefficient_of_free_space_the_older_form_is_free_space(distance_m: float) -> None:
    """Only the rounding of the constant is between them."""
    older = power_law_loss_db(coefficient=20.0, distance_m=distance_m, frequency_hz=433.92e6, floors_db=0.0)

    assert older == pytest.approx(
        float(free_space_loss_db(distance_m=distance_m, frequency_hz=433.92e6)), abs=0.5
    )


def test_a_corridor_never_undercuts_free_space_by_more_than_three_decibels() -> None:
    """The corridor row is 8.9 dB better than free space at 10 m; it is raised, and says so."""
    loss = indoor_loss(environment="corridor in sight", distance_m=20.0, frequency_hz=433.92e6)

    assert loss.is_raised_to_floor
    assert loss.loss_db == pytest.approx(
        float(free_space_loss_db(distance_m=20.0, frequency_hz=433.92e6)) - 3.0
    )


def test_rows_that_start_at_625_megahertz_say_so() -> None:
    """Our frequency lies below the rows of halls."""
    assert indoor_loss(
        environment="hall out of sight", distance_m=20.0, frequency_hz=433.92e6
    ).is_extrapolated
    assert not indoor_loss(
        environment="office out of sight", distance_m=20.0, frequency_hz=433.92e6
    ).is_extrapolated
