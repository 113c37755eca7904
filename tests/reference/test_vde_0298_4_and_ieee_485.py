"""DIN VDE 0298-4:2013-06, Tables 17 and 26 (ambient temperature, many loaded cores), and IEEE 485, Table 1.

The first read on 2026-11-25 in extracts on cable suppliers' pages; the factors of IEEE 485 are
from memory and no reference: they only keep the table from being changed unnoticed.
"""

from __future__ import annotations

import pytest

from farpress.core.wiring.capacity import ambient_factor, bundle_factor
from farpress.core.wiring.standby import temperature_factor, usable_share
from farpress.errors import OutOfRange
from helpers.printed import Printed


@pytest.mark.parametrize(
    ("degc", "factor"),
    [
        (10.0, "1.22"),
        (20.0, "1.12"),
        (25.0, "1.06"),
        (30.0, "1.00"),
        (40.0, "0.87"),
        (50.0, "0.71"),
        (60.0, "0.50"),
    ],
)
def test_the_factor_for_ambient_temperature_is_that_of_table_17(degc: float, factor: str) -> None:
    """PVC for 70 °C."""
    assert Printed(factor).agrees_with(ambient_factor(ambient_degc=degc))


@pytest.mark.parametrize(
    ("cores", "factor"), [(5, "0.75"), (7, "0.65"), (10, "0.55"), (14, "0.50"), (19, "0.45"), (24, "0.40")]
)
def test_the_factor_for_loaded_cores_is_that_of_table_26(cores: int, factor: str) -> None:
    """Cores of one sheath."""
    assert Printed(factor).agrees_with(bundle_factor(loaded_cores=cores))


def test_between_rows_the_safer_row_or_a_straight_line_counts() -> None:
    """Six cores count as seven; 35 °C lies half way."""
    assert bundle_factor(loaded_cores=6) == bundle_factor(loaded_cores=7)
    assert ambient_factor(ambient_degc=35.0) == pytest.approx((1.00 + 0.87) / 2)


def test_no_cable_of_pvc_above_sixty_degrees() -> None:
    """The table ends there."""
    with pytest.raises(OutOfRange, match="at most 60"):
        ambient_factor(ambient_degc=61.0)


@pytest.mark.parametrize(
    ("degc", "factor"),
    [(-1.1, 1.43), (1.7, 1.35), (4.4, 1.30), (10.0, 1.19), (15.6, 1.11), (21.1, 1.04), (25.0, 1.00)],
)
def test_a_cold_battery_must_be_larger(degc: float, factor: float) -> None:
    """From memory."""
    assert temperature_factor(temperature_degc=degc) == pytest.approx(factor)


def test_worn_cold_and_quickly_discharged_about_six_tenths_are_left() -> None:
    """1 / (1.25 x 1.1 x 1.19); slower than twelve hours without the 1.1."""
    assert usable_share(discharge_s=12 * 3600.0, coldest_degc=10.0) == pytest.approx(1 / (1.25 * 1.1 * 1.19))
    assert usable_share(discharge_s=24 * 3600.0, coldest_degc=25.0) == pytest.approx(0.8)
