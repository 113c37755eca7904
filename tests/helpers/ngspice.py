"""Runs ngspice, an independent circuit simulator, on netlists made from our own circuits."""

from __future__ import annotations

import re
import subprocess
import tempfile
from collections.abc import Iterable, Sequence
from pathlib import Path

from farpress.core.wiring.elements import Element
from farpress.core.wiring.netlist import Netlist, netlist
from helpers.kinds import need
from helpers.waiting import NEVER_S

__all__ = ["ac_volts", "deck_volts", "lines_of", "operating_points", "run_ngspice"]

_NUMBER = re.compile(r"^\s*(\S+)\s*=\s*([-+]?\d[-+\d.eE]*)", re.MULTILINE)


def run_ngspice(lines: Iterable[str], control: Iterable[str]) -> dict[str, float]:
    """Every "name = number" the program prints; its return code says nothing, so missing numbers show as
    missing.
    """
    need("witness")
    text = "\n".join(
        ["a circuit of ours", *lines, ".control", "set numdgt=12", *control, "quit 0", ".endc", ".end", ""]
    )
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "circuit.cir"
        file.write_text(text)
        run = subprocess.run(
            ["ngspice", "-b", str(file)], capture_output=True, text=True, timeout=NEVER_S, check=False
        )
    found = {name.lower(): float(number) for name, number in _NUMBER.findall(run.stdout)}
    assert found, run.stdout + run.stderr
    return found


def deck_volts(text: str) -> dict[str, complex]:
    """Volts of every node that a deck prints, run as it is in batch mode."""
    need("witness")
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "deck.cir"
        file.write_text(text, encoding="utf-8")
        run = subprocess.run(
            ["ngspice", "-b", str(file)], capture_output=True, text=True, timeout=NEVER_S, check=False
        )
    assert "error" not in (run.stdout + run.stderr).casefold(), run.stdout + run.stderr
    found = {name.lower(): float(number) for name, number in _NUMBER.findall(run.stdout)}
    volts = {name[2:-1]: complex(number) for name, number in found.items() if name.startswith("v(")}
    for name, number in found.items():
        if name.startswith("vr("):
            volts[name[3:-1]] = complex(number, found[f"vi({name[3:-1]})"])
    assert volts, run.stdout + run.stderr
    return volts


def lines_of(circuits: Sequence[Sequence[Element]]) -> list[Netlist]:
    """Netlists that fit side by side into one file."""
    return [netlist(circuit, prefix=f"c{number}x") for number, circuit in enumerate(circuits)]


def operating_points(circuits: Sequence[Sequence[Element]]) -> list[dict[str, float]]:
    """For every circuit, our node names with the program's volts; all solved in one run."""
    nets = lines_of(circuits)
    prints = [f"print v({node})" for net in nets for node in net.nodes.values() if node != "0"]
    lines = [
        ".options reltol=1e-7 abstol=1e-14 vntol=1e-10 itl1=500",
        *(line for net in nets for line in net.lines),
    ]
    found = run_ngspice(lines, ["op", *prints])
    return [
        {ours: 0.0 if theirs == "0" else found[f"v({theirs})".lower()] for ours, theirs in net.nodes.items()}
        for net in nets
    ]


def ac_volts(circuits: Sequence[Sequence[Element]], *, frequency_hz: float) -> list[dict[str, complex]]:
    """The same with phasors."""
    nets = lines_of(circuits)
    prints = [
        f"print {part}({node})"
        for net in nets
        for node in net.nodes.values()
        if node != "0"
        for part in ("vr", "vi")
    ]
    lines = [".options reltol=1e-7", *(line for net in nets for line in net.lines)]
    found = run_ngspice(lines, [f"ac lin 1 {frequency_hz} {frequency_hz}", *prints])
    return [
        {
            ours: (
                0j
                if theirs == "0"
                else complex(found[f"vr({theirs})".lower()], found[f"vi({theirs})".lower()])
            )
            for ours, theirs in net.nodes.items()
        }
        for net in nets
    ]
