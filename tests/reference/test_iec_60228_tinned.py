"""IEC 60228:2004, Table 3 (class 5, plain and tinned), with VDE 0295 for thin sizes: ohm per km at 20 °C.

The largest permitted. Read on 2026-11-25 in reprints of cable suppliers; a cable of which only the area is
known is taken to have no less, and not much more.
"""

from __future__ import annotations

from typing import Final

import pytest

from farpress.case.cores import core_of
from farpress.domain.parts import CableSheet
from helpers.invented_parts import part_of
from helpers.printed import Printed

TABLE: Final = (
    (0.22, Printed("96"), Printed("99")),
    (0.5, Printed("39.0"), Printed("40.1")),
    (0.75, Printed("26.0"), Printed("26.7")),
    (1.0, Printed("19.5"), Printed("20.0")),
    (1.5, Printed("13.3"), Printed("13.7")),
    (2.5, Printed("7.98"), Printed("8.21")),
    (4.0, Printed("4.95"), Printed("5.09")),
)
"""Area in mm2, plain, tinned."""


@pytest.mark.parametrize(("area", "plain", "tinned"), TABLE)
def test_a_cable_of_which_only_the_area_is_known_has_the_largest_resistance_permitted(
    area: float, plain: Printed, tinned: Printed
) -> None:
    """Never less than the table, and at most a twentieth more."""
    for material, printed in (("copper", plain), ("tinned copper", tinned)):
        core = core_of(part_of(CableSheet(area_mm2=area, material=material)))
        assert core is not None
        assert float(printed.text) <= core.cold_ohm_per_km <= 1.05 * float(printed.text)
