"""Values that go together: who states one anew withdraws the others.

A strike "like the catalogue's, but 24 V" does not draw the 12 V strike's current. The
values that hang on the one stated anew become unknown, unless they are stated too, so
that they are asked for and never silently wrong.
"""

from __future__ import annotations

from typing import Any, Final

from farpress.catalogue.flat import EMPTY, Flat, Path

__all__ = ["DEPENDENTS", "laid_over"]

DEPENDENTS: Final[dict[str, dict[str, tuple[str, ...]]]] = {
    "receiver": {"aerial": ("gain_dbi",), "contact_rated_a": ("contact_make_a",)},
    "fob": {"cell": ("low_cell_v",), "code": ("counter", "telegram_s", "repeat_s")},
    "cell": {"voltage_v": ("end_v",)},
    "supply": {
        "voltage_v": ("voltage_min_v", "voltage_max_v", "rated_a", "rated_va", "source_ohm"),
        "rated_a": ("rated_va", "fuse_a", "source_ohm"),
        "rated_va": ("rated_a", "fuse_a", "source_ohm"),
    },
    "battery": {
        "voltage_v": ("end_v", "inner_ohm"),
        "capacity_ah": ("inner_ohm",),
        "coldest_degc": ("usable_share",),  # cold is in the share that a part gives
    },
    "cable": {
        "area_mm2": ("diameter_m", "resistance_ohm_per_km", "rated_a", "capacitance_f"),
        "diameter_m": ("area_mm2", "resistance_ohm_per_km", "rated_a", "capacitance_f"),
        "material": ("resistance_ohm_per_km", "rated_a"),
    },
    "relay": {
        "coil_v": ("coil_min_v", "coil_a", "coil_inrush_a"),
        "coil_supply": ("coil_a", "coil_inrush_a"),
        "contact_rated_a": ("contact_make_a",),
    },
    "device": {
        "device": ("load", "inputs", "fails"),
        "supply": ("current_a", "peak_a", "peak_s", "load"),
        "voltage_v": ("voltage_min_v", "voltage_max_v", "current_a", "power_w", "peak_a", "peak_s", "coil_h"),
        "current_a": ("power_w", "peak_a", "peak_s", "coil_h"),
        "power_w": ("current_a", "peak_a", "peak_s", "coil_h"),
        "load": ("peak_a", "peak_s", "coil_h"),
    },
}
"""Kind of part → field → fields that hang on it. Our choice; physics of each part."""

LOOP_DEPENDENTS: Final = ("normal_ohm", "alarm_ohm", "mask_ohm")
"""Resistors of a supervised loop hang on its scheme."""

SAME_VOLTAGE_SHARE: Final = 0.2
"""A nominal voltage within a fifth is the same one: 12 V and 13.6 V. Our choice."""


def laid_over(kind: str, below: Flat, above: Flat) -> Flat:
    """The values of one sheet laid over those of another.

    Args:
        kind: kind of part, as "device".
        below: the values that give way.
        above: the values that win, and that withdraw what hangs on them.
    """
    withdrawn: set[Path] = set()
    for path, (value, _) in above.items():
        if path in below and _is_same(path[-1], below[path][0], value):
            continue
        if len(path) == 1:
            withdrawn |= {(name,) for name in DEPENDENTS.get(kind, {}).get(path[0], ())}
        elif path[-1] == "scheme":
            withdrawn |= {(*path[:-1], name) for name in LOOP_DEPENDENTS}
    kept = {
        path: found for path, found in below.items() if path not in withdrawn and path[:1] not in withdrawn
    }
    return kept | above


def _is_same(name: str, old: Any, new: Any) -> bool:
    if old is EMPTY or new is EMPTY:
        return True
    if name in ("voltage_v", "coil_v"):
        return bool(abs(new - old) <= SAME_VOLTAGE_SHARE * max(abs(old), abs(new)))
    return bool(old == new)
