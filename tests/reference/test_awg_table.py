"""A printed table of American wire gauges: resistance of solid copper wire at 20 degC.

Table of a cable-test page, ohm per 100 ft, read on 2026-11-25. Other printed tables of the
trade differ from it by up to 2 % (rounded diameters), so it is a check of the formula of
ASTM B258 (diameter 0.127 x 92^((36-n)/39) mm, from memory), not of any real cable. The table
itself is cut in its last digits: 0.2 % are allowed, which is less than a tenth of the step
from one gauge to the next (26 % for one gauge, 59 % for two).
"""

from __future__ import annotations

import pytest

from farpress.core.wiring.conductors import awg_diameter_mm, core_area_mm2, core_resistance_ohm_per_km

FEET_100_KM = 0.03048
CUT = 0.002


@pytest.mark.parametrize(
    ("gauge", "ohm_per_100_ft"),
    [(18, "0.6385"), (20, "1.0150"), (22, "1.6140"), (24, "2.5670"), (26, "4.0810")],
)
def test_gauges_have_the_printed_resistance(gauge: int, ohm_per_100_ft: str) -> None:
    """Gauge → diameter → area → resistance."""
    area = core_area_mm2(diameter_mm=awg_diameter_mm(gauge))
    ours = core_resistance_ohm_per_km(area_mm2=area) * FEET_100_KM

    assert ours == pytest.approx(float(ohm_per_100_ft), rel=CUT)
