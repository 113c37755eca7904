"""A small job with cables drawn core by core: two supplies, one with two branches, two receivers, a lock, a
gate, a lamp on mains, a panel, a junction.
"""

from __future__ import annotations

from copy import deepcopy
from typing import Any, Final

from farpress.case.case import Case
from helpers.wired_case import wired_case

__all__ = ["CABLES", "drawn_case"]

CABLES: Final[dict[str, dict[str, Any]]] = {
    "eight": {
        "area_mm2": 0.22,
        "resistance_ohm_per_km": 96.0,
        "cores": 8,
        "rated_a": 1.0,
        "mains_rated": False,
    },
    "three": {
        "area_mm2": 0.75,
        "resistance_ohm_per_km": 26.0,
        "cores": 3,
        "rated_a": 6.0,
        "mains_rated": True,
    },
    "seven": {
        "area_mm2": 0.75,
        "resistance_ohm_per_km": 26.0,
        "cores": 7,
        "rated_a": 6.0,
        "mains_rated": True,
    },
    "unread": {"area_mm2": 0.75, "resistance_ohm_per_km": 26.0},
}

_HOUSE: Final[dict[str, Any]] = {
    "supplies": {
        "main": {"supply": "dc", "voltage_v": 12.0, "branches": {"1": {"fuse_a": 1.0}, "2": {"fuse_a": 0.5}}},
        "second": {"supply": "dc", "voltage_v": 12.0},
    },
    "receivers": {
        name: {"at": [0, 0], "supply": "dc", "relays": 2, "contact_form": "changeover"}
        for name in ("R1", "R2")
    },
    "devices": {
        "lock": {
            "device": "strike",
            "supply": "dc",
            "current_a": 0.4,
            "inputs": {"release": {"logic": "release"}},
        },
        "lamp": {"device": "lamp", "supply": "mains", "current_a": 0.3, "inputs": {"on": {"logic": "on"}}},
        "gate": {"device": "sliding gate", "supply": "potential-free", "inputs": {"open": {}, "stop": {}}},
    },
    "panels": {
        "alarm": {"inputs": {"zone": {"reads": "zone"}}, "outputs": {"set": {"form": "open collector"}}}
    },
    "junctions": {"J4": {}},
}


def drawn_case(cores: dict[str, Any] | None = None, *, part: str = "eight", **rooms: Any) -> Case:
    """The job with one cable W7 of 41 m.

    Args:
        cores: of W7, each with its terminals; None for no cable.
        part: what cable it is.
        rooms: tables of the premises that are there besides, or in another form.
    """
    house = deepcopy(_HOUSE)
    for room, more in rooms.items():
        if isinstance(more, dict):
            house[room] = {**house.get(room, {}), **more}
        else:
            house[room] = more
    if cores is not None:
        house.setdefault("cables", {})["W7"] = {"part": part, "length_m": 41.0, "cores": cores}
    return wired_case(house, cables=CABLES)
