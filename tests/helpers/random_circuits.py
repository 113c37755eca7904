"""Circuits of the kinds that installers wire, drawn by a seeded generator."""

from __future__ import annotations

import math
import random

from farpress.core.wiring.elements import (
    Capacitor,
    CurrentLoad,
    Diode,
    Element,
    Inductor,
    PowerLoad,
    Resistor,
    VoltageSource,
)

__all__ = [
    "ac_tree",
    "bridge_feed",
    "diode_feed",
    "diode_or",
    "feeder",
    "loop",
    "power_tree",
    "shared_returns",
]


def shared_returns(dice: random.Random) -> list[Element]:
    """A supply, branches with cores of their own, some of which come back over one another's core."""
    parts: list[Element] = [
        VoltageSource("supply", "s", "0", dice.uniform(10, 28), dice.choice([0.0, dice.uniform(0.02, 1)]))
    ]
    joints = ["0"]
    for number in range(dice.randint(2, 9)):
        back = dice.choice(joints)
        parts.append(Resistor(f"out {number}", "s", f"p{number}", dice.uniform(0.05, 8)))
        parts.append(
            Resistor(f"back {number}", f"m{number}", back, dice.choice([0.0, dice.uniform(0.05, 8)]))
        )
        joints.append(f"m{number}")
        if dice.random() < 0.5:
            parts.append(Resistor(f"load {number}", f"p{number}", f"m{number}", dice.uniform(15, 900)))
        else:
            parts.append(CurrentLoad(f"load {number}", f"p{number}", f"m{number}", dice.uniform(0.005, 0.4)))
    return parts


def loop(dice: random.Random) -> list[Element]:
    """A supervised loop with cable, leak and bad joint, in one of its states."""
    leg = dice.uniform(0.1, 12)
    parts: list[Element] = [
        VoltageSource("panel", "vp", "0", dice.uniform(3.3, 14)),
        Resistor("pull-up", "vp", "z", dice.choice([1000, 2200, 4700, 5600, 10_000])),
        Resistor("core 1a", "z", "m", leg),
        Resistor("core 1b", "m", "f", leg),
        Resistor("core 2a", "n", "0", leg),
        Resistor("core 2b", "g", "n", leg + dice.choice([0.0, dice.uniform(5, 200)])),
        Resistor("leak", "m", "n", 10 ** dice.uniform(3, 7)),
        Resistor("end of line", "f", "t", dice.choice([1000, 2200, 3300, 4700, 5600])),
    ]
    state = dice.choice(["normal", "alarm", "cut", "short", "masked"])
    contact = {
        "normal": 0.0,
        "alarm": float(dice.choice([2200, 4700])),
        "cut": 1e9,
        "short": 0.0,
        "masked": float(dice.choice([10_000, 12_000])),
    }[state]
    parts.append(Resistor("contact", "t", "g", contact))
    if state == "short":
        parts.append(Resistor("short", "f", "g", 0.01))
    return parts


def power_tree(dice: random.Random) -> list[Element]:
    """A tree of cables with converters at its ends, far enough from the edge to have an operating point."""
    volts = dice.uniform(11, 28)
    parts: list[Element] = [VoltageSource("supply", "s", "0", volts, dice.uniform(0.01, 0.3))]
    nodes = ["s"]
    for number in range(dice.randint(2, 8)):
        parent = dice.choice(nodes)
        parts.append(Resistor(f"cable {number}", parent, f"p{number}", dice.uniform(0.05, 0.9)))
        nodes.append(f"p{number}")
        most = volts * volts / 4 / 20
        parts.append(PowerLoad(f"load {number}", f"p{number}", "0", dice.uniform(0.1, most / 4)))
    parts.append(Resistor("bleeder", nodes[-1], "0", dice.uniform(100, 5000)))
    return parts


def diode_feed(dice: random.Random) -> list[Element]:
    """Two supplies joined by diodes, a protected load, a suppressor that blocks, sometimes a converter."""
    one, other = dice.uniform(11, 15), dice.uniform(11, 15)
    kinds = {
        "saturation_a": 10 ** dice.uniform(-12, -7),
        "emission": dice.uniform(1, 2),
        "ohm": dice.choice([0.0, dice.uniform(0.01, 0.2)]),
    }
    parts: list[Element] = [
        VoltageSource("mains supply", "a", "0", one, dice.uniform(0.02, 0.5)),
        VoltageSource("battery", "b", "0", other, dice.uniform(0.02, 0.5)),
        Diode("d1", "a", "bus", **kinds),
        Diode("d2", "b", "bus", **kinds),
        Resistor("cable", "bus", "p", dice.uniform(0.1, 4)),
        Resistor("return", "m", "0", dice.uniform(0.1, 4)),
        Resistor("coil", "p", "m", dice.uniform(30, 500)),
        Diode("suppressor", "m", "p", **kinds),
        Diode("polarity", "bus", "q", **kinds),
        Resistor("receiver", "q", "0", dice.uniform(80, 800)),
    ]
    if dice.random() < 0.5:
        parts.append(PowerLoad("converter", "q", "0", dice.uniform(0.2, 3)))
    return parts


def diode_or(dice: random.Random) -> list[Element]:
    """Two supplies over a diode each on one cable, with nothing but converters behind them."""
    kind = {"saturation_a": 10 ** dice.uniform(-12, -7), "emission": dice.uniform(1, 2), "ohm": 0.02}
    parts: list[Element] = [
        VoltageSource("mains supply", "a", "0", dice.uniform(11, 15), dice.uniform(0.02, 0.5)),
        VoltageSource("battery", "b", "0", dice.uniform(11, 15), dice.uniform(0.02, 0.5)),
        Diode("d1", "a", "bus", **kind),
        Diode("d2", "b", "bus", **kind),
    ]
    before = "bus"
    for number in range(dice.randint(1, 4)):
        parts.append(Resistor(f"cable {number}", before, f"p{number}", dice.uniform(0.05, 0.6)))
        before = f"p{number}"
        if dice.random() < 0.3:
            parts.append(Diode(f"own {number}", before, f"q{number}", **kind))
            parts.append(PowerLoad(f"converter {number}", f"q{number}", "0", dice.uniform(0.2, 2.5)))
        else:
            parts.append(PowerLoad(f"converter {number}", before, "0", dice.uniform(0.2, 2.5)))
    return parts


def bridge_feed(dice: random.Random) -> list[Element]:
    """Four diodes before converters, fed with either polarity over a cable."""
    kind = {"saturation_a": 10 ** dice.uniform(-12, -7), "emission": dice.uniform(1, 2), "ohm": 0.02}
    volts = dice.choice([-1, 1]) * dice.uniform(12, 28)
    parts: list[Element] = [
        VoltageSource("supply", "s", "0", volts, dice.uniform(0.05, 0.5)),
        Resistor("out", "s", "x", dice.uniform(0.1, 1.5)),
        Resistor("back", "y", "0", dice.uniform(0.1, 1.5)),
        Diode("d1", "x", "+", **kind),
        Diode("d2", "y", "+", **kind),
        Diode("d3", "-", "x", **kind),
        Diode("d4", "-", "y", **kind),
    ]
    for number in range(dice.randint(1, 3)):
        parts.append(PowerLoad(f"converter {number}", "+", "-", dice.uniform(0.3, 4)))
    return parts


def ac_tree(dice: random.Random) -> list[Element]:
    """A transformer with valves, contactor coils, lamps, RC elements and cable capacitance."""
    parts: list[Element] = [
        VoltageSource(
            "transformer", "s", "0", dice.uniform(9, 30), dice.uniform(0.1, 4), dice.uniform(-60, 60)
        )
    ]
    for number in range(dice.randint(2, 6)):
        parts.append(
            Inductor(f"cable {number}", "s", f"p{number}", dice.uniform(1e-6, 3e-5), dice.uniform(0.1, 3))
        )
        kind = dice.random()
        if kind < 0.6:
            parts.append(
                Inductor(f"coil {number}", f"p{number}", "0", dice.uniform(0.02, 1), dice.uniform(15, 200))
            )
        else:
            parts.append(Resistor(f"lamp {number}", f"p{number}", "0", dice.uniform(20, 500)))
        if dice.random() < 0.5:
            parts.append(Resistor(f"rc {number}", f"p{number}", f"q{number}", dice.uniform(10, 100)))
            parts.append(Capacitor(f"c {number}", f"q{number}", "0", 10 ** dice.uniform(-9, -5.5)))
    return parts


def feeder(loads: int) -> list[Element]:
    """A ladder of cables with a load at every step and a supply every twenty steps: two nodes for each
    load.
    """
    parts: list[Element] = [VoltageSource("supply", "p0", "0", 27.0, 0.05)]
    back = "0"
    for number in range(1, loads + 1):
        parts.append(Resistor(f"out {number}", f"p{number - 1}", f"p{number}", 0.002))
        parts.append(Resistor(f"back {number}", f"m{number}", back, 0.002))
        back = f"m{number}"
        parts.append(CurrentLoad(f"load {number}", f"p{number}", back, 0.002 * (1 + math.sin(number))))
        if number % 20 == 0:
            parts.append(VoltageSource(f"supply {number}", f"p{number}", back, 27.0, 0.1))
    return parts
