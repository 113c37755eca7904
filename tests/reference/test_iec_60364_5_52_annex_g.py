"""IEC 60364-5-52:2009, Annex G (informative): voltage drop in consumers' installations.

Formula and rho1 = 0.0225 ohm mm2/m for copper read on 2026-11-25 in a page image of p. 74 and
in a second page that reprints it. The standard prints no worked example: the expected values
are its formula in exact fractions, written out here a second time. The reactance of
0.08 milliohm per metre is from memory.
"""

from __future__ import annotations

from fractions import Fraction

import pytest

from farpress.core.wiring.drop import COPPER_SERVICE_OHM_MM2_PER_M, ac_drop_v
from helpers.printed import Printed


def test_copper_in_service_has_the_printed_resistivity() -> None:
    """1.25 times that at 20 degC."""
    assert Printed("0.0225").agrees_with(COPPER_SERVICE_OHM_MM2_PER_M)


@pytest.mark.parametrize(
    ("amperes", "metres", "mm2", "cosine", "sine"),
    [
        pytest.param("3", "40", "1.5", "1", "0", id="3-A-over-40-m-of-1.5-mm2"),
        pytest.param("10", "25", "2.5", "0.8", "0.6", id="10-A-over-25-m-of-2.5-mm2-at-0.8"),
    ],
)
def test_single_phase_drop_is_that_of_the_formula(
    amperes: str, metres: str, mm2: str, cosine: str, sine: str
) -> None:
    """The formula: u = 2 (rho1 L/S cos phi + lambda L sin phi) I."""
    current, length, area = Fraction(amperes), Fraction(metres), Fraction(mm2)
    exact = (
        2
        * (
            Fraction("0.0225") * length / area * Fraction(cosine)
            + Fraction("0.00008") * length * Fraction(sine)
        )
        * current
    )

    ours = ac_drop_v(
        current_a=float(current),
        length_m=float(length),
        area_mm2=float(area),
        power_factor=float(cosine),
        reactance_ohm_per_m=0.08e-3,
    )

    assert ours == pytest.approx(float(exact), rel=1e-12)


def test_three_phases_lose_half_as_much() -> None:
    """The factor b is 1 instead of 2."""
    one = ac_drop_v(current_a=3.0, length_m=40.0, area_mm2=1.5, power_factor=0.9, reactance_ohm_per_m=0.08e-3)
    three = ac_drop_v(
        current_a=3.0,
        length_m=40.0,
        area_mm2=1.5,
        power_factor=0.9,
        reactance_ohm_per_m=0.08e-3,
        three_phase=True,
    )

    assert three == pytest.approx(one / 2)
