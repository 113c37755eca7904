"""Values of known kinds come back from plain JSON as they were; others are refused both ways."""

from __future__ import annotations

import json
from dataclasses import dataclass, field
from enum import StrEnum
from typing import NamedTuple

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from farpress.kept.plain import Plain


class Sort(StrEnum):
    LEFT = "left"
    RIGHT = "right"


class Pair(NamedTuple):
    first: object
    second: object


@dataclass(frozen=True)
class Box:
    sort: Sort
    content: object = ()


PLAIN = Plain(Sort, Pair, Box)

_SINGLE = st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False) | st.text()
_VALUES = st.recursive(
    _SINGLE | st.sampled_from(Sort),
    lambda inner: (
        st.lists(inner)
        | st.lists(inner).map(tuple)
        | st.dictionaries(st.text(), inner)
        | st.builds(Pair, inner, inner)
        | st.builds(Box, st.sampled_from(Sort), inner)
    ),
    max_leaves=12,
)


@given(_VALUES)
def test_values_come_back(value: object) -> None:
    """Through JSON text, with their kinds and every digit."""
    back = PLAIN.read(json.loads(json.dumps(PLAIN.write(value))))

    assert back == value
    assert repr(back) == repr(value)


def test_a_float_of_numpy_is_a_float() -> None:
    """The same number, of the plain kind."""
    assert type(PLAIN.read(PLAIN.write(np.float64(0.1)))) is float


@pytest.mark.parametrize("value", [object(), np.int64(1), np.zeros(2), {1, 2}, (object(),), 1j])
def test_other_kinds_are_not_written(value: object) -> None:
    """Nothing is kept that would not come back."""
    with pytest.raises(TypeError):
        PLAIN.write(value)


@pytest.mark.parametrize("data", [["object"], ["Path", "/"], [], ["Sort", "up"], ["Pair", 1], ["{}", 1], [1]])
def test_other_kinds_are_not_made(data: object) -> None:
    """Whatever stands in a file: only the kinds that are known."""
    with pytest.raises((ValueError, KeyError, TypeError)):
        PLAIN.read(data)


def test_a_class_that_cannot_be_made_from_its_fields_is_refused() -> None:
    """A field that a class fills in itself would come back otherwise."""

    @dataclass
    class Counting:
        count: int = field(init=False, default=0)

    for kind in (Counting, object):
        with pytest.raises(TypeError):
            Plain(kind)
