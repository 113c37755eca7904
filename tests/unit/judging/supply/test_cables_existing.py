"""Cables that lay there already: measured, or asked about with the ohms to expect.

A chapel: 41 m of old alarm cable between vestry and porch.
"""

from __future__ import annotations

from typing import Any

import pytest

from farpress.domain.finding import Verdict
from farpress.judging.supply import cables_existing
from helpers.drawn_case import CABLES, drawn_case
from helpers.wired_case import wired_case

CORES: dict[str, Any] = {"red": ["main.+", "R1.+"], "black": ["main.0", "R1.0"]}


def chapel(existing: bool | None, cores: dict[str, Any]) -> list[Verdict]:
    """What is said of W7, and the question."""
    cable = {"part": "eight", "length_m": 41.0, "cores": cores, "existing": existing}
    return [one.verdict for one in cables_existing.judge(drawn_case(cables={"W7": cable}))]


@pytest.mark.parametrize(
    ("existing", "found", "verdicts"),
    [(True, None, [Verdict.UNKNOWN]), (True, 3.9, [Verdict.HOLDS]), (False, None, []), (None, None, [])],
)
def test_sup_28_a_cable_that_lay_there_is_measured_or_asked_about(
    existing: bool | None, found: float | None, verdicts: list[Verdict]
) -> None:
    """One core is enough; a new cable is what its reel says."""
    cores = {**CORES, "red": {"ends": CORES["red"], "found_ohm": found}}

    assert chapel(existing, cores) == verdicts


def test_sup_28_says_which_ohms_to_expect() -> None:
    """41 m of 96 ohm/km are 3.94 ohm; copper-clad aluminium has more than one and a half times that."""
    cable = {"part": "eight", "length_m": 41.0, "cores": CORES, "existing": True}
    (found,) = cables_existing.judge(drawn_case(cables={"W7": cable}))

    assert "up to 3.936 ohm if it is copper" in found.asks[0].says


def test_sup_28_a_run_of_the_short_form_may_have_lain_there_too() -> None:
    """Every run in one sheath is the same cable."""
    run = {"part": "eight", "length_m": 20.0, "label": "W2", "existing": True}
    house = {
        "supplies": {"main": {"supply": "dc", "voltage_v": 12.0}},
        "receivers": {"R1": {"at": [0, 0], "fed": {"from": "main", "cable": run}}},
    }

    assert [one.about for one in cables_existing.judge(wired_case(house, cables=CABLES))] == [
        "W2 at larkfen, which lay there"
    ]
