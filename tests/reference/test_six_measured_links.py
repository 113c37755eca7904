"""Six measured links in an office building at 868 MHz: R. Obiri, K. Van Laerhoven, data set of 2025, CC BY
4.0.

Mean levels of about 0.95 million packets over half a year, 8 m to 40 m, up to two brick and five
wooden walls. Only differences are compared: the absolute level of the set is not known, so one
offset is free. The catalogue's planning value of timber comes from these links and that of brick leans on
them: with these it is a check of copying, no validation. What is held against the set from outside are the
light and heavy walls of COST 231.
"""

from __future__ import annotations

import csv
from pathlib import Path

import numpy as np
import pytest

from farpress.core.reach.free_space import free_space_loss_db
from farpress.core.reach.indoor import multi_wall_loss_db

TABLE = Path(__file__).parent / "data" / "indoor_868_six_links.csv"
BRICK_DB, WOOD_DB = 8.0, 3.0
"""Planning values of "brick 240 mm" and "timber" in the catalogue."""

COST_LIGHT_DB, COST_HEAVY_DB = 3.4, 6.9
"""COST 231 final report, multi-wall model at 1.8 GHz, light and heavy walls (from memory)."""


def links() -> list[dict[str, str]]:
    """The six rows."""
    with TABLE.open(encoding="utf-8") as file:
        return list(csv.DictReader(line for line in file if not line.startswith("#")))


def rms_with_one_offset(losses: list[float]) -> float:
    """Deviation from the measured levels with the offset taken out [dB]."""
    levels = np.array([float(row["mean_rssi_dBm"]) for row in links()])
    apart = levels + np.array(losses)
    return float(np.sqrt(np.mean((apart - apart.mean()) ** 2)))


def walls_db(light_db: float, heavy_db: float) -> list[float]:
    """Free space and counted walls of each link [dB]."""
    return [
        multi_wall_loss_db(
            distance_m=float(row["distance_m"]),
            frequency_hz=867.8e6,
            light_walls=int(row["wood_walls"]),
            heavy_walls=int(row["brick_walls"]),
            floors=0,
            light_db=light_db,
            heavy_db=heavy_db,
        )
        for row in links()
    ]


def test_walls_of_cost_231_give_the_measured_differences_within_three_decibels() -> None:
    """Light and heavy walls of another measurement: 2.2 dB rms over the six links, none of them fitted."""
    assert rms_with_one_offset(walls_db(COST_LIGHT_DB, COST_HEAVY_DB)) < 2.5


def test_planning_values_are_those_of_these_links() -> None:
    """1.7 dB rms with values that were taken from them: no validation, only that they were copied rightly."""
    assert rms_with_one_offset(walls_db(WOOD_DB, BRICK_DB)) < 2.0


def test_without_the_walls_the_differences_are_not_met() -> None:
    """Free space alone misses by far more, so the check can fail."""
    assert (
        rms_with_one_offset(
            [
                float(free_space_loss_db(distance_m=float(row["distance_m"]), frequency_hz=867.8e6))
                for row in links()
            ]
        )
        > 6.0
    )


def test_the_catalogue_still_holds_these_planning_values() -> None:
    """The numbers above are those the judging uses."""
    from farpress.catalogue.store import load_catalogue

    builds = load_catalogue().builds
    assert builds["brick 240 mm"].loss_db == pytest.approx(BRICK_DB)
    assert builds["timber"].loss_db == pytest.approx(WOOD_DB)
