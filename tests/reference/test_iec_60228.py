"""IEC 60228:2004, Tables 1 to 3: greatest resistance of a conductor at 20 °C, plain copper.

Read on 2026-11-25 in reprints by cable suppliers, not in the standard itself: Tables 1
and 2 in one reprint, class 5 in two more, which agree. The sizes below 0.5 mm2 are not
in IEC 60228; they stand in a supplier's page on DIN VDE 0295 / IEC 60228 thin sizes.
"""

from __future__ import annotations

import pytest

from farpress.catalogue.store import load_catalogue
from farpress.sources import Mark
from helpers.printed import Printed

SOLID = [
    ("0.5", Printed("36.0")),
    ("0.75", Printed("24.5")),
    ("1.0", Printed("18.1")),
    ("1.5", Printed("12.1")),
    ("2.5", Printed("7.41")),
    ("4", Printed("4.61")),
    ("6", Printed("3.08")),
]
"""Classes 1 and 2, plain."""

FLEXIBLE = [
    ("0.5", Printed("39.0")),
    ("0.75", Printed("26.0")),
    ("1.0", Printed("19.5")),
    ("1.5", Printed("13.3")),
    ("2.5", Printed("7.98")),
]
"""Class 5, plain."""

THIN = [("0.14", Printed("134")), ("0.25", Printed("76")), ("0.34", Printed("53"))]
"""Below the standard's sizes, plain."""

CABLES = load_catalogue().parts["cable"]


@pytest.mark.parametrize(
    ("name", "printed"),
    [
        *((f"solid-2x{size}", printed) for size, printed in SOLID),
        *((f"flex-2x{size}", printed) for size, printed in FLEXIBLE + THIN),
        ("alarm-6x0.22", Printed("96")),
    ],
)
def test_a_cable_has_the_resistance_of_the_table(name: str, printed: Printed) -> None:
    """The shipped value is the printed one, and says that it was read in a copy."""
    cable = CABLES[name]

    assert printed.agrees_with(cable.sheet.resistance_ohm_per_km)
    assert cable.origins["resistance_ohm_per_km"].mark is Mark.COPY
    assert "60228" in cable.origins["resistance_ohm_per_km"].document


def test_more_cores_do_not_change_the_resistance_of_one() -> None:
    """Every cable of a family has the same resistance, size for size."""
    for name, cable in CABLES.items():
        family, _, size = name.partition("-")
        if family in ("solid", "flex"):
            first = CABLES[f"{family}-2x{size.split('x')[1]}"]
            assert cable.sheet.resistance_ohm_per_km == first.sheet.resistance_ohm_per_km
            assert cable.sheet.cores == int(size.split("x")[0])
            assert cable.sheet.area_mm2 == float(size.split("x")[1])


COPPER_OHM_MM2_PER_KM = 1000.0 / 58.0
"""Annealed copper at 20 °C, IEC 60028, 1/58 ohm mm2/m (from memory)."""


@pytest.mark.parametrize(
    "name",
    [name for name, cable in CABLES.items() if cable.sheet.material == "copper" and cable.sheet.area_mm2],
)
def test_no_maximum_lies_below_what_the_copper_itself_has(name: str) -> None:
    """A law beside the table: a slip of a digit would show.

    Geometric copper is the least there can be. The tables lie 4 to 16 % above it, the
    design value of the 0.22 mm2 alarm core 22 %.
    """
    sheet = CABLES[name].sheet

    ratio = sheet.resistance_ohm_per_km * sheet.area_mm2 / COPPER_OHM_MM2_PER_KM
    assert 0.998 <= ratio <= 1.23
