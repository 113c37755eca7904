"""The network solver: laws, and what it refuses."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from farpress.core.wiring.network import CurrentLoad, Element, Resistor, VoltageSource, solve
from farpress.errors import CircuitError

ohms = st.floats(min_value=0.01, max_value=1e4)


@given(
    volts=st.floats(min_value=1.0, max_value=50.0),
    amperes=st.floats(min_value=0.0, max_value=0.01),
    values=st.tuples(ohms, ohms, ohms, ohms, ohms),
)
def test_power_given_is_power_taken(volts: float, amperes: float, values: tuple[float, ...]) -> None:
    """Tellegen's theorem on a bridge with a load in its middle."""
    parts: list[Element] = [
        VoltageSource("s", "t", "0", volts),
        Resistor("1", "t", "l", values[0]),
        Resistor("2", "l", "0", values[1]),
        Resistor("3", "t", "r", values[2]),
        Resistor("4", "r", "0", values[3]),
        Resistor("5", "l", "r", values[4]),
        CurrentLoad("x", "l", "r", amperes),
    ]
    solution = solve(parts)
    taken = sum(
        solution.amperes[part.name] * solution.across(part.a, part.b)
        for part in parts
        if not isinstance(part, VoltageSource)
    )

    assert solution.amperes["s"] * volts == pytest.approx(taken, rel=1e-7, abs=1e-9)


def test_a_floating_node_is_named() -> None:
    """A load without a return has no voltage."""
    with pytest.raises(CircuitError, match="'strike -' floats"):
        solve([VoltageSource("s", "+", "0", 12.0), CurrentLoad("strike", "+", "strike -", 0.3)])


def test_two_batteries_straight_in_parallel_are_refused() -> None:
    """Their current would be undefined; a resistance in one of them decides it."""
    both = [VoltageSource("a", "+", "0", 12.0), VoltageSource("b", "+", "0", 13.0)]
    with pytest.raises(CircuitError, match="'b' closes a ring"):
        solve(both)

    assert solve([both[0], VoltageSource("b", "+", "0", 13.0, 0.5)]).amperes["b"] == pytest.approx(2.0)


def test_a_joint_of_no_resistance_passes_its_current() -> None:
    """0 ohm joins two nodes."""
    solution = solve(
        [
            VoltageSource("s", "+", "0", 12.0),
            Resistor("fuse", "+", "p", 0.0),
            Resistor("load", "p", "0", 24.0),
        ]
    )

    assert solution.volts["p"] == pytest.approx(12.0)
    assert solution.amperes["fuse"] == pytest.approx(0.5)


@pytest.mark.parametrize(
    "parts",
    [
        [Resistor("r", "a", "0", -1.0)],
        [Resistor("r", "a", "0", float("nan"))],
        [Resistor("r", "a", "0", 1.0), Resistor("r", "a", "0", 1.0)],
    ],
)
def test_impossible_elements_are_named(parts: list[Element]) -> None:
    """Negative, not a number, or named twice."""
    with pytest.raises(CircuitError, match="'r'"):
        solve(parts)


def test_a_source_loses_volts_in_its_own_resistance() -> None:
    """12 V behind 0.2 ohm on 5.8 ohm: 2 A and 11.6 V, whichever terminal is grounded."""
    up = solve([VoltageSource("s", "+", "0", 12.0, 0.2), Resistor("load", "+", "0", 5.8)])
    down = solve([VoltageSource("s", "0", "-", 12.0, 0.2), Resistor("load", "0", "-", 5.8)])

    assert (up.volts["+"], up.amperes["s"]) == pytest.approx((11.6, 2.0))
    assert (down.volts["-"], down.amperes["s"]) == pytest.approx((-11.6, 2.0))
