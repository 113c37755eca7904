"""Results of our own, frozen so that a change is noticed: none of these is a reference.

Each was computed from the formula of the function it checks; inputs are those of everyday cases.
"""

from __future__ import annotations

import math

import pytest

from farpress.core.wiring.coils import dc13_coil, release_time_s, snubber_leakage_a
from farpress.core.wiring.conductors import heated_resistance_ohm_per_km, loop_resistance_ohm
from farpress.core.wiring.drop import dc_drop_v, maximum_length_m
from farpress.core.wiring.inrush import adiabatic_current_a, capacitor_peak_a, melting_integral_a2s
from farpress.core.wiring.loops import divider_thresholds_ohm, least_leak_ohm
from farpress.core.wiring.open_collector import (
    delay_s,
    equivalent,
    ground_shift_v,
    pick_up_v,
    pull_up_range_ohm,
)
from farpress.core.wiring.protection import end_short_circuit_a, largest_fuse_a
from farpress.core.wiring.standby import CHARGE_ACCEPTANCE, recharge_current_a
from farpress.core.wiring.supply_load import ac_highest_v, cyclic_current_a, load_sum_a, transformer_for_dc


def test_drops_of_alarm_cable() -> None:
    """0.5 A over 50 m at 96 ohm/km; 1 A over 30 m at 26 ohm/km; the strike at 24 m; the bollards at 55 m."""
    assert dc_drop_v(
        current_a=0.5, loop_ohm=loop_resistance_ohm(length_m=50.0, core_ohm_per_km=96.0)
    ) == pytest.approx(4.80)
    assert dc_drop_v(
        current_a=1.0, loop_ohm=loop_resistance_ohm(length_m=30.0, core_ohm_per_km=26.0)
    ) == pytest.approx(1.56)
    assert loop_resistance_ohm(length_m=24.0, core_ohm_per_km=17.86 / 0.22) == pytest.approx(3.90, abs=0.005)
    assert 0.9 * loop_resistance_ohm(length_m=55.0, core_ohm_per_km=17.86 / 1.5) / 24 == pytest.approx(
        0.049, abs=5e-4
    )
    assert maximum_length_m(allowed_drop_v=0.6, current_a=0.5, core_ohm_per_km=39.0) == pytest.approx(
        15.38, abs=0.005
    )
    assert heated_resistance_ohm_per_km(
        resistance_20_ohm_per_km=26.0, temperature_degc=50.0
    ) == pytest.approx(29.0654)


def test_fuses_and_charging() -> None:
    """12 V over 0.2 + 9.6 ohm; 7 Ah in 24 h; a lock of 0.5 A for 5 s, 50 times an hour."""
    current = end_short_circuit_a(voltage_v=12.0, source_ohm=0.2, loop_ohm=9.6)
    assert current == pytest.approx(1.2245, abs=1e-4)
    assert largest_fuse_a(short_circuit_a=current) == 0.5
    assert largest_fuse_a(short_circuit_a=0.05) is None
    assert recharge_current_a(
        capacity_ah=7.0, within_s=86400.0, acceptance=CHARGE_ACCEPTANCE
    ) == pytest.approx(0.28)
    assert cyclic_current_a(current_a=0.5, on_s=5.0, times_per_hour=50.0) == pytest.approx(0.03472, abs=1e-5)
    assert load_sum_a(rest_a=[0.1, 0.2], scenarios_a=[[0.5], [0.3, 0.4]], charge_a=0.25) == pytest.approx(
        1.25
    )
    assert ac_highest_v(rms_v=24.0) == pytest.approx(43.40, abs=0.005)
    assert transformer_for_dc(voltage_v=12.0, current_a=0.5) == pytest.approx((11.2, 0.9, 10.08))


def test_loops_and_open_collectors() -> None:
    """Thresholds midway, least insulation, what a darlington looks like, pick-up on a long cable."""
    assert divider_thresholds_ohm(
        pull_up_ohm=2200.0, states_ohm=(0.0, 2200.0, 6900.0, math.inf)
    ) == pytest.approx((733.3, 3731.9, 16000.0), rel=1e-4)
    assert least_leak_ohm(far_ohm=6555.0, threshold_ohm=3731.9) == pytest.approx(8665.0, abs=1.0)
    assert least_leak_ohm(far_ohm=math.inf, threshold_ohm=16000.0) == 16000.0
    assert equivalent(supply_v=13.8, pull_up_ohm=2200.0, saturation_v=0.8).ohm == pytest.approx(
        135.4, abs=0.05
    )
    assert equivalent(supply_v=5.0, pull_up_ohm=4700.0, saturation_v=0.9).ohm == pytest.approx(
        1031.7, abs=0.05
    )
    assert ground_shift_v(return_a=0.5, core_ohm=30 * 96 / 1000) == pytest.approx(1.44)
    assert pick_up_v(
        voltage_v=230.0, frequency_hz=50.0, capacitance_f_per_m=60e-12, length_m=50.0, load_ohm=4700.0
    ) == pytest.approx(1.019, abs=5e-4)
    assert pull_up_range_ohm(
        supply_v=12.0, low_v=1.0, high_v=8.0, sink_a=0.05, leakage_a=1e-4
    ) == pytest.approx((220.0, 40_000.0))
    assert delay_s(resistance_ohm=10e3, capacitance_f=100e-9, threshold_share=0.7) == pytest.approx(
        1.204e-3, abs=1e-6
    )


def test_coils_and_inrush() -> None:
    """10 W at 24 V; diode and zener; leakage of an RC element; an empty capacitor; a core in a short
    circuit.
    """
    coil = dc13_coil(voltage_v=24.0, power_w=10.0)
    assert (coil.ohm, coil.henry, coil.time_constant_s, coil.energy_j) == pytest.approx(
        (57.6, 1.152, 0.02, 0.1)
    )
    assert release_time_s(
        coil_ohm=576.0, coil_h=1.2, current_a=24 / 576, release_share=0.15, clamp_v=24.7
    ) == pytest.approx(1.13e-3, abs=5e-6)
    assert snubber_leakage_a(capacitance_f=0.1e-6, voltage_v=24.0, frequency_hz=50.0) == pytest.approx(
        0.754e-3, abs=5e-7
    )
    assert capacitor_peak_a(voltage_v=24.0, loop_ohm=0.5) == pytest.approx(48.0)
    assert melting_integral_a2s(peak_a=22.0, half_width_s=305e-6) == pytest.approx(0.1107, abs=5e-5)
    assert adiabatic_current_a(area_mm2=0.22, time_s=0.1) == pytest.approx(80.0, abs=0.05)
