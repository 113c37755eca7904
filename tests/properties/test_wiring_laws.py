"""Laws of wiring that hold for all inputs."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from farpress.core.wiring.coils import release_time_s
from farpress.core.wiring.conductors import awg_diameter_mm, heated_resistance_ohm_per_km, loop_resistance_ohm
from farpress.core.wiring.drop import dc_drop_v, maximum_length_m, minimum_area_mm2
from farpress.core.wiring.loops import LoopState, terminal_band, terminal_ohm
from farpress.core.wiring.protection import OPERATES_AT, largest_fuse_a

amperes = st.floats(min_value=1e-3, max_value=20.0)
metres = st.floats(min_value=0.1, max_value=1000.0)
per_km = st.floats(min_value=1.0, max_value=200.0)
ohms = st.floats(min_value=1.0, max_value=1e6)


@given(current_a=amperes, length_m=metres, core=per_km)
def test_the_longest_cable_loses_exactly_what_is_allowed(current_a: float, length_m: float, core: float) -> None:
    """Length from drop and drop from length undo each other."""
    drop = dc_drop_v(current_a=current_a, loop_ohm=loop_resistance_ohm(length_m=length_m, core_ohm_per_km=core))

    assert maximum_length_m(allowed_drop_v=drop, current_a=current_a, core_ohm_per_km=core) == pytest.approx(length_m)


@given(current_a=amperes, length_m=metres, area=st.floats(min_value=0.1, max_value=10.0))
def test_the_least_area_loses_exactly_what_is_allowed(current_a: float, length_m: float, area: float) -> None:
    """Area from drop and drop from area undo each other."""
    drop = dc_drop_v(current_a=current_a, loop_ohm=loop_resistance_ohm(length_m=length_m, core_ohm_per_km=18.0 / area))

    assert minimum_area_mm2(allowed_drop_v=drop, current_a=current_a, length_m=length_m, resistivity_ohm_mm2_per_m=0.018) == pytest.approx(area)


@given(core=per_km, degrees=st.floats(min_value=-40.0, max_value=90.0))
def test_heat_agrees_with_the_other_rule_for_copper(core: float, degrees: float) -> None:
    """(234.5 + T)/254.5, the other usual form of IEC 60228, from memory: within 0.02 % of the cold value."""
    ours = heated_resistance_ohm_per_km(resistance_20_ohm_per_km=core, temperature_degc=degrees)

    assert ours == pytest.approx(core * (234.5 + degrees) / 254.5, abs=2e-4 * core)


@given(gauge=st.integers(min_value=0, max_value=33))
def test_six_gauges_double_the_diameter(gauge: int) -> None:
    """92^(6/39) = 2.005."""
    assert awg_diameter_mm(gauge) / awg_diameter_mm(gauge + 6) == pytest.approx(2.0050, abs=5e-4)


@given(clamp_v=st.floats(min_value=0.5, max_value=50.0), more=st.floats(min_value=0.1, max_value=50.0))
def test_a_higher_clamp_lets_a_coil_go_sooner(clamp_v: float, more: float) -> None:
    """That is what the zener is for."""
    low, high = (release_time_s(coil_ohm=320.0, coil_h=0.5, current_a=0.0375, release_share=0.2, clamp_v=volts) for volts in (clamp_v, clamp_v + more))

    assert high < low


@given(far_ohm=ohms, loop_ohm=st.floats(min_value=0.0, max_value=100.0), tolerance=st.floats(min_value=0.0, max_value=0.2), leak_ohm=ohms)
def test_a_band_holds_its_nominal_value_and_a_leak_only_lowers_it(far_ohm: float, loop_ohm: float, tolerance: float, leak_ohm: float) -> None:
    """Damp between the cores never raises what the panel sees."""
    band = terminal_band(state=LoopState("normal", far_ohm), tolerance_share=tolerance, loop_ohm=loop_ohm)
    whole = terminal_ohm(far_ohm=far_ohm, loop_ohm=loop_ohm)

    assert band.low_ohm <= whole * (1 + 1e-12)
    assert whole <= band.high_ohm * (1 + 1e-12)
    assert terminal_ohm(far_ohm=far_ohm, loop_ohm=loop_ohm, leak_ohm=leak_ohm) < whole


@given(current=st.floats(min_value=0.2, max_value=100.0))
def test_the_largest_fuse_operates(current: float) -> None:
    """And there is one from 105 mA on."""
    fuse = largest_fuse_a(short_circuit_a=current)

    assert fuse is not None
    assert fuse * OPERATES_AT <= current
