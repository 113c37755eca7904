"""What is called cheapest or fewest is not beaten at that by another variant that keeps as much."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any, cast

import pytest

from farpress.design.choosing import Variant
from farpress.design.design import first_at_its_name
from farpress.design.result import Design, DesignFigures


def drawn(variant: Variant, *, boxes: int, minutes: int, kept: int = 5, fails: int = 0) -> Design:
    """A variant of which only its figures matter."""
    figures = DesignFigures(boxes, 1, 0, 10.0, minutes, 5, kept, None, fails, 0, 0)
    return Design(variant, (), (), cast("Any", SimpleNamespace()), cast("Any", None), figures, ())


@pytest.mark.parametrize(
    ("given", "boxes"),
    [
        ({"boxes": 3, "minutes": 900}, 3),
        ({"boxes": 4, "minutes": 100}, 4),
        ({"boxes": 3, "minutes": 100, "kept": 4}, 4),
        ({"boxes": 3, "minutes": 100, "fails": 1}, 4),
    ],
)
def test_the_fewest_boxes_are_the_fewest(given: dict[str, int], boxes: int) -> None:
    """Four boxes, and another variant with three that keeps as much, or not."""
    own = drawn(Variant.FEWEST, boxes=4, minutes=500)
    shown = first_at_its_name(own, [own, drawn(Variant.SUREST, **given)])

    assert (shown.variant, shown.figures.boxes) == (Variant.FEWEST, boxes)


def test_the_cheapest_costs_least_and_the_surest_stays() -> None:
    """Minutes are what cheapest means; the surest was chosen by what no figure alone tells."""
    cheap, sure = drawn(Variant.CHEAPEST, boxes=2, minutes=500), drawn(Variant.SUREST, boxes=2, minutes=400)

    assert first_at_its_name(cheap, [cheap, sure]).figures.minutes == 400
    assert first_at_its_name(sure, [cheap, sure]) is sure
