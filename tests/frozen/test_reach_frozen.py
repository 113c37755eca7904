"""Our own numbers of the reach formulas, so that they do not drift unseen. No references.

Each was computed from its formula when it was written; where a second witness exists it stands in
tests/reference.
"""

from __future__ import annotations

import math

import pytest

from farpress.core.reach.aerial import loop_efficiency_db, slot_shielding_db
from farpress.core.reach.contention import clear_press_share, overlap_free_share
from farpress.core.reach.entry import entry_loss_db
from farpress.core.reach.indoor import indoor_loss, multi_wall_loss_db, power_law_loss_db
from farpress.core.reach.limits import eirp_dbm_from_field, field_limit_uv_per_m
from farpress.core.reach.street import street_canyon_loss_db, street_level_loss_db
from farpress.core.reach.two_ray import two_ray_loss_db

F = 433.92e6


@pytest.mark.parametrize(
    ("computed", "frozen", "within"),
    [
        (
            lambda: indoor_loss(environment="office out of sight", distance_m=10.0, frequency_hz=F).loss_db,
            45.500,
            0.001,
        ),
        (
            lambda: power_law_loss_db(coefficient=33.0, distance_m=20.0, frequency_hz=F, floors_db=9.0),
            76.682,
            0.001,
        ),
        (
            lambda: power_law_loss_db(coefficient=28.0, distance_m=10.0, frequency_hz=F, floors_db=0.0),
            52.748,
            0.001,
        ),
        (lambda: entry_loss_db(frequency_hz=F, share=0.5, building="traditional"), 13.945, 0.001),
        (lambda: entry_loss_db(frequency_hz=F, share=0.9, building="thermally efficient"), 47.368, 0.001),
        (
            lambda: entry_loss_db(frequency_hz=F, share=0.5, building="traditional", elevation_deg=30.0),
            18.506,
            0.001,
        ),
        (
            lambda: street_level_loss_db(
                distance_m=100.0, frequency_hz=F, share=0.5, surroundings="suburban"
            ),
            88.183,
            0.001,
        ),
        (
            lambda: street_canyon_loss_db(
                distance_m=100.0, height_a_m=3.0, height_b_m=1.2, frequency_hz=F, bound="median"
            ),
            78.796,
            0.002,
        ),
        (
            lambda: street_canyon_loss_db(
                distance_m=10.0, height_a_m=3.0, height_b_m=1.2, frequency_hz=F, bound="median"
            ),
            45.175,
            0.002,
        ),
        (
            lambda: street_canyon_loss_db(
                distance_m=100.0, height_a_m=3.0, height_b_m=1.2, frequency_hz=F, bound="lower"
            ),
            72.796,
            0.002,
        ),
        (
            lambda: float(
                two_ray_loss_db(
                    ground_distance_m=100.0,
                    height_a_m=3.0,
                    height_b_m=1.2,
                    frequency_hz=F,
                    permittivity=16.306,
                    conductivity_s_per_m=0.00897,
                    polarisation="vertical",
                    average_m=0.0,
                )
            ),
            69.450,
            0.01,
        ),
        (
            lambda: multi_wall_loss_db(
                distance_m=10.0, frequency_hz=F, light_walls=2, heavy_walls=1, floors=0
            ),
            58.896,
            0.001,
        ),
        (
            lambda: multi_wall_loss_db(
                distance_m=15.0, frequency_hz=F, light_walls=0, heavy_walls=0, floors=2
            ),
            82.241,
            0.001,
        ),
        (lambda: field_limit_uv_per_m(frequency_hz=F), 10996.67, 0.01),
        (lambda: eirp_dbm_from_field(field_uv_per_m=10996.67), -14.404, 0.001),
        (
            lambda: loop_efficiency_db(
                diameter_m=0.030, track_width_m=0.0015, frequency_hz=F, capacitor_ohm=0.0
            ),
            -5.44,
            0.01,
        ),
        (lambda: slot_shielding_db(slot_m=0.1, frequency_hz=F), 10.77, 0.01),
        (lambda: overlap_free_share(presses_per_s=0.5, press_s=1.0), math.exp(-1.0), 1e-12),
        (
            lambda: clear_press_share(presses_per_s=0.2222, telegram_s=0.060, telegrams_needed=1),
            0.9737,
            0.0001,
        ),
    ],
)
def test_the_number_has_not_drifted(computed: object, frozen: float, within: float) -> None:
    """As computed when it was written."""
    assert callable(computed)
    assert computed() == pytest.approx(frozen, abs=within)
