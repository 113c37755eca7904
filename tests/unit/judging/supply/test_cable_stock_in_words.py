"""What a question about the cores of a cable names."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

from farpress.judging.supply import cable_stock


def test_eight_conductors_are_named_and_the_rest_counted() -> None:
    """Of eleven: three more."""
    conductors = [SimpleNamespace(near=(f"core {number}",), far=("lamp.+",)) for number in range(1, 12)]
    body: Any = SimpleNamespace(conductors=conductors)

    assert cable_stock._wanted_for(body).endswith("core 8 to lamp.+ and 3 more")
