"""Air, slopes and sound, against figures worked in books."""

from __future__ import annotations

import math

import pytest

from farpress.core.rehearsal.around import (
    climbing_force_n,
    gas_left_share,
    level_db,
    rolled_off,
    steady_share,
)


@pytest.mark.parametrize(("changes", "minutes"), [(2, 138), (4, 69), (6, 46), (12, 23), (50, 6)])
def test_a_room_is_clear_after_the_minutes_of_the_table_for_hospitals(changes: int, minutes: int) -> None:
    """CDC, Guidelines for environmental infection control (2003), table B.1: 99 % out; from memory."""
    before, after = (
        gas_left_share(room_m3=100.0, moved_m3_per_h=100.0 * changes, time_s=60.0 * (minutes + more))
        for more in (-1, 1)
    )

    assert after < 0.01 < before  # whole minutes in the table


def test_what_comes_in_over_what_is_moved() -> None:
    """20 l/h of carbon dioxide from a sitting person and 25 m3/h of air: 800 ppm over outdoors, EN 13779."""
    assert steady_share(gas_m3_per_h=0.020, moved_m3_per_h=25.0) == pytest.approx(800e-6)
    assert steady_share(gas_m3_per_h=1.0, moved_m3_per_h=0.0) == 1.0


@pytest.mark.parametrize("climbs", [0.1, 0.3, 1.0])
def test_a_leaf_let_go_has_the_energy_that_its_height_gave_it_less_friction(climbs: float) -> None:
    """Energy is kept: m g h = m v2 / 2 + friction over the way."""
    leaf, friction, kg = 6.0, 0.01, 400.0
    speed, time_s = rolled_off(climbs_m=climbs, leaf_m=leaf, friction=friction)
    along = math.sqrt(leaf**2 - climbs**2)

    assert 0.5 * kg * speed**2 == pytest.approx(kg * 9.80665 * (climbs - friction * along))
    assert 0.5 * speed * time_s == pytest.approx(leaf)
    force = climbing_force_n(leaf_kg=kg, climbs_m=climbs, leaf_m=leaf, friction=friction)
    assert force * leaf == pytest.approx(kg * 9.80665 * (climbs + friction * along))


def test_a_level_leaf_stays() -> None:
    """Friction holds it, for ever."""
    assert rolled_off(climbs_m=0.0, leaf_m=6.0, friction=0.02) == (0.0, math.inf)


def test_twice_as_far_is_six_decibels_less() -> None:
    """ISO 9613-2: divergence of a point source, 20 lg d."""
    assert level_db(at_1_m=100.0, distance_m=1.0) == 100.0
    assert level_db(at_1_m=100.0, distance_m=20.0) - level_db(at_1_m=100.0, distance_m=40.0) == pytest.approx(
        6.02, abs=0.005
    )
