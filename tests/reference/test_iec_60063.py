"""IEC 60063: preferred numbers for resistors and capacitors, through the package `eseries`.

The package (1.2.1) is an independent implementation of the tables; the E12 and E24 values
were also read in a printed copy on 2026-11-25.
"""

from __future__ import annotations

import eseries
import pytest
from hypothesis import given
from hypothesis import strategies as st

from farpress.core.wiring.eseries import nearest_value, value_at_least, value_at_most

KEYS = {"E12": eseries.E12, "E24": eseries.E24}


@pytest.mark.parametrize("series", ["E12", "E24"])
@given(digits=st.integers(min_value=1000, max_value=9999), decade=st.integers(min_value=-4, max_value=4))
def test_neighbours_and_nearest_are_those_of_the_package(series: str, digits: int, decade: int) -> None:
    """Nearest by distance; at an exact half both are right, so distances are compared."""
    value = float(f"{digits}e{decade}")
    theirs = float(eseries.find_nearest(KEYS[series], value))
    assert abs(nearest_value(value, series=series) - value) == pytest.approx(
        abs(theirs - value), rel=1e-6, abs=1e-9 * value
    )  # type: ignore[arg-type]
    assert value_at_least(value, series=series) == pytest.approx(
        float(eseries.find_greater_than_or_equal(KEYS[series], value))
    )  # type: ignore[arg-type]
    assert value_at_most(value, series=series) == pytest.approx(
        float(eseries.find_less_than_or_equal(KEYS[series], value))
    )  # type: ignore[arg-type]
