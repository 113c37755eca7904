"""Laws of reach that hold for every wall, distance and margin."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from farpress.core.reach.crossings import Panels, crossed_panels
from farpress.core.reach.free_space import free_space_loss_db
from farpress.core.reach.heard import presses_in_ten
from farpress.core.reach.press import USUAL, press_share, still_press_share
from farpress.core.reach.readings import Read, Spot, updated
from farpress.core.reach.rice import rice_share
from farpress.core.reach.slab import SlabLayer, slab_power

F = 433.92e6
margins = st.floats(-60.0, 80.0)
spreads = st.floats(0.0, 20.0)
layers = st.lists(
    st.builds(
        SlabLayer, st.builds(complex, st.floats(1.0, 30.0), st.floats(-5.0, 0.0)), st.floats(0.001, 0.5)
    ),
    min_size=1,
    max_size=5,
)
points = st.tuples(st.floats(-20, 20), st.floats(-20, 20), st.floats(0, 5))


@given(distance_m=st.floats(1.0, 1e4), frequency_hz=st.floats(1e8, 1e10))
def test_twice_as_far_costs_six_decibels(distance_m: float, frequency_hz: float) -> None:
    """Doubling the distance adds 20 log 2."""
    near, far = free_space_loss_db(distance_m=[distance_m, 2.0 * distance_m], frequency_hz=frequency_hz)

    assert far - near == pytest.approx(20.0 * np.log10(2.0), rel=1e-9)


@given(wall=layers, angle_deg=st.floats(0.0, 85.0), polarisation=st.sampled_from(["te", "tm"]))
def test_a_wall_gives_no_power_of_its_own(wall: list[SlabLayer], angle_deg: float, polarisation: str) -> None:
    """Through and back together are never more than what arrived."""
    power = slab_power(layers=wall, angle_deg=angle_deg, frequency_hz=F, polarisation=polarisation)  # type: ignore[arg-type]

    assert float(power.through) + float(power.back) <= 1.0 + 1e-9
    assert float(power.through) >= 0.0


@given(wall=layers, angle_deg=st.floats(0.0, 85.0), polarisation=st.sampled_from(["te", "tm"]))
def test_a_wall_passes_the_same_both_ways(wall: list[SlabLayer], angle_deg: float, polarisation: str) -> None:
    """Reciprocity: from the other side the same power gets through."""
    there = slab_power(layers=wall, angle_deg=angle_deg, frequency_hz=F, polarisation=polarisation).through  # type: ignore[arg-type]
    back = slab_power(
        layers=wall[::-1], angle_deg=angle_deg, frequency_hz=F, polarisation=polarisation
    ).through  # type: ignore[arg-type]

    assert float(there) == pytest.approx(float(back), rel=1e-6, abs=1e-15)


@given(
    margin_db=margins,
    shared=spreads,
    press=spreads,
    strongest=st.floats(0.0, 1.0),
    presses=st.integers(1, 5),
    clear=st.floats(0.0, 1.0),
)
def test_one_more_press_never_hurts_and_a_chance_is_a_chance(
    margin_db: float, shared: float, press: float, strongest: float, presses: int, clear: float
) -> None:
    """Shares lie between 0 and 1 and grow with presses."""
    few, more = (
        float(
            press_share(
                margin_db=margin_db,
                shared_sd_db=shared,
                press_sd_db=press,
                strongest_share=strongest,
                presses=n,
                clear_share=clear,
            )
        )
        for n in (presses, presses + 1)
    )

    assert 0.0 <= few <= more + 1e-9
    assert more <= 1.0 + 1e-9


@given(
    margin_db=margins,
    better=st.floats(0.0, 20.0),
    shared=spreads,
    press=spreads,
    strongest=st.floats(0.0, 1.0),
)
def test_more_margin_never_hurts(
    margin_db: float, better: float, shared: float, press: float, strongest: float
) -> None:
    """The chance grows with the margin."""
    low, high = press_share(
        margin_db=[margin_db, margin_db + better],
        shared_sd_db=shared,
        press_sd_db=press,
        strongest_share=strongest,
        presses=2,
    )

    assert low <= high + 1e-9


def test_several_presses_agree_with_a_drawing_of_lots() -> None:
    """Half a million drawn places, hands, echoes, telegrams and bursts give the same chance as the tables."""
    draw = np.random.default_rng(47)
    shared = draw.normal(0.0, 7.0, 500_000)
    heard = np.zeros(shared.size, dtype=bool)
    for _ in range(3):
        echoes = 10.0 * np.log10(draw.exponential(size=shared.size))
        telegrams = still_press_share(
            over_sensitivity_db=5.0 + shared + draw.normal(0.0, 3.0, shared.size) + echoes, telegrams=USUAL
        )
        heard |= (draw.random(shared.size) < telegrams) & (draw.random(shared.size) < 0.9)

    computed = float(
        press_share(
            margin_db=5.0,
            shared_sd_db=7.0,
            press_sd_db=3.0,
            strongest_share=0.0,
            presses=3,
            clear_share=0.9,
            moved_share=1.0,
        )
    )

    assert computed == pytest.approx(heard.mean(), abs=0.004)


def test_rice_agrees_with_a_drawing_of_lots() -> None:
    """A steady way and the sum of many echoes a third as strong."""
    draw = np.random.default_rng(11)
    echoes = (draw.normal(size=400_000) + 1j * draw.normal(size=400_000)) * np.sqrt(0.25 / 2.0)
    power = np.abs(np.sqrt(0.75) + echoes) ** 2

    assert float(rice_share(margin_db=6.0, factor=3.0)) == pytest.approx(
        (power > 10.0**-0.6).mean(), abs=0.003
    )


@given(share=st.floats(0.0, 1.0))
def test_words_never_promise_more_than_the_number(share: float) -> None:
    """'9 of 10 presses' is said of nothing below 90 %."""
    words = presses_in_ten(share)

    if words.split()[0].isdigit():
        assert int(words.split()[0]) / int(words.split()[2]) <= share + 1e-9


@given(a=points, b=points)
def test_a_ray_crosses_the_same_walls_both_ways(
    a: tuple[float, float, float], b: tuple[float, float, float]
) -> None:
    """There and back, the same panels at mirrored places."""
    panels = Panels(
        np.array([[0.0, -10.0], [-10.0, 3.0], [2.0, -1.0]]),
        np.array([[0.0, 10.0], [10.0, 3.5], [9.0, 6.0]]),
        np.zeros(3),
        np.full(3, 4.0),
        np.full(3, -1),
    )
    there, back = (
        crossed_panels(panels=panels, from_m=a, to_m=b),
        crossed_panels(panels=panels, from_m=b, to_m=a),
    )
    far = ~(there.touched | back.touched)

    both = there.crossed & far
    # an end exactly on an edge may be met from one side alone; only clear crossings are compared
    clear = both & (there.share > 1e-6) & (there.share < 1.0 - 1e-6)
    assert np.all(back.crossed[clear])
    np.testing.assert_allclose(there.share[clear] + back.share[clear], 1.0, atol=1e-6)
    np.testing.assert_allclose(there.angle_deg[clear], back.angle_deg[clear], atol=1e-4)


def far(number: int, local_sd_db: float) -> Spot:
    """A place a kilometre from every other."""
    return Spot((1000.0 * number, 0.0, 1.0), (0.0, 0.0, 2.0), local_sd_db)


@given(residuals=st.lists(st.floats(-30.0, 30.0), max_size=6), local=st.floats(0.0, 12.0))
def test_readings_never_add_doubt_nor_move_more_than_they_say(residuals: list[float], local: float) -> None:
    """The spread shrinks, the correction stays within the largest residual."""
    readings = [Read(far(n, 5.0), residual_db=one, sd_db=3.0) for n, one in enumerate(residuals)]
    found = updated(readings=readings, shared_sd_db=6.0).at(far(99, local))

    assert found.sd_db <= np.hypot(6.0, local) + 1e-9
    assert abs(found.add_db) <= max((abs(one) for one in residuals), default=0.0) + 1e-9


def test_the_update_is_that_of_a_plain_average() -> None:
    """One offset, readings of equal worth elsewhere: mean times n s^2/(n s^2 + e^2), worked by hand."""
    found = updated(
        readings=[Read(far(n, 4.0), residual_db=value, sd_db=3.0) for n, value in enumerate((-4.0, -8.0))],
        shared_sd_db=6.0,
    ).at(far(9, 0.0))

    assert found.add_db == pytest.approx(-6.0 * 72.0 / (72.0 + 25.0))
    assert found.sd_db == pytest.approx(np.sqrt(1.0 / (1.0 / 36.0 + 2.0 / 25.0)))
