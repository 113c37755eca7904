"""Slips in wiring a loop: readings checked by solving the circuit, and found again from two readings."""

from __future__ import annotations

import math

import pytest

from farpress.core.wiring.elements import Element, Resistor, VoltageSource
from farpress.core.wiring.loops import Scheme, limits_of, terminal_states
from farpress.core.wiring.network import solve
from farpress.core.wiring.wrong_wiring import WrongWiring, causes_of, state_at, wrong_wirings
from farpress.errors import InputError

N, A = 2200.0, 4700.0


def known(scheme: Scheme = "double end-of-line", *, break_contact: bool = True) -> tuple[WrongWiring, ...]:
    """Slips of a loop of 2.2 and 4.7 kohm with windows of 15 %."""
    bands = limits_of(states=terminal_states(scheme=scheme, normal_ohm=N, alarm_ohm=A), window_share=0.15)
    return wrong_wirings(scheme=scheme, bands=bands, normal_ohm=N, alarm_ohm=A, break_contact=break_contact)


def slip(text: str, scheme: Scheme = "double end-of-line") -> WrongWiring:
    """The one whose cause contains a text."""
    hits = [one for one in known(scheme, break_contact=scheme != "two-resistor") if text in one.cause]
    assert len(hits) == 1, hits
    return hits[0]


def measured(*resistors: tuple[str, str, float]) -> float:
    """What a meter of 1 V shows between "a" and "0"."""
    parts: list[Element] = [
        VoltageSource("meter", "a", "0", 1.0),
        *(Resistor(str(number), *one) for number, one in enumerate(resistors)),
    ]
    return 1 / solve(parts).amperes["meter"]


def test_changed_over_resistors_read_as_the_circuit_does() -> None:
    """4.7 kohm at the end, 2.2 kohm across the contact: closed and open."""
    one = slip("changed over")

    assert one.rest_ohm == pytest.approx(measured(("a", "b", A), ("b", "0", N), ("b", "0", 1e-6)), rel=1e-6)
    assert one.worked_ohm == pytest.approx(measured(("a", "b", A), ("b", "0", N)))


def test_both_across_the_contact_read_as_the_circuit_does() -> None:
    """Side by side while the contact is open, nothing while it is closed."""
    one = slip("both resistors lie across the contact")

    assert one.worked_ohm == pytest.approx(measured(("a", "0", A), ("a", "0", N)))
    assert one.rest_ohm == 0.0


def test_a_two_resistor_loop_reads_as_the_circuit_does() -> None:
    """Wired right and changed over, worked."""
    right = known("two-resistor", break_contact=False)[0]

    assert right.rest_ohm == N
    assert right.worked_ohm == pytest.approx(measured(("a", "0", N), ("a", "b", A), ("b", "0", 1e-9)))
    assert slip("changed over", "two-resistor").rest_ohm == A


def test_the_right_wiring_comes_first_and_is_told_as_right() -> None:
    """Normal at rest, alarm while worked."""
    first = known()[0]

    assert (first.cause, first.rest_state, first.worked_state, first.symptom) == (
        "wired right",
        "normal",
        "alarm",
        "as it should be",
    )


def test_the_other_contact_turns_rest_and_alarm_round() -> None:
    """The commonest slip."""
    one = slip("make contact used instead")

    assert (one.rest_state, one.worked_state) == ("alarm", "normal")


@pytest.mark.parametrize(
    "scheme", ["closed", "open", "single end-of-line", "double end-of-line", "two-resistor", "masked"]
)
@pytest.mark.parametrize("break_contact", [True, False])
def test_every_scheme_has_its_slips_and_each_is_found_from_its_own_readings(
    scheme: Scheme, break_contact: bool
) -> None:
    """Two readings lead back to every slip."""
    found = wrong_wirings(scheme=scheme, bands=(), normal_ohm=N, alarm_ohm=A, break_contact=break_contact)

    assert len(found) >= 4
    for one in found:
        assert one in causes_of(rest_ohm=one.rest_ohm, worked_ohm=one.worked_ohm, known=found)


def test_two_readings_point_to_the_missing_alarm_resistor() -> None:
    """2.21 kohm at rest, an open line while worked."""
    causes = causes_of(rest_ohm=2210.0, worked_ohm=math.inf, known=known())

    assert [one.cause for one in causes] == ["the alarm resistor is missing"]


def test_a_resistance_outside_every_band_is_a_tamper() -> None:
    """Between and beyond them."""
    bands = limits_of(
        states=terminal_states(scheme="double end-of-line", normal_ohm=N, alarm_ohm=A), window_share=0.15
    )

    assert [state_at(ohm, bands) for ohm in (0.0, 2200.0, 4000.0, 6900.0, math.inf)] == [
        "tamper",
        "normal",
        "tamper",
        "alarm",
        "tamper",
    ]


def test_an_unknown_scheme_is_refused_with_the_known_ones() -> None:
    """All at once."""
    with pytest.raises(
        InputError, match="closed, double end-of-line, masked, open, single end-of-line, two-resistor"
    ):
        wrong_wirings(scheme="triple", bands=(), break_contact=True)  # type: ignore[arg-type]
