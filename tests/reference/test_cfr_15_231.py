"""47 CFR 15.231, fobs in North America, and the conversions between ways of writing a limit.

The periodic limit (e) at 433.92 MHz, 4399 uV/m and 72.9 dBuV/m, was read in published test reports
and the text of the section (2008 to 2021). The end points of (b), 3750 and 12 500 uV/m, are from
memory: the values between them are checked as a straight line, not as a reference. 10 mW e.i.r.p.
at 3 m is 105.2 dBuV/m in published conversion tables.
"""

from __future__ import annotations

import numpy as np
import pytest

from farpress.core.reach.limits import (
    duty_share,
    eirp_dbm_from_field,
    emission_limits,
    field_at_3m_dbuv_per_m,
    field_limit_uv_per_m,
    periodic_field_limit_uv_per_m,
)
from farpress.errors import OutOfRange
from helpers.printed import Printed


def test_the_periodic_limit_as_printed_in_test_reports() -> None:
    """4399 uV/m, 72.9 dBuV/m."""
    field = periodic_field_limit_uv_per_m(frequency_hz=433.92e6)

    assert Printed("4399").agrees_with(field)
    assert Printed("72.9").agrees_with(20.0 * np.log10(field))


def test_ten_milliwatt_at_three_metres_as_in_conversion_tables() -> None:
    """105.2 dBuV/m for 10 mW isotropic."""
    assert Printed("105.2").agrees_with(field_at_3m_dbuv_per_m(eirp_dbm=10.0))


def test_a_fob_has_two_and_a_half_times_the_periodic_limit() -> None:
    """(b) is 2.5 times (e) all along the band, at both ends and between."""
    for frequency_hz in (260e6, 315e6, 433.92e6, 470e6):
        assert field_limit_uv_per_m(frequency_hz=frequency_hz) == pytest.approx(
            2.5 * periodic_field_limit_uv_per_m(frequency_hz=frequency_hz)
        )


def test_field_and_power_are_each_other_s_inverse() -> None:
    """From a field to a power and back."""
    for field in (100.0, 10996.67):
        assert field_at_3m_dbuv_per_m(eirp_dbm=eirp_dbm_from_field(field_uv_per_m=field)) == pytest.approx(
            20.0 * np.log10(field), abs=1e-9
        )


def test_the_two_regions_differ_by_26_decibels_and_a_half() -> None:
    """The same fob, the same frequency: why the region is asked first."""
    europe = emission_limits(region="europe", frequency_hz=433.92e6)[0].erp_dbm
    america = emission_limits(region="north america", frequency_hz=433.92e6)[0].erp_dbm

    assert europe - america == pytest.approx(26.55, abs=0.05)
    assert emission_limits(region="europe", frequency_hz=315e6) == ()


def test_outside_the_row_there_is_no_limit_to_read() -> None:
    """The row ends at 470 MHz."""
    with pytest.raises(OutOfRange, match=r"15\.231"):
        field_limit_uv_per_m(frequency_hz=868e6)


def test_a_tenth_of_an_hour_is_360_seconds_of_sending() -> None:
    """Pressed all the time with telegrams back to back, 360 presses of one second fill 10 %."""
    assert duty_share(presses_per_hour=360.0, press_s=1.0, telegram_s=0.1, repeat_s=0.1) == pytest.approx(
        0.10
    )
