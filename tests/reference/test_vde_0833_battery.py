"""Battery sizing after DIN VDE 0833-2, worked examples in the manual of a fire panel's maker.

0.9 A at rest and 3.5 A for half an hour of alarm. Read on 2026-11-25 in the manual (its maker is
not named here); the standard itself was not at hand.
"""

from __future__ import annotations

import pytest

from farpress.core.wiring.standby import battery_capacity_ah, discharge_factor
from helpers.printed import Printed

CUT = (
    "the manual cuts digits instead of rounding: (0.9 x 12 + 3.5 x 0.5) x 1.1 x 1.25 = 17.256, (0.9 x 72 +"
    " 1.75) = 66.55"
)


@pytest.mark.parametrize(
    ("hours", "ageing", "discharge", "ampere_hours"),
    [
        pytest.param(12.0, 1.25, 1.1, Printed("17.2", off_by=1, why=CUT), id="12-h"),
        pytest.param(24.0, 1.25, 1.0, Printed("29.2"), id="24-h"),
        pytest.param(72.0, 1.0, 1.0, Printed("66.5", off_by=1, why=CUT), id="72-h"),
    ],
)
def test_the_capacity_is_that_of_the_worked_example(
    hours: float, ageing: float, discharge: float, ampere_hours: Printed
) -> None:
    """Rest time, alarm time, wear and fast discharge."""
    ours = battery_capacity_ah(
        rest_a=0.9, rest_s=hours * 3600, alarm_a=3.5, alarm_s=1800.0, ageing=ageing, discharge=discharge
    )

    assert ampere_hours.agrees_with(ours)


def test_only_a_discharge_within_twelve_hours_counts_as_fast() -> None:
    """1.1 up to 12 h, 1.0 beyond."""
    assert Printed("1.1").agrees_with(discharge_factor(discharge_s=12 * 3600.0))
    assert Printed("1.0").agrees_with(discharge_factor(discharge_s=24 * 3600.0))
