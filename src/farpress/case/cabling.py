"""Cables, what hangs on a supply, and whose return core is whose: one door to `cores`, `supply_ends` and
`circuit.returns`.
"""

from __future__ import annotations

from farpress.case.circuit.returns import on_same_cable, return_partner, shares_return
from farpress.case.cores import (
    COLD_DEGC,
    HOT,
    HOT_DEGC,
    Core,
    core_of,
    core_of_run,
    hot_degc_of,
    larger_cables,
    loop_ohm_of,
)
from farpress.case.supply_ends import (
    End,
    coil_end,
    coil_supply,
    device_current_a,
    ends_of,
    exclusion_key,
    feeds_coil,
    mirror_of,
)
from farpress.case.supply_volts import mains_hz

__all__ = [
    "COLD_DEGC",
    "HOT",
    "HOT_DEGC",
    "Core",
    "End",
    "coil_end",
    "coil_supply",
    "core_of",
    "core_of_run",
    "device_current_a",
    "ends_of",
    "exclusion_key",
    "feeds_coil",
    "hot_degc_of",
    "larger_cables",
    "loop_ohm_of",
    "mains_hz",
    "mirror_of",
    "on_same_cable",
    "return_partner",
    "shares_return",
]
