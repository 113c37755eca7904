"""Laws of wiring that hold for all inputs."""

from __future__ import annotations

import cmath
import math
import random
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from farpress.core.wiring.coils import release_time_s
from farpress.core.wiring.conductors import awg_diameter_mm, heated_resistance_ohm_per_km, loop_resistance_ohm
from farpress.core.wiring.drop import dc_drop_v, maximum_length_m, minimum_area_mm2
from farpress.core.wiring.elements import ends_of
from farpress.core.wiring.loop_tolerance import outside_share
from farpress.core.wiring.loops import LoopState, Scheme, terminal_band, terminal_ohm
from farpress.core.wiring.network import PowerLoad, Resistor, VoltageSource, solve
from farpress.core.wiring.phasors import solve_ac
from farpress.core.wiring.protection import OPERATES_AT, largest_fuse_a
from farpress.core.wiring.wrong_wiring import causes_of, wrong_wirings
from farpress.errors import CircuitError
from helpers.random_circuits import ac_tree, diode_feed

amperes = st.floats(min_value=1e-3, max_value=20.0)
metres = st.floats(min_value=0.1, max_value=1000.0)
per_km = st.floats(min_value=1.0, max_value=200.0)
ohms = st.floats(min_value=1.0, max_value=1e6)


@given(current_a=amperes, length_m=metres, core=per_km)
def test_the_longest_cable_loses_exactly_what_is_allowed(
    current_a: float, length_m: float, core: float
) -> None:
    """Length from drop and drop from length undo each other."""
    drop = dc_drop_v(
        current_a=current_a, loop_ohm=loop_resistance_ohm(length_m=length_m, core_ohm_per_km=core)
    )

    assert maximum_length_m(allowed_drop_v=drop, current_a=current_a, core_ohm_per_km=core) == pytest.approx(
        length_m
    )


@given(current_a=amperes, length_m=metres, area=st.floats(min_value=0.1, max_value=10.0))
def test_the_least_area_loses_exactly_what_is_allowed(current_a: float, length_m: float, area: float) -> None:
    """Area from drop and drop from area undo each other."""
    drop = dc_drop_v(
        current_a=current_a, loop_ohm=loop_resistance_ohm(length_m=length_m, core_ohm_per_km=18.0 / area)
    )

    assert minimum_area_mm2(
        allowed_drop_v=drop, current_a=current_a, length_m=length_m, resistivity_ohm_mm2_per_m=0.018
    ) == pytest.approx(area)


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
    low, high = (
        release_time_s(coil_ohm=320.0, coil_h=0.5, current_a=0.0375, release_share=0.2, clamp_v=volts)
        for volts in (clamp_v, clamp_v + more)
    )

    assert high < low


@given(
    far_ohm=ohms,
    loop_ohm=st.floats(min_value=0.0, max_value=100.0),
    tolerance=st.floats(min_value=0.0, max_value=0.2),
    leak_ohm=ohms,
)
def test_a_band_holds_its_nominal_value_and_a_leak_only_lowers_it(
    far_ohm: float, loop_ohm: float, tolerance: float, leak_ohm: float
) -> None:
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


@given(volts=st.floats(6.0, 30.0), ohm=st.floats(0.01, 5.0), share=st.floats(0.01, 0.98))
def test_a_converter_finds_the_upper_root_whatever_the_cable(volts: float, ohm: float, share: float) -> None:
    """Below the most a cable can carry, the voltage is the larger root of V^2 - U V + P R = 0."""
    watts = share * volts**2 / 4 / ohm
    solved = solve(
        [VoltageSource("s", "a", "0", volts), Resistor("r", "a", "b", ohm), PowerLoad("p", "b", "0", watts)]
    )

    assert solved.volts["b"] == pytest.approx((volts + math.sqrt(volts**2 - 4 * watts * ohm)) / 2, rel=1e-7)


@given(volts=st.floats(6.0, 30.0), ohm=st.floats(0.01, 5.0), more=st.floats(1.01, 50.0))
def test_a_converter_beyond_the_most_is_always_refused(volts: float, ohm: float, more: float) -> None:
    """Never a number, never a hang."""
    with pytest.raises(CircuitError, match="'p' asks for"):
        solve(
            [
                VoltageSource("s", "a", "0", volts),
                Resistor("r", "a", "b", ohm),
                PowerLoad("p", "b", "0", more * volts**2 / 4 / ohm),
            ]
        )


@given(seed=st.integers(0, 10_000))
def test_current_flows_in_a_ring_and_power_is_kept(seed: int) -> None:
    """Kirchhoff at every node and Tellegen's theorem, for random feeds over diodes with converters."""
    circuit = diode_feed(random.Random(seed))
    solved = solve(circuit)
    sums: dict[str, float] = dict.fromkeys(solved.volts, 0.0)
    power = 0.0
    for part in circuit:
        a, b = ends_of(part)
        amperes = -solved.amperes[part.name] if isinstance(part, VoltageSource) else solved.amperes[part.name]
        sums[a] -= amperes
        sums[b] += amperes
        power += amperes * solved.across(a, b)

    assert max(map(abs, sums.values())) < 1e-6
    assert abs(power) < 1e-5


@given(seed=st.integers(0, 10_000), turn=st.floats(-180.0, 180.0))
def test_turning_every_source_turns_every_phasor(seed: int, turn: float) -> None:
    """Nothing depends on where the clock starts."""
    circuit = ac_tree(random.Random(seed))
    turned = [
        replace(part, phase_deg=part.phase_deg + turn) if isinstance(part, VoltageSource) else part
        for part in circuit
    ]
    before, after = solve_ac(circuit, frequency_hz=50.0), solve_ac(turned, frequency_hz=50.0)

    for node, volts in before.volts.items():
        assert abs(after.volts[node] - volts * cmath.exp(1j * math.radians(turn))) < 1e-7


@given(
    scheme=st.sampled_from(["single end-of-line", "double end-of-line", "two-resistor", "masked"]),
    normal=st.floats(500.0, 10_000.0),
    alarm=st.floats(500.0, 10_000.0),
    breaks=st.booleans(),
)
def test_the_slips_of_any_loop_are_found_from_their_own_readings(
    scheme: Scheme, normal: float, alarm: float, breaks: bool
) -> None:
    """And no reading is negative."""
    known = wrong_wirings(scheme=scheme, bands=(), normal_ohm=normal, alarm_ohm=alarm, break_contact=breaks)

    for one in known:
        assert one.rest_ohm >= 0
        assert one.worked_ohm >= 0
        assert one in causes_of(rest_ohm=one.rest_ohm, worked_ohm=one.worked_ohm, known=known)


@given(
    resistors=st.lists(st.floats(100.0, 10_000.0), min_size=1, max_size=4),
    tolerance=st.floats(0.0, 0.2),
    low=st.floats(0.5, 1.0),
    high=st.floats(1.0, 1.5),
)
def test_odds_are_shares_and_wider_bands_never_lose_more(
    resistors: list[float], tolerance: float, low: float, high: float
) -> None:
    """Between nothing and all."""
    nominal = sum(resistors)
    narrow = outside_share(
        resistors_ohm=resistors, tolerance_share=tolerance, low_ohm=low * nominal, high_ohm=high * nominal
    )
    wide = outside_share(
        resistors_ohm=resistors,
        tolerance_share=tolerance,
        low_ohm=0.9 * low * nominal,
        high_ohm=1.1 * high * nominal,
    )

    assert 0 <= wide <= narrow + 1e-9 <= 1 + 1e-9
