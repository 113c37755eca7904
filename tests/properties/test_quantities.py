"""Laws of quantities: what is written reads back; what is given with a unit is never misread."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from farpress.errors import InputError
from farpress.quantity_kinds import KINDS
from farpress.units import read_quantity, write_quantity

KIND = st.sampled_from(sorted(KINDS))
SIZE = st.one_of(
    st.floats(1e-9, 1e9), st.floats(-1e9, -1e-9), st.just(0.0), st.integers(-10_000, 10_000).map(float)
)


@given(kind=KIND, value=SIZE)
def test_what_is_written_reads_back_to_four_digits(kind: str, value: float) -> None:
    """`write_quantity` keeps four digits: half a unit of the fourth is 5e-4 of the smallest first digit."""
    again = read_quantity(write_quantity(value, kind), kind)
    assert math.isclose(again, value, rel_tol=5.001e-4, abs_tol=0.0) or value == again == 0


@given(kind=KIND, value=SIZE)
def test_written_quantities_carry_no_exponent_at_usual_sizes(kind: str, value: float) -> None:
    """A person writes 12000 m, not 1.2e+04 m."""
    if 1e-3 <= abs(value) <= 1e6:
        assert "e+" not in write_quantity(value, kind)


@given(kind=KIND, number=st.decimals(-1000, 1000, places=3), data=st.data())
def test_a_number_with_a_unit_is_that_number_of_that_unit(
    kind: str, number: object, data: st.DataObject
) -> None:
    """Every unit of a kind is the number times its factor, with or without a space."""
    unit = data.draw(st.sampled_from(sorted(KINDS[kind].factors)))
    expected = float(number) * float(KINDS[kind].factors[unit])  # type: ignore[arg-type]
    assert math.isclose(read_quantity(f"{number} {unit}", kind), expected, rel_tol=1e-12, abs_tol=1e-15)
    assert read_quantity(f"  {number}{unit} ", kind) == read_quantity(f"{number} {unit}", kind)


@given(kind=KIND, number=st.one_of(st.integers(), st.floats(), st.decimals().map(str)))
def test_a_bare_number_is_never_taken(kind: str, number: object) -> None:
    """Without a unit nothing is read, whatever the kind."""
    with pytest.raises(InputError):
        read_quantity(number, kind)


@given(kind=KIND, text=st.text(max_size=80))
def test_any_text_is_read_or_refused_with_a_sentence(kind: str, text: str) -> None:
    """Never another error, never an empty message, never not-a-number."""
    try:
        answer = read_quantity(text, kind)
    except InputError as refused:
        sentence = str(refused)
    else:
        sentence = f"it is the number {answer}" if math.isfinite(answer) else ""
    assert len(sentence) > 10


@given(first=KIND, second=KIND, number=st.integers(1, 99), data=st.data())
def test_a_unit_of_another_kind_is_refused(first: str, second: str, number: int, data: st.DataObject) -> None:
    """Metres are never seconds: a unit that only the other kind has is not taken."""
    unit = data.draw(st.sampled_from(sorted(KINDS[first].factors)))
    if unit not in KINDS[second].factors:
        with pytest.raises(InputError):
            read_quantity(f"{number} {unit}", second)
