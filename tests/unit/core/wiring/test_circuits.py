"""Circuits by hand: converters, diodes, coils on alternating current, and what cannot be solved."""

from __future__ import annotations

import cmath
import math

import pytest

from farpress.core.wiring.elements import (
    Capacitor,
    CurrentLoad,
    Diode,
    Element,
    Inductor,
    PowerLoad,
    Resistor,
    VoltageSource,
)
from farpress.core.wiring.netlist import netlist
from farpress.core.wiring.network import solve
from farpress.core.wiring.phasors import solve_ac
from farpress.core.wiring.rectifier import rectified
from farpress.errors import CircuitError, InputError

SUPPLY = VoltageSource("supply", "s", "0", 12.0)


def test_a_converter_settles_at_the_upper_root() -> None:
    """12 V over 1.1 ohm and 10 W: V^2 - 12 V + 11 = 0 has the roots 11 and 1."""
    solved = solve([SUPPLY, Resistor("cable", "s", "p", 1.1), PowerLoad("converter", "p", "0", 10.0)])

    assert solved.volts["p"] == pytest.approx(11.0)
    assert solved.amperes["converter"] == pytest.approx(10 / 11)


def test_at_the_edge_half_the_voltage_is_left() -> None:
    """The most a cable can carry is U^2 / 4R; a thousandth below it still settles near half the voltage."""
    most = 144 / 4 / 1.1
    solved = solve([SUPPLY, Resistor("cable", "s", "p", 1.1), PowerLoad("converter", "p", "0", 0.999 * most)])

    assert solved.volts["p"] == pytest.approx(6 * (1 + math.sqrt(0.001)), rel=1e-6)


def test_more_than_the_cable_carries_is_an_error_that_names_the_load() -> None:
    """Beyond U^2 / 4R there is no operating point."""
    with pytest.raises(CircuitError, match="'converter' asks for cannot come"):
        solve(
            [
                SUPPLY,
                Resistor("cable", "s", "p", 1.1),
                PowerLoad("converter", "p", "0", 1.001 * 144 / 4 / 1.1),
            ]
        )


def test_a_converter_the_wrong_way_round_is_named() -> None:
    """It sees a voltage of the wrong sign."""
    with pytest.raises(CircuitError, match=r"'converter' wants power .* wrong way round"):
        solve([SUPPLY, Resistor("cable", "s", "p", 1.0), PowerLoad("converter", "0", "p", 5.0)])


def test_a_blocking_diode_carries_its_saturation_current_only() -> None:
    """The suppressor across a coil costs nothing while the coil is on."""
    solved = solve([SUPPLY, Resistor("coil", "s", "0", 320.0), Diode("suppressor", "0", "s")])

    assert abs(solved.amperes["suppressor"]) < 1e-8


@pytest.mark.parametrize("ohm", [0.0, 0.05])
def test_a_conducting_diode_keeps_its_own_law(ohm: float) -> None:
    """Voltage over junction and resistance belong to the current."""
    diode = Diode("d", "s", "p", ohm=ohm)
    solved = solve([SUPPLY, diode, Resistor("load", "p", "0", 24.0)])
    amperes = solved.amperes["load"]

    assert solved.across("s", "p") == pytest.approx(
        amperes * ohm + 1.5 * 0.025864925 * math.log(amperes / 1e-9 + 1), rel=1e-9
    )
    assert solved.amperes["d"] == pytest.approx(amperes)
    assert set(solved.volts) == {"0", "s", "p"}


def test_a_capacitor_is_open_and_a_coil_is_its_resistance_on_direct_current() -> None:
    """12 V over 20 ohm of coil."""
    solved = solve(
        [
            SUPPLY,
            Inductor("coil", "s", "0", 0.5, 20.0),
            Capacitor("c", "s", "q", 1e-6),
            Resistor("r", "q", "0", 47.0),
        ]
    )

    assert solved.amperes["coil"] == pytest.approx(0.6)
    assert solved.volts["q"] == pytest.approx(0.0, abs=1e-12)
    assert solved.amperes["c"] == 0.0


def test_a_valve_on_a_transformer_by_hand() -> None:
    """24 V behind 4 ohm on 24 ohm and 0.2 H at 50 Hz."""
    reactance = 2 * math.pi * 50 * 0.2
    solved = solve_ac(
        [VoltageSource("t", "a", "0", 24.0, 4.0), Inductor("valve", "a", "0", 0.2, 24.0)], frequency_hz=50.0
    )

    assert solved.amperes["valve"] == pytest.approx(24 / complex(28, reactance))
    assert abs(solved.across("a", "0")) == pytest.approx(
        24 * abs(complex(24, reactance)) / abs(complex(28, reactance))
    )


def test_the_phase_of_a_source_turns_everything() -> None:
    """No more and no less."""
    turned = solve_ac(
        [VoltageSource("t", "a", "0", 24.0, 1.0, 30.0), Inductor("l", "a", "0", 0.1, 10.0)], frequency_hz=60.0
    )
    straight = solve_ac(
        [VoltageSource("t", "a", "0", 24.0, 1.0), Inductor("l", "a", "0", 0.1, 10.0)], frequency_hz=60.0
    )

    assert turned.volts["a"] == pytest.approx(straight.volts["a"] * cmath.exp(1j * math.pi / 6))


def test_an_alternating_converter_takes_its_power_at_its_power_factor() -> None:
    """Real part of the apparent power, and the lag."""
    solved = solve_ac(
        [VoltageSource("t", "a", "0", 24.0, 2.0), PowerLoad("p", "a", "0", 20.0, 0.8)], frequency_hz=50.0
    )
    apparent = solved.volts["a"] * solved.amperes["p"].conjugate()

    assert apparent.real == pytest.approx(20.0)
    assert apparent.real / abs(apparent) == pytest.approx(0.8)
    with pytest.raises(CircuitError, match="'p' asks for"):
        solve_ac([VoltageSource("t", "a", "0", 24.0, 2.0), PowerLoad("p", "a", "0", 80.0)], frequency_hz=50.0)


WRONG: list[tuple[str, list[Element], str]] = [
    (
        "no return",
        [SUPPLY, Resistor("cable", "s", "p", 1.0), CurrentLoad("strike", "p", "m", 0.35)],
        "Node 'm' floats.*return core missing",
    ),
    (
        "feeds itself",
        [SUPPLY, VoltageSource("odd", "s", "s", 5.0, 1.0)],
        "'odd' feeds itself: both its terminals lie on node 's'",
    ),
    (
        "contradicts",
        [SUPPLY, VoltageSource("other", "s", "0", 13.0)],
        "'other' closes a ring .*nodes 's' and '0'",
    ),
    (
        "joints in a ring",
        [SUPPLY, Resistor("a", "s", "p", 0.0), Resistor("b", "p", "s", 0.0)],
        "'b' closes a ring",
    ),
    ("negative", [SUPPLY, Resistor("r", "s", "0", -1.0)], "'r' has -1 ohm"),
    ("not a number", [SUPPLY, Resistor("r", "s", "0", math.nan)], "'r' has a value that is no finite number"),
    (
        "twice",
        [SUPPLY, Resistor("r", "s", "0", 1.0), Resistor("r", "s", "0", 1.0)],
        "2 elements are called 'r'",
    ),
    (
        "no ground",
        [VoltageSource("v", "a", "b", 1.0), Resistor("r", "a", "b", 1.0)],
        "No element touches the node '0'",
    ),
    ("negative power", [SUPPLY, PowerLoad("p", "s", "0", -3.0)], "'p' draws -3 W"),
    ("power factor", [SUPPLY, PowerLoad("p", "s", "0", 3.0, 1.2)], "power factor of 1.2"),
]


@pytest.mark.parametrize(("what", "circuit", "says"), WRONG, ids=[name for name, _, _ in WRONG])
def test_a_circuit_that_cannot_be_solved_says_what_and_where(
    what: str, circuit: list[Element], says: str
) -> None:
    """The text names the element or the node."""
    with pytest.raises(CircuitError, match=says):
        solve(circuit)


def test_all_faults_of_a_circuit_come_at_once() -> None:
    """Three faults, three sentences."""
    with pytest.raises(CircuitError) as caught:
        solve(
            [
                SUPPLY,
                Resistor("r", "s", "0", -1.0),
                VoltageSource("odd", "s", "s", 1.0),
                Resistor("lost", "x", "y", 1.0),
            ]
        )

    text = str(caught.value)
    assert "'r' has" in text
    assert "'odd' feeds itself" in text
    assert "Node 'x' floats" in text
    assert "Node 'y' floats" in text


def test_a_diode_has_no_phasor() -> None:
    """It is sent to the rectifier."""
    with pytest.raises(CircuitError, match=r"'d' is a diode; .* Reckon it as a rectifier"):
        solve_ac(
            [VoltageSource("t", "a", "0", 24.0, 1.0), Diode("d", "a", "b"), Resistor("r", "b", "0", 100.0)],
            frequency_hz=50.0,
        )


def test_half_waves_cost_more_current_and_ripple_than_a_bridge() -> None:
    """Same transformer, capacitor and load."""
    values = {
        "rms_v": 24.0,
        "frequency_hz": 50.0,
        "source_ohm": 1.0,
        "capacitance_f": 1000e-6,
        "load_ohm": 240.0,
    }
    bridge, half = rectified(**values), rectified(**values, bridge=False)

    assert half.ratio > bridge.ratio
    assert half.ripple_v > 1.8 * bridge.ripple_v
    assert bridge.lowest_v < bridge.mean_v < bridge.highest_v < 24 * math.sqrt(2)
    assert bridge.first_peak_a == pytest.approx((24 * math.sqrt(2) - 1.87) / 1.1, rel=0.01)


def test_a_capacitor_in_the_wrong_unit_is_refused() -> None:
    """A picofarad for a microfarad charges in no time at all."""
    with pytest.raises(InputError, match="Was that microfarad"):
        rectified(rms_v=24.0, frequency_hz=50.0, source_ohm=1.0, capacitance_f=1000e-12, load_ohm=240.0)


def test_a_netlist_names_every_element_and_turns_joints_into_sources() -> None:
    """So that a simulator takes it."""
    made = netlist(
        [
            VoltageSource("v", "a", "gnd", 12.0, 0.1),
            Resistor("joint", "a", "b", 0.0),
            Diode("d", "b", "c"),
            Capacitor("c", "c", "gnd", 1e-6),
        ],
        ground="gnd",
        prefix="q",
    )

    assert made.nodes == {"gnd": "0", "a": "qn1", "b": "qn2", "c": "qn3"}
    assert [line.split()[0] for line in made.lines] == ["Vq1", "Rq1", "Vq2", "Dq3", ".model", "Cq4"]
