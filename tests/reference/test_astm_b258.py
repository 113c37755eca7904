"""ASTM B258, American wire gauge: diameter 0.127 x 92^((36-n)/39) mm.

The formula is from memory. The resistances were read on 2026-11-25 in a copy: a table on
a cable-test page, ohm per 100 ft of solid annealed copper at 20 °C. Formula and table
check each other here, and both check the shipped cables.
"""

from __future__ import annotations

import math

import pytest

from farpress.catalogue.store import load_catalogue
from farpress.sources import Mark
from helpers.printed import Printed

CABLES = load_catalogue().parts["cable"]
FEET_100_KM = 0.03048

TABLE = [(18, Printed("0.6385")), (20, Printed("1.0150")), (22, Printed("1.6140")), (24, Printed("2.5670"))]
"""Gauge, ohm per 100 ft."""


def formula_area_mm2(gauge: int) -> float:
    """Area of a solid wire of this gauge."""
    return math.pi / 4 * (0.127 * 92 ** ((36 - gauge) / 39)) ** 2


@pytest.mark.parametrize(("gauge", "printed"), TABLE)
def test_a_gauge_has_the_resistance_of_the_table(gauge: int, printed: Printed) -> None:
    """The shipped value, per 100 ft, is the printed one."""
    cable = CABLES[f"awg{gauge}-2"]

    assert printed.agrees_with(cable.sheet.resistance_ohm_per_km * FEET_100_KM)
    assert cable.origins["resistance_ohm_per_km"].mark is Mark.COPY


@pytest.mark.parametrize(("gauge", "printed"), TABLE)
def test_table_and_formula_agree_within_two_in_a_thousand(gauge: int, printed: Printed) -> None:
    """Two sources that do not know each other; copper of 1/58 ohm mm2/m."""
    computed = 1000 / 58 / formula_area_mm2(gauge)

    assert computed * FEET_100_KM == pytest.approx(float(printed.text), rel=0.002)


@pytest.mark.parametrize("gauge", [18, 20, 22, 24])
def test_a_gauge_has_the_area_of_the_formula(gauge: int) -> None:
    """To the four digits shipped."""
    assert CABLES[f"awg{gauge}-4"].sheet.area_mm2 == pytest.approx(formula_area_mm2(gauge), rel=5e-4)
