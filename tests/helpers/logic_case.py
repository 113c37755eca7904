"""A small house in memory, for tests of the logic's judgements; every part may be replaced.

Quantities are plain floats in the model's own units, as a program gives them.
"""

from __future__ import annotations

from typing import Any

from farpress.case.case import Case
from farpress.domain.equipment import Equipment
from farpress.domain.job import Details, Function, Group, Job, Register, Rule, Traffic
from farpress.domain.parts import CellSheet, DeviceSheet, FobSheet, PanelSheet, ReceiverSheet, SupplySheet
from farpress.domain.premises import Device, Output, Panel, Place, Premises, Receiver
from helpers.invented_parts import part_of

FOB: dict[str, Any] = {
    "buttons": 4,
    "telegram_s": 0.06,
    "repeat_s": 0.1,
    "cut_off_s": 30.0,
    "current_send_a": 0.012,
    "current_sleep_a": 0.3e-6,
    "code": "rolling",
    "counter": "one per fob",
}
CELL: dict[str, Any] = {"capacity_ah": 0.225, "usable_share": 0.6, "self_discharge_share": 0.01}
RECEIVER: dict[str, Any] = {
    "relays": 4,
    "dropout_s": 0.4,
    "window_single": 16,
    "window_double": 32767,
    "capacity": 1000,
    "capacity_counts": "fobs",
    "deletes_by": "slot or fob",
    "toggle_after_power_return": "off",
}

GATE: dict[str, Any] = {
    "device": "sliding gate",
    "slope": {"climbs_m": 0.0},
    "escape_route": False,
    "own_radio": "none",
    "travel_s": 24.0,
    "speed_m_per_s": 0.18,
    "stops_after_s": 0.1,
    "closes_after_s": 45.0,
    "safeguards": ("beams", "edge"),
    "safeguards_tested": True,
    "inputs": {
        "start": {"logic": "start", "wants": "pulse", "closes_by_second_press": True, "min_pulse_s": 0.2},
        "open": {"logic": "open only", "wants": "pulse", "closes_by_second_press": False},
        "stop": {"logic": "stop", "wants": "pulse"},
        "edge": {"logic": "safety"},
    },
}
GARAGE: dict[str, Any] = {
    "device": "garage door",
    "doorway": {
        "wicket": "none",
        "clear_m": 2.2,
        "tallest_m": 1.7,
        "told_open": "light at the end of travel",
    },
    "escape_route": False,
    "own_radio": "none",
    "travel_s": 16.0,
    "safeguards": ("force limit", "beams"),
    "safeguards_tested": True,
    "inputs": {"start": {"logic": "start", "wants": "pulse", "closes_by_second_press": True}},
}
SHUTTER: dict[str, Any] = {
    "device": "shutter",
    "escape_route": False,
    "travel_s": 20.0,
    "travel_worst_s": 22.0,
    "reversal_pause_s": 0.5,
    "safeguards": ("force limit", "beams"),
    "safeguards_tested": True,
    "inputs": {
        "up": {"logic": "up", "wants": "maintained"},
        "down": {"logic": "down", "wants": "maintained"},
    },
}
LAMP: dict[str, Any] = {"device": "lamp", "inputs": {"on": {"logic": "on", "wants": "maintained"}}}
VALVE: dict[str, Any] = {
    "device": "valve",
    "longest_run_s": 1800.0,
    "inputs": {"on": {"logic": "on", "wants": "maintained"}},
}
STRIKE: dict[str, Any] = {
    "device": "strike",
    "fails": "locked",
    "escape_route": False,
    "inputs": {"release": {"logic": "release", "wants": "maintained"}},
}
SIREN: dict[str, Any] = {"device": "sounder", "inputs": {"on": {"logic": "on"}}}
PANEL: dict[str, Any] = {
    "keypad": True,
    "inputs": {
        "set": {"reads": "set pulse"},
        "unset": {"reads": "unset pulse"},
        "flip": {"reads": "toggling pulse"},
        "level": {"reads": "level"},
        "zone": {"reads": "zone"},
    },
}

DEVICES: dict[str, dict[str, Any]] = {
    "gate": GATE,
    "garage": GARAGE,
    "shutter": SHUTTER,
    "lamp": LAMP,
    "valve": VALVE,
    "strike": {**STRIKE, "opens_by_hand": True},
    "siren": SIREN,
}


def a_case(
    outputs: dict[str, dict[str, Any]],
    *,
    kinds: dict[str, str] | None = None,
    groups: dict[str, dict[str, Any]] | None = None,
    devices: dict[str, dict[str, Any]] | None = None,
    panel: dict[str, Any] | None = None,
    receiver: dict[str, Any] | None = None,
    box: dict[str, Any] | None = None,
    fob: dict[str, Any] | None = None,
    functions: dict[str, dict[str, Any]] | None = None,
    rules: tuple[dict[str, Any], ...] = (),
    traffic: tuple[dict[str, Any], ...] = (),
    promises: tuple[dict[str, Any], ...] = (),
    sees: tuple[str, ...] = (),
    premises: tuple[str, ...] = ("house",),
    register: dict[str, Any] | None = None,
    details: dict[str, str] | None = None,
    house: dict[str, Any] | None = None,
    mounted_panel: dict[str, Any] | None = None,
) -> Case:
    """A case with receiver R1 at each premises, its outputs, and one function for each output.

    Args:
        outputs: number → output, at every premises; the function that presses it is "f" and the number.
        kinds: number → kind of that function; "other" where none is given.
        groups: groups; if absent one pair of people who have all functions.
        devices: sheets that replace or add to `DEVICES`, with what holds of a device as mounted.
        panel, receiver, fob: values that replace those of the sheets.
        box: further values of the receiver as mounted.
        functions: functions instead of one for each output.
        rules, traffic, promises, sees: as in a job; `sees` is what place "here" sees.
        premises: names of the premises.
        register, details: as in a job.
        house: further values of the premises.
        mounted_panel: the panel as mounted.
    """
    kinds = kinds or {}
    sheets = {**DEVICES, **(devices or {})}
    as_mounted = ("waits_for", "waits_by", "only_with", "only_with_by", "runs_in_a_row", "at")
    mounted = {
        name: {key: sheet[key] for key in as_mounted if key in sheet} for name, sheet in sheets.items()
    }
    made = {
        name: DeviceSheet(**{key: sheet[key] for key in sheet if key not in mounted[name]})
        for name, sheet in sheets.items()
    }
    there = Premises(
        receivers={
            "R1": Receiver(
                at=(0.0, 0.0, 2.0),
                learn_access="code",
                outputs={number: Output(**output) for number, output in outputs.items()},
                **{"learned_unknown": 0, **(box or {})},
            )
        },
        devices={name: Device(**mounted[name]) for name in made},
        panels={"panel": Panel(**(mounted_panel or {}))},
        places={"here": Place(at=(5.0, 5.0), sees=sees)},
        **(house or {}),
    )
    named = functions or {
        f"f{number}": {
            "outputs": tuple(f"{where}/R1/{number}" for where in premises),
            "kind": kinds.get(number, "other"),
        }
        for number in outputs
    }
    some = groups or {
        "pair": {
            "people": ("Ana", "Ben"),
            "presses_per_day": 6.0,
            "buttons": {str(i): name for i, name in enumerate(named, 1)},
        }
    }
    job = Job(
        farpress=1,
        job="test",
        premises=dict.fromkeys(premises, there),
        functions={name: Function(**function) for name, function in named.items()},
        groups={name: Group(fob="F4", **group) for name, group in some.items()},
        rules=tuple(Rule(**rule) for rule in rules),
        traffic=tuple(Traffic(**one) for one in traffic),
        promises=promises,
        register_=Register(**{"growth_share": 0.0, **(register or {})}),
        details=Details(**(details or {})),
    )
    return Case(
        job,
        Equipment(
            receivers={
                f"{where}/R1": part_of(ReceiverSheet(**{**RECEIVER, **(receiver or {})}))
                for where in premises
            },
            devices={f"{where}/{name}": part_of(sheet) for where in premises for name, sheet in made.items()},
            panels={
                f"{where}/panel": part_of(PanelSheet(**{**PANEL, **(panel or {})})) for where in premises
            },
            fobs={name: part_of(FobSheet(**{**FOB, **(fob or {})})) for name in some},
            cells={name: part_of(CellSheet(**CELL)) for name in some},
            supplies={
                f"{where}/{name}": part_of(SupplySheet()) for where in premises for name in there.supplies
            },
        ),
    )
