"""The next transformer that is sold: each size is the one named just below it, and not just above."""

from __future__ import annotations

from itertools import pairwise

import pytest

from farpress.domain.parts import SupplySheet
from farpress.judging.supply.budget import LOAD_SHARE, _transformer

SIZES = (10, 16, 20, 30, 40, 50, 63, 75, 100, 160, 200, 250, 400)
"""Sizes of small transformers [VA]; common practice, no source."""


@pytest.mark.parametrize(("size", "larger"), [*pairwise(SIZES), (400, None)])
def test_a_size_is_named_up_to_its_own_load_and_the_next_one_beyond(size: int, larger: int | None) -> None:
    """A transformer of 24 V: what it is to give, over the share that it is loaded to."""
    sheet = SupplySheet.model_validate({"voltage": "24 V", "rated_va": "5 VA"})
    full_a = size * LOAD_SHARE / 24.0
    below, beyond = (_transformer(sheet, share * full_a) for share in (0.999, 1.001))
    assert below is not None
    assert beyond is not None

    assert below.does.endswith(f"the next size sold is {size} VA.")
    if larger is None:
        assert "next size" not in beyond.does
    else:
        assert beyond.does.endswith(f"the next size sold is {larger} VA.")
