"""The network solver: laws, and what it refuses."""

from __future__ import annotations

import math
import random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from farpress.core.wiring import bent, matrix
from farpress.core.wiring.elements import THERMAL_V, ends_of
from farpress.core.wiring.network import (
    CurrentLoad,
    Diode,
    Element,
    PowerLoad,
    Resistor,
    VoltageSource,
    solve,
)
from farpress.errors import CircuitError, NoOperatingPoint
from helpers import random_circuits

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


@pytest.mark.parametrize("watts", [0.5, 2.0, 30.0])
def test_a_converter_behind_one_diode_finds_the_volts_of_the_closed_form(watts: float) -> None:
    """Above the diode v (12 V - v - d) = P R, with the diode's drop d at that current."""
    kind = Diode("d", "s", "q", saturation_a=1e-9, emission=1.5, ohm=0.0)
    solution = solve(
        [
            VoltageSource("s", "s", "0", 12.0),
            kind,
            Resistor("cable", "q", "p", 0.5),
            PowerLoad("w", "p", "0", watts),
        ]
    )
    amperes = solution.amperes["w"]
    drop = 1.5 * THERMAL_V * math.log(amperes / 1e-9 + 1)
    reach = 12.0 - drop

    assert solution.volts["p"] == pytest.approx((reach + math.sqrt(reach**2 - 4 * watts * 0.5)) / 2, abs=1e-6)


@pytest.mark.parametrize(
    ("volts", "a", "b", "told"),
    [(12.0, "q", "s", "keeps from it"), (-12.0, "s", "q", "right sign|keeps from it")],
)
def test_a_diode_the_wrong_way_round_is_named_as_the_reason(volts: float, a: str, b: str, told: str) -> None:
    """The converter behind it gets nothing."""
    with pytest.raises(NoOperatingPoint, match=told):
        solve([VoltageSource("v", "s", "0", volts), Diode("d", a, b), PowerLoad("w", "q", "0", 2.0)])


@pytest.mark.parametrize("loads", [55, 60, 65])
def test_dense_and_sparse_solvers_agree_where_one_takes_over(
    loads: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """About 120 unknowns."""
    circuit = random_circuits.feeder(loads)
    volts = {}
    for small in (0, 10**6, matrix.SMALL):
        monkeypatch.setattr(matrix, "SMALL", small)
        volts[small] = solve(circuit).volts

    dense = volts.pop(10**6)
    for other in volts.values():
        assert other == pytest.approx(dense, abs=1e-9)


def test_converters_behind_a_bridge_settle_in_few_steps(monkeypatch: pytest.MonkeyPatch) -> None:
    """Converters behind four diodes find their operating point in a dozen steps, with either polarity."""
    dice = random.Random(3)
    for _ in range(60):
        steps: list[int] = []

        def counted(rows: list[list[float]], steps: list[int] = steps) -> list[float] | None:
            steps.append(len(rows))
            return matrix.eliminated(rows)

        with monkeypatch.context() as patched:
            patched.setattr(bent, "eliminated", counted)
            solve(random_circuits.bridge_feed(dice))
        assert 1 <= len(steps) <= 12


def test_currents_of_diodes_add_up_at_every_node() -> None:
    """What flows into each node flows out of it, to twelve digits of the greatest current, diodes or not."""
    dice = random.Random(5)
    for draw in (random_circuits.diode_feed, random_circuits.diode_or, random_circuits.bridge_feed):
        for _ in range(60):
            parts = draw(dice)
            amperes = solve(parts).amperes
            left: dict[str, float] = {}
            for part in parts:
                a, b = ends_of(part)
                sign = -1.0 if isinstance(part, VoltageSource) else 1.0
                left[a] = left.get(a, 0.0) + sign * amperes[part.name]
                left[b] = left.get(b, 0.0) - sign * amperes[part.name]
            del left["0"]
            assert max(map(abs, left.values())) <= 1e-9 * max(map(abs, amperes.values()))
