"""Small wired jobs, one idea of a circuit each, from values given in place."""

from __future__ import annotations

from typing import Any

from farpress.case.case import Case
from helpers.wired_case import wired_case

__all__ = ["JOBS", "RECEIVER", "STRIKE", "SUPPLY", "VENT", "run", "small_job"]

SUPPLY: dict[str, Any] = {
    "supply": "dc",
    "voltage_v": 13.6,
    "voltage_min_v": 10.8,
    "voltage_max_v": 13.8,
    "source_ohm": 0.05,
    "rated_a": 2.0,
    "fuse_a": 1.6,
}
RECEIVER: dict[str, Any] = {
    "at": [0, 0],
    "supply": "dc",
    "voltage_min_v": 9.0,
    "voltage_max_v": 15.0,
    "current_idle_a": 0.018,
    "current_per_relay_a": 0.022,
    "contact_form": "changeover",
}
STRIKE: dict[str, Any] = {
    "device": "strike",
    "supply": "dc",
    "voltage_v": 12.0,
    "voltage_min_v": 10.2,
    "voltage_max_v": 15.0,
    "current_a": 0.48,
    "load": "inductive dc",
}
VALVE: dict[str, Any] = {
    "device": "valve",
    "supply": "ac",
    "voltage_v": 24.0,
    "voltage_min_v": 21.0,
    "current_a": 0.25,
    "power_factor": 0.5,
    "load": "coil ac",
}
TWIN: dict[str, Any] = {"load_from": "main", "run": {"part": "twin-1.5"}}
VENT: dict[str, Any] = {
    "device": "window",
    "supply": "dc",
    "voltage_v": 24.0,
    "current_a": 1.1,
    "pull_in_a": 1.6,
    "load": "motor",
    "motors": 1,
    "reverses": "polarity",
    "inputs": {
        "open": {"logic": "up", "wants": "maintained"},
        "shut": {"logic": "down", "wants": "maintained"},
    },
}
PANEL: dict[str, Any] = {
    "current_a": 0.1,
    "inputs": {
        "zone": {
            "reads": "zone",
            "loop": {
                "scheme": "double end-of-line",
                "normal_ohm": 1000.0,
                "alarm_ohm": 1000.0,
                "pull_up_ohm": 5100.0,
                "supply_v": 5.0,
            },
        },
        "tamper": {"reads": "tamper", "loop": {"scheme": "closed", "pull_up_ohm": 2200.0, "supply_v": 5.0}},
        "weak": {"reads": "zone", "loop": {"scheme": "closed", "pull_up_ohm": 2200.0, "supply_v": 5.0}},
    },
    "outputs": {"set": {"form": "open collector", "saturation_v": 0.25, "current_max_a": 0.05}},
}


def run(metres: float, part: str = "alarm-6x0.22", **more: Any) -> dict[str, Any]:
    """A cable."""
    return {"part": part, "length_m": metres, **more}


def _fed(metres: float, **more: Any) -> dict[str, Any]:
    return {"fed": {"from": "main", "cable": run(metres, **more)}}


def _pulse(works: str, metres: float, **more: Any) -> dict[str, Any]:
    cable = run(metres, **more.pop("run", {}))
    return {"kind": "pulse", "for_s": 4.0, "works": works, "cable": cable, **more}


def _house(
    outputs: dict[str, Any], devices: dict[str, Any], box: dict[str, Any] | None = None, **more: Any
) -> dict[str, Any]:
    receivers = {"R1": RECEIVER | _fed(2.0) | {"outputs": outputs} | (box or {})}
    return {"supplies": {"main": SUPPLY}, "receivers": receivers, "devices": devices, **more}


JOBS: dict[str, dict[str, Any]] = {
    "shared return": _house(
        {
            "1": _pulse("front.release", 20.0, load_from="main"),
            "2": _pulse(
                "back.release", 30.0, load_from="main", run={"shares_return_with": "R1/1", "shared_m": 12.0}
            ),
        },
        {"front": STRIKE, "back": STRIKE},
    ),
    "end of line": _house({"1": _pulse("panel.zone", 68.0)}, {}, panels={"panel": PANEL | _fed(3.0)}),
    "end of line in the panel, found": _house(
        {"1": _pulse("panel.zone", 68.0)},
        {},
        panels={
            "panel": PANEL
            | _fed(3.0)
            | {
                "zones": {
                    "zone": {"resistor": "panel", "found": {"leak_ohm": 22000.0}},
                    "3": {
                        "loop": PANEL["inputs"]["zone"]["loop"] | {"normal_ohm": 1500.0, "alarm_ohm": 3300.0},
                        "contacts": 25,
                        "contact_ohm": 0.2,
                        "each_resistor": True,
                        "resistor": "far end",
                        "cable": run(145.0),
                    },
                }
            }
        },
    ),
    "collector over a long 0 V": _house(
        {"1": _pulse("front.release", 40.0, load_from="main", run={"shares_return_with": "R1"})},
        {"front": STRIKE},
        {
            "fed": {"from": "main", "cable": run(40.0)},
            "input_voltage_v": 5.0,
            "input_current_a": 0.001,
            "input_low_v": 0.8,
            "inputs": {"1": {"reads": "panel.set", "cable": run(40.0, shares_return_with="R1")}},
        },
        panels={"panel": PANEL | _fed(2.0)},
    ),
    "receiver's transistor on a zone": _house(
        {"1": _pulse("panel.zone", 40.0), "2": _pulse("front.release", 40.0, load_from="main")},
        {"front": STRIKE},
        {"output_form": "open collector", "saturation_v": 0.2, "fed": {"from": "main", "cable": run(40.0)}},
        panels={"panel": PANEL | _fed(2.0)},
    ),
    "daisy chain": _house(
        {
            "1": _pulse(
                "lock.release",
                68.0,
                load_from="main",
                contact="normally closed",
                run={"cores": "1, 2", "shares_return_with": "R1"},
            )
        },
        {"lock": STRIKE | {"device": "magnetic lock"}},
        {"fed": {"from": "main", "cable": run(68.0, cores="1, 2")}},
    ),
    "daisy chain, drawn": _house(
        {"1": {"kind": "pulse", "for_s": 4.0, "works": "lock.release", "contact": "normally closed"}},
        {"lock": STRIKE | {"device": "magnetic lock"}},
        {"fed": None, "relays": 2},
        cables={
            "W1": {
                "part": "alarm-6x0.22",
                "length_m": 68.0,
                "cores": {"1": ["main.+", "R1.+"], "2": ["main.0", "R1.0"]},
            }
        },
        links=[["R1.+", "R1.1.common"], ["R1.1.break", "lock.+"], ["R1.0", "lock.0"]],
    ),
    "junction and branch, drawn": _house(
        {
            "1": {"kind": "pulse", "for_s": 4.0, "works": "front.release"},
            "2": {"kind": "pulse", "for_s": 4.0, "works": "panel.zone"},
        },
        {"front": STRIKE, "lamp": STRIKE | {"device": "lamp", "load": "resistive", "current_a": 0.1}},
        {"fed": None, "relays": 2, "inputs": {"1": {"reads": "panel.set"}}},
        supplies={"main": SUPPLY | {"branches": {"1": {"fuse_a": 0.5}}}},
        panels={"panel": PANEL | _fed(2.0)},
        junctions={"J1": {}},
        cables={
            "W7": {
                "part": "twin-1.0",
                "length_m": 30.0,
                "cores": {"red": ["main.branch 1.+", "J1.1"], "black": ["main.0", "J1.2", "lamp.0"]},
            },
            "W8": {
                "part": "alarm-6x0.22",
                "length_m": 20.0,
                "cores": {
                    "red": ["J1.1", "R1.+"],
                    "black": ["J1.2", "R1.0", "front.0"],
                    "white": ["J1.1", "lamp.+"],
                },
            },
            "W9": {
                "part": "alarm-6x0.22",
                "length_m": 40.0,
                "cores": {
                    "1": ["R1.2.make", "panel.zone"],
                    "2": ["R1.2.common", "panel.zone common"],
                    "3": ["panel.set", "R1.in1"],
                },
            },
        },
        links=[["R1.+", "R1.1.common"], ["R1.1.make", "front.+"]],
    ),
    "valves in turn": {
        "supplies": {
            "garden": {"supply": "ac", "voltage_v": 24.0, "voltage_min_v": 23.0, "source_ohm": 0.8},
            "main": SUPPLY,
        },
        "receivers": {
            "R1": RECEIVER
            | _fed(2.0)
            | {
                "outputs": {
                    str(number): _pulse(
                        f"valve {number}.on",
                        140.0,
                        load_from="garden",
                        run={"part": "twin-1.0", **({"shares_return_with": "R1/1"} if number > 1 else {})},
                    )
                    for number in (1, 2, 3)
                }
            }
        },
        "devices": {f"valve {number}": VALVE for number in (1, 2, 3)},
    },
    "converters": _house(
        {"1": _pulse("gate.on", 25.0, load_from="main")},
        {
            "gate": {
                "device": "lamp",
                "supply": "dc",
                "voltage_v": 12.0,
                "power_w": 6.0,
                "load": "constant power",
            },
            "camera": {"supply": "dc", "voltage_v": 12.0, "power_w": 4.0, "load": "constant power"}
            | _fed(30.0),
        },
    ),
    "sirens in alarm": _house(
        {},
        {
            f"siren {name}": {
                "device": "sounder",
                "supply": "dc",
                "voltage_v": 12.0,
                "current_a": 0.35,
                "current_rest_a": 0.0,
                "load": "resistive",
            }
            | _fed(metres)
            for name, metres in (("A", 20.0), ("F", 145.0))
        },
    ),
    "two receivers on one wicket": {
        "supplies": {"main": SUPPLY},
        "receivers": {
            "R1": RECEIVER | _fed(5.0) | {"outputs": {"1": _pulse("wicket.release", 20.0, load_from="main")}},
            "R2": RECEIVER | _fed(9.0) | {"outputs": {"1": _pulse("wicket.release", 30.0, load_from="main")}},
        },
        "devices": {"wicket": STRIKE},
    },
    "cables core by core": {
        "supplies": {"main": SUPPLY | {"branches": {"1": {"fuse_a": 1.0}, "2": {"fuse_a": 0.5}}}},
        "receivers": {
            "R1": RECEIVER | {"outputs": {"1": {"kind": "pulse", "for_s": 4.0, "works": "lock.release"}}}
        },
        "devices": {"lock": STRIKE},
        "junctions": {"J4": {}},
        "cables": {
            "W7": {
                "part": "alarm-6x0.22",
                "length_m": 41.0,
                "cores": {"red": ["main.branch 2.+", "J4.1"], "black": ["main.branch 2.0", "J4.2"]},
            },
            "W8": {
                "part": "twin-1.0",
                "length_m": 9.0,
                "cores": {"brown": ["R1.1.make", "lock.+"], "blue": ["J4.2", "lock.0"]},
            },
        },
        "links": [["J4.1", "R1.+"], ["J4.1", "R1.1.common"], ["J4.2", "R1.0"]],
    },
    "two supplies over diodes": _house(
        {"1": {"kind": "pulse", "for_s": 4.0, "works": "lock.release", "suppression": "diode"}},
        {
            "lock": STRIKE,
            "camera": {"supply": "dc", "voltage_v": 12.0, "power_w": 4.0, "load": "constant power"},
        },
        {"fed": None, "relays": 2},
        supplies={"main": SUPPLY, "reserve": SUPPLY | {"voltage_v": 13.0, "voltage_min_v": 11.2}},
        junctions={"J1": {}},
        diodes={
            "D1": {"from": "main.+", "to": "J1.1"},
            "D2": {"from": "reserve.+", "to": "J1.1", "left_v": 0.45},
        },
        cables={
            "W1": {
                "part": "twin-1.0",
                "length_m": 35.0,
                "cores": {"brown": ["J1.1", "R1.+", "camera.+"], "blue": ["main.0", "R1.0", "camera.0"]},
            },
            "W2": {
                "part": "alarm-6x0.22",
                "length_m": 12.0,
                "cores": {"red": ["R1.1.make", "lock.+"], "black": ["R1.0", "lock.0"]},
            },
        },
        links=[["main.0", "reserve.0"], ["R1.+", "R1.1.common"]],
    ),
    "a supply that folds back": _house(
        {
            "1": _pulse("front.release", 15.0, load_from="main"),
            "2": _pulse("back.release", 25.0, load_from="main"),
        },
        {"front": STRIKE, "back": STRIKE | {"load": "resistive"}},
        supplies={"main": SUPPLY | {"rated_a": 0.7, "limit_a": 0.8, "folds_to_a": 0.2}},
    ),
    "a supply that holds its current": _house(
        {"1": _pulse("front.release", 15.0, load_from="main")},
        {"front": STRIKE | {"current_a": 1.4}},
        supplies={"main": SUPPLY | {"rated_a": 0.7, "limit_a": 0.8}},
    ),
    "rectified alternating current": _house(
        {"1": _pulse("front.release", 15.0, load_from="bell")},
        {
            "front": STRIKE | {"voltage_v": 24.0, "voltage_max_v": 40.0, "load": "resistive"},
            "horn": {"supply": "dc", "voltage_v": 24.0, "current_a": 0.1, "load": "led"}
            | {"fed": {"from": "bell", "cable": run(6.0)}},
        },
        supplies={
            "main": SUPPLY,
            "winding": {
                "supply": "ac",
                "voltage_v": 24.0,
                "voltage_min_v": 21.6,
                "voltage_max_v": 30.0,
                "rated_a": 1.667,
                "source_ohm": 2.2,
            },
            "bell": {
                "rectifier": "bridge",
                "smoothing_f": 2200e-6,
                "rated_a": 0.8,
                "fed": {"from": "winding", "cable": run(20.0, part="twin-1.0")},
            },
        },
    ),
    "a converter behind a supply": _house(
        {"1": _pulse("front.release", 15.0, load_from="small")},
        {"front": STRIKE},
        supplies={
            "main": SUPPLY | {"voltage_v": 27.0, "voltage_min_v": 24.0, "voltage_max_v": 28.0},
            "small": {
                "supply": "dc",
                "voltage_v": 12.0,
                "voltage_min_v": 11.8,
                "voltage_max_v": 12.3,
                "rated_a": 1.0,
                "efficiency_share": 0.8,
                "input_min_v": 16.0,
                "fed": {"from": "main", "cable": run(40.0)},
            },
        },
    ),
    "a receiver's own signals": _house(
        {"1": _pulse("front.release", 30.0, load_from="main")},
        {
            "front": STRIKE,
            "cell lamp": {
                "device": "lamp",
                "supply": "dc",
                "voltage_v": 12.0,
                "current_a": 0.02,
                "load": "led",
            },
            "chirp": {
                "device": "sounder",
                "supply": "dc",
                "voltage_v": 12.0,
                "current_a": 0.06,
                "load": "led",
            },
        },
        {
            "saturation_v": 0.3,
            "fed": {"from": "main", "cable": run(40.0)},
            "low_cell": {"form": "open collector", "current_max_a": 0.1},
            "acknowledge": {"form": "relay", "current_max_a": 1.0},
            "signals": {
                "low cell": {"works": "cell lamp.on", "load_from": "main", "cable": run(12.0)},
                "acknowledge": {"works": "chirp.on", "load_from": "main", "cable": run(25.0)},
            },
        },
    ),
    "a weak cell told to a panel": _house(
        {"1": _pulse("front.release", 40.0, load_from="main", run={"shares_return_with": "R1"})},
        {"front": STRIKE},
        {
            "saturation_v": 0.3,
            "fed": {"from": "main", "cable": run(40.0)},
            "low_cell": {"form": "open collector", "current_max_a": 0.1},
            "signals": {"low cell": {"works": "panel.weak", "cable": run(38.0, shares_return_with="R1")}},
        },
        panels={"panel": PANEL | _fed(2.0)},
    ),
    "motors that turn round with their volts": _house(
        {
            "1": _pulse("north.open", 18.0, **TWIN, **{"with": ["south.open"]}),
            "2": _pulse("north.shut", 18.0, **TWIN, **{"with": ["south.shut"]}),
        },
        {"north": VENT, "south": VENT | {"current_a": 0.9, "load": "resistive"}},
        supplies={"main": SUPPLY | {"voltage_v": 24.0, "voltage_min_v": 23.5, "voltage_max_v": 24.5}},
    ),
    "solar gate": _house(
        {"1": _pulse("gate.start", 8.0)},
        {
            "gate": {
                "device": "sliding gate",
                "supply": "dc",
                "voltage_v": 24.0,
                "voltage_min_v": 20.0,
                "current_a": 3.2,
                "current_rest_a": 0.02,
                "pull_in_a": 9.0,
                "load": "motor",
                "inputs": {
                    "start": {"logic": "start", "wants": "pulse", "voltage_v": 12.0, "current_a": 0.01}
                },
            }
            | _fed(6.0, part="twin-1.5")
        },
        {"voltage_max_v": 30.0},
        supplies={
            "main": SUPPLY
            | {
                "voltage_v": 24.0,
                "voltage_min_v": 22.0,
                "voltage_max_v": 29.0,
                "battery": {"capacity_ah": 24.0, "voltage_v": 24.0, "end_v": 21.6, "inner_ohm": 0.06},
                "solar": {"power_w": 40.0, "yield_share": 0.7, "sun_s": {"dec": 2520.0, "jun": 18000.0}},
            }
        },
    ),
    "coil beside its receiver": _house(
        {"1": _pulse("pump.on", 12.0, via="small relay", load_from="main")},
        {"pump": STRIKE | {"device": "contactor", "current_a": 0.9, "load": "resistive"}},
        {"fed": {"from": "main", "cable": run(30.0)}, "tamper": "panel.tamper"},
        panels={"panel": PANEL | _fed(2.0)},
    ),
}


def small_job(name: str) -> Case:
    """One of the jobs."""
    relays = {"small relay": {"coil_v": 12.0, "coil_min_v": 9.6, "coil_a": 0.04, "coil_supply": "dc"}}
    functions = {
        f"press {output}": {"output": f"larkfen/{receiver}/{output}"}
        for receiver, box in JOBS[name]["receivers"].items()
        for output in box.get("outputs", {})
        if receiver == "R1"
    }
    return wired_case(JOBS[name], relays=relays, functions=functions)
