"""Updating by readings, against figures of the textbook formulas worked out apart from this program.

Linear Gaussian update (offset and wall loss), and kriging with an exponential covariance, whose
figures a general statistics library gave to eight digits too. No standard prints them.
"""

from __future__ import annotations

import math

import pytest
from scipy.optimize import minimize_scalar
from scipy.stats import norm

from farpress.core.reach.readings import Read, Spot, Updated, information_bits, updated
from farpress.errors import InputError

ORIGIN = (0.0, 0.0, 0.0)


def walled(distance: float, walls: int) -> Spot:
    """A way of a distance through some walls, the wall's loss known to 3 dB each."""
    return Spot((distance, 0.0, 0.0), ORIGIN, 0.0, (("wall", 3.0 * walls),))


def prior(distance: float, walls: int) -> float:
    """Level before any reading: -40 dBm at 1 m, exponent 2.2, 9 dB a wall."""
    return -40.0 - 22.0 * math.log10(distance) - 9.0 * walls


READINGS = [(10.0, 0, -63.0), (20.0, 1, -79.0), (20.0, 2, -85.0), (35.0, 1, -87.0)]


def calibrated() -> Updated:
    """The four readings, scatter 3 dB, offset known to 4 dB."""
    return updated(
        readings=[Read(walled(d, w), residual_db=y - prior(d, w), sd_db=3.0) for d, w, y in READINGS],
        shared_sd_db=4.0,
    )


def test_offset_and_wall_loss_after_four_readings() -> None:
    """Offset -41.558977 dB, wall 8.418088 dB, variances 3.952941 and 2.576471."""
    known = calibrated()
    offset, sd = known.offset_db()
    moved, left = known.wall_moves()["wall"]

    assert -40.0 + offset == pytest.approx(-41.558977, abs=1e-6)
    assert sd**2 == pytest.approx(3.952941, abs=1e-6)
    assert 9.0 + 3.0 * moved == pytest.approx(8.418088, abs=1e-6)
    assert (3.0 * left) ** 2 == pytest.approx(2.576471, abs=1e-6)


def test_prediction_at_forty_metres_behind_three_walls() -> None:
    """Mean -102.0586 dBm, spread 3.6862 dB."""
    after = calibrated().at(walled(40.0, 3))

    assert prior(40.0, 3) + after.add_db == pytest.approx(-102.0586, abs=1e-4)
    assert after.sd_db == pytest.approx(3.6862, abs=1e-4)


@pytest.mark.parametrize(("walls", "bits"), [(0, 0.03344), (1, 0.03460), (4, 0.97275)])
def test_a_further_reading_tells_about_the_target(walls: int, bits: float) -> None:
    """Through four walls it tells most about the way through three."""
    known = calibrated()

    assert information_bits(known=known, about=walled(40.0, 3), read=walled(20.0, walls), sd_db=3.0)[
        0
    ] == pytest.approx(bits, abs=1e-5)


FIELD = [
    ((0.0, 0.0), 2.0),
    ((20.0, 0.0), -3.0),
    ((0.0, 15.0), 4.0),
    ((25.0, 20.0), -6.0),
    ((10.0, 30.0), 1.0),
]


def field_spot(x: float, y: float) -> Spot:
    """A place whose residual has a spread of 6 dB."""
    return Spot((x, y, 0.0), ORIGIN, 6.0)


def kriged() -> Updated:
    """Five residuals, range 20 m, scatter 2 dB, no offset."""
    return updated(
        readings=[Read(field_spot(*at), residual_db=value, sd_db=2.0) for at, value in FIELD],
        shared_sd_db=0.0,
        range_m=20.0,
    )


@pytest.mark.parametrize(
    ("at", "mean", "sd"),
    [
        ((10.0, 10.0), 0.0928899, 4.3380841),
        ((22.0, 14.0), -3.4243816, 4.0496183),
        ((40.0, 40.0), -1.2842321, 5.7403266),
    ],
)
def test_kriging_of_residuals(at: tuple[float, float], mean: float, sd: float) -> None:
    """Mean and spread of the field."""
    after = kriged().at(field_spot(*at))

    assert after.add_db == pytest.approx(mean, abs=1e-6)
    assert after.sd_db == pytest.approx(sd, abs=1e-6)


def test_the_next_reading_is_ranked_by_what_must_work_not_by_its_own_doubt() -> None:
    """About (22, 14): itself 1.17523 bit, then (10, 10), (5, 22), and last (30, 30), the most uncertain of
    all.
    """
    known, must = kriged(), field_spot(22.0, 14.0)
    bits = [
        information_bits(known=known, about=must, read=field_spot(*at), sd_db=2.0)[0]
        for at in ((22.0, 14.0), (10.0, 10.0), (5.0, 22.0), (30.0, 30.0))
    ]
    own = information_bits(known=known, about=field_spot(30.0, 30.0), read=field_spot(30.0, 30.0), sd_db=2.0)[
        0
    ]

    assert bits == pytest.approx([1.17523, 0.03962, 0.00477, 0.00094], abs=1e-5)
    assert own == pytest.approx(1.41531, abs=1e-5)


GATE_PRESSES = {
    # distance [m]: heard of 14 tried, and the margin predicted there [dB]
    5.0: (14, 9.0),
    12.0: (13, 4.0),
    18.0: (11, 1.0),
    25.0: (6, -1.0),
    33.0: (3, -4.0),
    40.0: (0, -8.0),
}


def test_single_presses_say_what_their_sums_say() -> None:
    """84 presses one by one and 6 sums of 14: the same correction to twelve digits, from six unknowns."""

    def read(distance: float, heard: int, tried: int) -> Read:
        return Read(field_spot(distance, 3.0), heard=heard, tried=tried, margin_db=GATE_PRESSES[distance][1])

    sums = [read(distance, heard, 14) for distance, (heard, _) in GATE_PRESSES.items()]
    single = [
        read(distance, int(number < heard), 1)
        for number in range(14)
        for distance, (heard, _) in GATE_PRESSES.items()
    ]
    one_by_one, summed = (updated(readings=reads, shared_sd_db=6.0) for reads in (single, sums))

    assert len(single) == 84
    assert len(one_by_one.spots) == len(summed.spots) == 6
    for place in ((5.0, 3.0), (40.0, 3.0), (21.0, -7.0)):
        assert one_by_one.at(field_spot(*place)) == pytest.approx(summed.at(field_spot(*place)), rel=1e-12)
    assert one_by_one.offset_db() == pytest.approx(summed.offset_db(), rel=1e-12)


def test_the_sum_of_presses_is_the_solution_of_every_press_apart() -> None:
    """Presses at ten places a nanometre apart are not added up; their correction is that of the sum."""

    def read(number: int, heard: int, tried: int) -> Read:
        return Read(field_spot(10.0 + 1e-9 * number, 0.0), heard=heard, tried=tried, margin_db=2.0)

    apart = updated(readings=[read(n, int(n < 7), 1) for n in range(10)], shared_sd_db=6.0)
    summed = updated(readings=[read(0, 7, 10)], shared_sd_db=6.0)

    assert len(apart.spots) == 10
    assert apart.at(field_spot(10.0, 0.0)) == pytest.approx(summed.at(field_spot(10.0, 0.0)), abs=1e-7)


def test_levels_at_one_place_are_never_added_up() -> None:
    """Two levels read at one place stay two; presses behind another pad stay a count of their own."""
    spot = field_spot(5.0, 0.0)
    known = updated(
        readings=[
            Read(spot, residual_db=-2.0),
            Read(spot, residual_db=-2.0),
            Read(spot, heard=3, tried=4, margin_db=1.0),
            Read(spot, heard=3, tried=4, margin_db=-9.0),
            Read(spot, heard=1, tried=4, margin_db=1.0),
        ],
        shared_sd_db=6.0,
    )

    assert len(known.spots) == 4


def test_a_count_that_cannot_be_is_refused_before_it_is_added_up() -> None:
    """Three heard of two, beside a sum in which it would vanish."""
    spot = field_spot(5.0, 0.0)
    with pytest.raises(InputError, match="3 presses heard of 2"):
        updated(readings=[Read(spot, heard=0, tried=9), Read(spot, heard=3, tried=2)], shared_sd_db=6.0)


def _mode_by_scipy(prior_sd: float, reads: list[Read]) -> float:
    """Where the product of prior and likelihoods is greatest on one spot: by scipy's minimiser."""

    def cost(latent: float) -> float:
        total = 0.5 * latent**2 / prior_sd**2
        for read in reads:
            if read.residual_db is not None:
                off = ((read.residual_db - latent) / read.sd_db) ** 2
                total += 0.5 * off if off <= 4.0 else 2.0 + 4.0 * math.log((4.0 + off) / 8.0)
                continue
            heard = norm.logcdf((read.margin_db + latent) / read.slope_db) + math.log1p(-read.spoiled_share)
            total -= read.heard * heard + (read.tried - read.heard) * math.log(-math.expm1(heard))
        return total

    return float(minimize_scalar(cost, bounds=(-60.0, 60.0), method="bounded", options={"xatol": 1e-9}).x)


@pytest.mark.parametrize(("residual", "heard"), [(-4.0, 17), (3.0, 12), (-9.0, 4), (14.0, 18), (-20.0, 2)])
@pytest.mark.parametrize("spoiled", [0.0, 0.02, 0.1])
def test_a_level_and_a_count_together_are_the_mode_that_scipy_finds(
    residual: float, heard: int, spoiled: float
) -> None:
    """Both likelihoods on one unknown, beside scipy.optimize and scipy.stats; far levels with their tail."""
    spot = field_spot(5.0, 0.0)
    reads = [
        Read(spot, residual_db=residual),
        Read(spot, heard=heard, tried=20, margin_db=2.0, slope_db=5.0, spoiled_share=spoiled),
    ]
    known = updated(readings=reads, shared_sd_db=6.0)
    prior_sd = math.hypot(6.0, spot.local_sd_db)

    assert known.at(spot).add_db == pytest.approx(_mode_by_scipy(prior_sd, reads), abs=2e-3)


def test_a_count_beside_a_level_says_more_than_either_alone() -> None:
    """The doubt left is less than after each of the two; the amount lies between theirs."""
    spot = field_spot(5.0, 0.0)
    level = Read(spot, residual_db=-6.0)
    count = Read(spot, heard=8, tried=20, margin_db=6.0, spoiled_share=0.02)
    alone = [updated(readings=[read], shared_sd_db=6.0).at(spot) for read in (level, count)]
    both = updated(readings=[level, count], shared_sd_db=6.0).at(spot)

    assert both.sd_db < min(after.sd_db for after in alone)
    assert min(after.add_db for after in alone) < both.add_db < max(after.add_db for after in alone)


def test_one_press_of_twenty_missed_on_a_strong_link_is_laid_to_what_spoils_presses() -> None:
    """30 dB over the level at which half are heard: a miss moves it by 10 dB and more, were none spoiled."""
    spot = field_spot(5.0, 0.0)
    pure, robust = (
        updated(
            readings=[Read(spot, heard=19, tried=20, margin_db=30.0, slope_db=6.0, spoiled_share=share)],
            shared_sd_db=6.0,
        ).at(spot)
        for share in (0.0, 0.02)
    )

    assert pure.add_db < -5.0
    assert abs(robust.add_db) < 0.1


def test_a_level_far_from_its_neighbours_at_one_place_is_not_averaged() -> None:
    """Four levels near -2 dB and one of -40 dB at the same spot: within 1 dB of the four, not 7 dB below."""
    spot = field_spot(5.0, 0.0)
    four = [Read(spot, residual_db=value) for value in (-1.0, -2.0, -3.0, -2.0)]
    without = updated(readings=four, shared_sd_db=6.0).at(spot).add_db
    known = updated(readings=[*four, Read(spot, residual_db=-40.0)], shared_sd_db=6.0).at(spot).add_db

    assert without - 1.0 < known < without
