"""Rec. ITU-R P.2109-1, building entry loss: values of the Study Group 3 workbook "Clutter and BEL".

Read on 2026-11-25 in the validation script of an open implementation of the Recommendation
(github.com/eeveetza/p2109, matlab/validate_p2109.m, commit 99fb8c4), which lists the workbook's
figures for 28 GHz at 0 degrees and 2 GHz at 45 degrees. The formula and Table 1 are the same in
P.2109-2. The workbook lists nothing at 433 MHz: the values there are frozen, not referenced.
"""

from __future__ import annotations

from typing import Literal

import pytest

from farpress.core.reach.entry import entry_loss_db
from helpers.printed import Printed


@pytest.mark.parametrize(
    ("building", "frequency_hz", "elevation_deg", "share", "loss"),
    [
        ("traditional", 28e9, 0.0, 0.01, Printed("2.769")),
        ("traditional", 28e9, 0.0, 0.10, Printed("6.891")),
        ("traditional", 28e9, 0.0, 0.1995262, Printed("10.644")),
        ("traditional", 28e9, 0.0, 0.9549926, Printed("41.218")),
        ("thermally efficient", 28e9, 0.0, 0.10, Printed("19.484")),
        ("thermally efficient", 28e9, 0.0, 0.9549926, Printed("73.818")),
        ("traditional", 2e9, 45.0, 0.10, Printed("11.251")),
        ("traditional", 2e9, 45.0, 0.9549926, Printed("40.694")),
        ("thermally efficient", 2e9, 45.0, 0.01, Printed("8.605")),
        ("thermally efficient", 2e9, 45.0, 0.9549926, Printed("62.459")),
    ],
)
def test_the_loss_is_that_of_the_workbook(
    building: Literal["traditional", "thermally efficient"],
    frequency_hz: float,
    elevation_deg: float,
    share: float,
    loss: Printed,
) -> None:
    """Both kinds of building, level and steep, in lucky and unlucky places."""
    assert loss.agrees_with(
        entry_loss_db(frequency_hz=frequency_hz, share=share, building=building, elevation_deg=elevation_deg)
    )
