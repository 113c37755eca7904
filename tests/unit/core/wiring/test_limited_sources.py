"""Sources that give no more than their electronics let through, and diodes of fewer volts, by hand."""

from __future__ import annotations

import pytest

from farpress.core.wiring.elements import CurrentLoad, Element, Resistor, VoltageSource, diode_that_leaves
from farpress.core.wiring.network import solve
from farpress.errors import CircuitError, InputError


def bench(load_ohm: float, **limit: float) -> list[Element]:
    """13.8 V over half an ohm of cable on a load."""
    return [
        VoltageSource("supply", "p", "0", 13.8, **limit),
        Resistor("cable", "p", "q", 0.5),
        Resistor("load", "q", "0", load_ohm),
    ]


def test_below_its_limit_a_source_keeps_its_volts() -> None:
    """13.8 V over 8.5 ohm are 1.62 A, less than 2 A."""
    found = solve(bench(8.0, limit_a=2.0))

    assert found.volts["p"] == 13.8
    assert found.amperes["supply"] == pytest.approx(13.8 / 8.5)


def test_at_its_limit_a_source_gives_one_current() -> None:
    """2 A through 4.5 ohm are 9 V at its terminals, 8 V at the load."""
    found = solve(bench(4.0, limit_a=2.0))

    assert found.volts["p"] == pytest.approx(9.0)
    assert found.volts["q"] == pytest.approx(8.0)
    assert found.amperes["supply"] == pytest.approx(2.0)


def test_a_source_that_folds_back_gives_less_the_fewer_volts_are_left() -> None:
    """I = 0.5 + 1.5 V/13.8 and V = 4.5 I: V = 2.25 / (1 - 4.5 * 1.5/13.8) = 4.404 V; into a short 0.5 A."""
    found = solve(bench(4.0, limit_a=2.0, fold_a=0.5))
    volts = 2.25 / (1 - 4.5 * 1.5 / 13.8)

    assert found.volts["p"] == pytest.approx(volts)
    assert found.amperes["supply"] == pytest.approx(volts / 4.5)
    assert solve(bench(0.0, limit_a=2.0, fold_a=0.5)).amperes["cable"] == pytest.approx(
        0.5 / (1 - 0.5 * 1.5 / 13.8)
    )


def test_of_two_sources_the_one_at_its_limit_leaves_the_rest_to_the_other() -> None:
    """14 V hold 1 A, 12 V give the rest of 3 A over their ohm; the bus stands at 10 V."""
    found = solve(
        [
            VoltageSource("first", "p", "0", 14.0, limit_a=1.0),
            VoltageSource("second", "p", "0", 12.0, 1.0),
            CurrentLoad("load", "p", "0", 3.0),
        ]
    )

    assert found.amperes["first"] == pytest.approx(1.0)
    assert found.amperes["second"] == pytest.approx(2.0)
    assert found.volts["p"] == pytest.approx(10.0)


@pytest.mark.parametrize(
    ("limit", "says"),
    [({"limit_a": 1.0, "fold_a": 1.5}, "not above the first"), ({"limit_a": -1.0}, "0 A or more")],
)
def test_a_limit_that_cannot_be_is_refused(limit: dict[str, float], says: str) -> None:
    """A source folds back to less, and limits at more than nothing."""
    with pytest.raises(CircuitError, match=says):
        solve(bench(4.0, **limit))


def test_a_diode_leaves_the_volts_it_was_made_for() -> None:
    """0.45 V at 1 A, as its sheet says."""
    found = solve(
        [
            VoltageSource("supply", "p", "0", 5.0),
            diode_that_leaves("diode", "p", "q", 0.45),
            CurrentLoad("load", "q", "0", 1.0),
        ]
    )

    assert found.across("p", "q") == pytest.approx(0.45, abs=1e-6)


def test_no_diode_leaves_five_volts() -> None:
    """What is out of all reason is asked about, not computed with."""
    with pytest.raises(InputError, match=r"at least 0\.1 and at most 2 V"):
        diode_that_leaves("diode", "p", "q", 5.0)
