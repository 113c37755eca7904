"""Every receiver in one map: the one that hears worst counts, and a promise needs all that it works."""

from __future__ import annotations

import numpy as np
import pytest

from farpress.case.case import Case
from farpress.case.door import open_job
from farpress.errors import InputError
from farpress.reach.ask import MapRequest, reach_map
from farpress.reach.together import groups_that_work, reach_together
from helpers.project import EXAMPLES

AREA = (-30.0, -30.0, 40.0, 30.0)
CELLS = (4, 3)


@pytest.fixture(scope="module")
def house() -> Case:
    """The family house."""
    return open_job(EXAMPLES / "larkfen-house")


def _request(**more: object) -> MapRequest:
    return MapRequest(area=AREA, compile_it=False, **more)  # type: ignore[arg-type]


def test_the_receiver_that_hears_worst_counts(house: Case) -> None:
    """Cell by cell the least of the single maps."""
    made = reach_together(
        house, "larkfen", level=None, cells=CELLS, request=_request(group="parents", presses=2)
    )
    single = [
        reach_map(
            house, "larkfen", box, level=None, cells=CELLS, request=_request(group="parents", presses=2)
        )
        for box in made.receivers
    ]

    assert len(made.receivers) > 1
    assert made.chance == pytest.approx(np.minimum.reduce([drawn.chance for drawn in single]))
    assert made.margin_db == pytest.approx(np.minimum.reduce([drawn.margin_db for drawn in single]))
    assert made.chance != pytest.approx(single[0].chance)


def test_the_share_of_promises_is_counted_with_each_ones_presses_and_receivers(house: Case) -> None:
    """Counted again by hand from maps of single receivers."""
    made = reach_together(house, "larkfen", level=None, cells=CELLS, request=_request(group="parents"))
    kept = np.zeros(made.chance.shape)
    promises = [promise for promise in house.job.promises if promise.to == "parents"]
    for promise in promises:
        boxes = {
            output.receiver for output in house.outputs_of(promise.function) if output.premises == "larkfen"
        }
        heard = [
            reach_map(
                house,
                "larkfen",
                box,
                level=None,
                cells=CELLS,
                request=_request(group="parents", presses=int(promise.within_presses)),
            ).chance
            for box in sorted(boxes)
        ]
        kept += np.minimum.reduce(heard) >= promise.at_least_share

    assert made.kept is not None
    assert made.promises == len(promises)
    assert made.kept * len(promises) == pytest.approx(kept)
    assert 0 < made.kept.mean() < 1, "near and far are told apart"


def test_a_fob_in_a_pocket_is_heard_no_better(house: Case) -> None:
    """The grip counts."""
    asked = {"level": None, "cells": CELLS}
    hand = reach_together(house, "larkfen", **asked, request=_request(group="parents"))  # type: ignore[arg-type]
    pocket = reach_together(
        house,
        "larkfen",
        **asked,  # type: ignore[arg-type]
        request=_request(group="parents", held="in pocket"),
    )

    assert (pocket.margin_db < hand.margin_db).all()


def test_who_works_nothing_here_is_told(house: Case) -> None:
    """Another group has to be chosen."""
    with pytest.raises(InputError, match="works no receiver"):
        reach_together(house, "larkfen", level=None, cells=CELLS, request=_request(group="nobody"))
    works = groups_that_work(house, "larkfen")
    assert set(works["parents"]) <= set(house.job.premises["larkfen"].receivers)
    assert groups_that_work(house, "larkfen", "R1").keys() <= works.keys()
