"""RC element across a contact by the rule named after C. C. Bates, with worked examples.

Two manuals of instruments print the rule with the same two examples: 110 V and 0.1 A give
0.001 uF and 76 ohm; 110 V and 1 A give 0.1 uF and 8 ohm. Read on 2026-11-25.
"""

from __future__ import annotations

import pytest

from farpress.core.wiring.coils import snubber_bates
from helpers.printed import Printed


@pytest.mark.parametrize(
    ("amperes", "microfarad", "ohm"),
    [
        pytest.param(0.1, Printed("0.001"), Printed("76"), id="0.1-A"),
        pytest.param(1.0, Printed("0.1"), Printed("8"), id="1-A"),
    ],
)
def test_capacitor_and_resistor_are_those_of_the_worked_example(
    amperes: float, microfarad: Printed, ohm: Printed
) -> None:
    """At 110 V."""
    ours = snubber_bates(voltage_v=110.0, current_a=amperes)

    assert microfarad.agrees_with(ours.farad * 1e6)
    assert ohm.agrees_with(ours.ohm)
