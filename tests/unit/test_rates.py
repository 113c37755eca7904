"""Rates over several of their unit, as people say them."""

from __future__ import annotations

import pytest

from farpress.errors import InputError
from farpress.units import read_quantity


@pytest.mark.parametrize(
    ("text", "per_day"),
    [
        ("1 per 6 weeks", 1 / 42),
        ("2 every 3 days", 2 / 3),
        ("1 per 0.5 day", 2.0),
        ("3 per 1 week", 3 / 7),
        ("5 per 12 hours", 10.0),
    ],
)
def test_a_rate_over_several_units(text: str, per_day: float) -> None:
    """Six weeks are 42 days."""
    assert read_quantity(text, "rate") == pytest.approx(per_day)


@pytest.mark.parametrize("text", ["1 per 0 weeks", "1 per six weeks", "1 per 6 fortnights"])
def test_no_rate(text: str) -> None:
    """Never nothing, and only units that are known."""
    with pytest.raises(InputError):
        read_quantity(text, "rate")
