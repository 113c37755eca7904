"""Years of a fob's cell."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from farpress.core.upkeep.cell import cell_life
from farpress.core.upkeep.weibull import best_replacement, share_any_failed
from farpress.errors import OutOfRange

COIN = {
    "capacity_ah": 0.225,
    "usable_share": 0.6,
    "send_a": 0.012,
    "sleep_a": 0.3e-6,
    "self_discharge_share": 0.01,
}


@pytest.mark.parametrize(
    ("presses", "length", "years"), [(4, 1, 13.9), (10, 1, 7.9), (20, 1, 4.6), (4, 25, 1.1), (8, 25, 0.5)]
)
def test_counted_by_hand_in_milliampere_hours(presses: float, length: float, years: float) -> None:
    """135 mAh usable; 365 days, 12 mA for the length of a press, 8 760 h at 0.3 uA, 1 % a year by itself."""
    yearly_mah = 365 * presses * 12 * length / 3600 + 8760 * 0.0003 + 2.25
    life = cell_life(**COIN, presses_per_day=presses, press_s=length)

    assert life.years == pytest.approx(135 / yearly_mah, rel=1e-9)
    assert life.years == pytest.approx(years, abs=0.06)


@given(presses=st.floats(0.1, 100), length=st.floats(0.1, 30))
def test_twice_the_presses_take_twice_the_charge(presses: float, length: float) -> None:
    """Only that part doubles."""
    one = cell_life(**COIN, presses_per_day=presses, press_s=length)
    two = cell_life(**COIN, presses_per_day=2 * presses, press_s=length)

    assert two.presses_ah == pytest.approx(2 * one.presses_ah)
    assert two.sleep_ah == one.sleep_ah


def test_a_cell_does_not_outlive_its_shelf() -> None:
    """The life by charge is still told."""
    life = cell_life(**COIN, presses_per_day=1, press_s=0.5, shelf_years=10)

    assert life.years == 10 < life.by_charge_years


def test_a_cell_that_nothing_uses_has_no_life_to_tell() -> None:
    """Without a shelf life either."""
    with pytest.raises(OutOfRange, match="Give shelf_years"):
        cell_life(
            capacity_ah=0.2,
            usable_share=0.6,
            send_a=0.0,
            press_s=0,
            presses_per_day=0,
            sleep_a=0,
            self_discharge_share=0,
        )


def test_replacing_early_never_pays_without_wear() -> None:
    """Constant failure rate, or a failure that costs no more than the visit."""
    assert best_replacement(mean_years=3, shape=1.0, planned_cost=1, failure_cost=10) is None
    assert best_replacement(mean_years=3, shape=3.0, planned_cost=1, failure_cost=1) is None
    assert share_any_failed(failed=0.5, pieces=2) == 0.75
