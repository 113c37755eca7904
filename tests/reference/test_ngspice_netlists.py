"""Circuits solved by ngspice, an independent circuit simulator.

ngspice-39 (Debian package 39.3+ds-1), https://ngspice.sourceforge.io; netlists and the digits it
printed lie in `data`. Printed results were read on 2026-11-25; one test runs the program
again, so it must be installed (the test set-up installs it).

Steady circuits agree to the printed digits. The two transients are steps of 0.2 and 1 us of
an integration that is told to keep 1e-6, so its times are held to 1e-4 of their value and the
peak, which falls between two steps, likewise.
"""

from __future__ import annotations

import csv
import re
import subprocess
from pathlib import Path

import pytest

from farpress.core.wiring.coils import release_time_s, snubber_peak
from farpress.core.wiring.network import Element, Resistor, Solution, VoltageSource, solve
from farpress.core.wiring.rectifier import rectified, rms_ratio
from helpers.printed import Printed
from helpers.waiting import NEVER_S

DATA = Path(__file__).parent / "data"
TRANSIENT = 1e-4
"""Relative, see the head of this module."""


def printed_results() -> dict[tuple[str, str], str]:
    """Netlist and name of a result → digits as the program printed them."""
    lines = [
        line for line in (DATA / "ngspice_results.csv").read_text().splitlines() if not line.startswith("#")
    ]
    return {(row["netlist"], row["name"]): row["printed"] for row in csv.DictReader(lines)}


RESULTS = printed_results()


def as_printed(text: str) -> Printed:
    """Digits with an exponent as `Printed` wants them, without."""
    from decimal import Decimal

    return Printed(f"{Decimal(text):f}")


def solved(netlist: str) -> Solution:
    """The same netlist, its resistors and sources, through our solver."""
    elements: list[Element] = []
    for line in (DATA / f"ngspice_{netlist}.cir").read_text().splitlines()[1:]:
        if line.startswith(".control"):
            break
        if re.match(r"[RV]\w* ", line):
            name, a, b, value = line.split()[:4]
            number = float(value.replace("k", "e3"))
            elements.append(
                Resistor(name, a, b, number) if name[0] == "R" else VoltageSource(name, a, b, number)
            )
    return solve(elements)


@pytest.mark.parametrize(
    ("name", "node"), [("v(zn)", "zN"), ("v(za)", "zA"), ("v(zo)", "zO"), ("v(zs)", "zS")]
)
def test_a_leaky_double_end_of_line_loop_shows_the_panel_the_same_volts(name: str, node: str) -> None:
    """All four states of a loop with cable and a 47 kohm leak at mid run."""
    assert as_printed(RESULTS["p1_deol", name]).agrees_with(solved("p1_deol").volts[node])


@pytest.mark.parametrize(
    ("name", "plus", "minus"), [("v(b)", "b", "0"), ("va", "a", "ar"), ("vb", "bb", "br"), ("vc", "c", "cr")]
)
def test_three_branches_on_one_supply_get_the_same_volts(name: str, plus: str, minus: str) -> None:
    """Receiver, siren and strike on a supply with inner resistance and fuse."""
    assert as_printed(RESULTS["p4_supply", name]).agrees_with(solved("p4_supply").across(plus, minus))


def test_the_supply_gives_the_same_current() -> None:
    """Sum of the three branches."""
    assert as_printed(RESULTS["p4_supply", "it"]).agrees_with(solved("p4_supply").amperes["Rs"])


@pytest.mark.parametrize(("name", "clamp_v"), [("t_diode", 0.7), ("t_zener", 15.7)])
def test_a_coil_lets_go_after_the_same_time(name: str, clamp_v: float) -> None:
    """12 V coil of 320 ohm and 0.5 H; 1 milliohm in series with the clamp, as in the netlist."""
    ours = release_time_s(
        coil_ohm=320.0, coil_h=0.5, current_a=0.0375, release_share=0.2, clamp_v=clamp_v, clamp_ohm=1e-3
    )

    assert ours == pytest.approx(float(RESULTS["p2_coil_diode", name]), rel=TRANSIENT)


def test_an_rc_element_holds_an_opening_contact_to_the_same_peak() -> None:
    """24 V, 96 ohm, 0.3 H on 47 ohm and 1 uF."""
    peak = snubber_peak(voltage_v=24.0, coil_ohm=96.0, coil_h=0.3, capacitance_f=1e-6, resistance_ohm=47.0)

    assert peak.volts == pytest.approx(float(RESULTS["p3_snubber", "vpk"]), rel=TRANSIENT)
    assert peak.at_s == pytest.approx(8.452526e-04, rel=1e-3)  # flat at the top: printed at a step of 0.2 us


RECTIFIER = 2e-4
"""Relative: junction diodes, steps of 20 us."""


@pytest.mark.parametrize(
    ("name", "field"), [("vmax", "highest_v"), ("vmin", "lowest_v"), ("vavg", "mean_v"), ("irms", "rms_a")]
)
def test_a_bridge_with_a_capacitor_makes_the_same_volts_and_asks_for_the_same_current(
    name: str, field: str
) -> None:
    """24 V AC behind 1 ohm, 1000 uF, 240 ohm."""
    ours = rectified(
        rms_v=33.9411 / 2**0.5, frequency_hz=50.0, source_ohm=1.0, capacitance_f=1000e-6, load_ohm=240.0
    )

    assert getattr(ours, field) == pytest.approx(float(RESULTS["p5_rect", name]), rel=RECTIFIER)


@pytest.mark.parametrize("source_ohm", ["0.5", "1", "2", "4", "8"])
def test_the_transformers_current_over_the_loads_is_the_same_for_every_source_resistance(
    source_ohm: str,
) -> None:
    """Source resistances on a load of 100 ohm."""
    assert rms_ratio(source_share=float(source_ohm) / 100) == pytest.approx(
        float(RESULTS["p6_rect_ratio", source_ohm]), rel=RECTIFIER
    )


@pytest.mark.witness
@pytest.mark.parametrize("netlist", ["p1_deol", "p2_coil_diode", "p3_snubber", "p4_supply", "p5_rect"])
def test_the_program_still_prints_what_was_kept(netlist: str) -> None:
    """Run it, parse its numbers (its return code says nothing), compare within 1e-5."""
    run = subprocess.run(
        ["ngspice", "-b", str(DATA / f"ngspice_{netlist}.cir")],
        capture_output=True,
        text=True,
        timeout=NEVER_S,
        check=False,
    )
    live = {
        name.lower(): float(value)
        for name, value in re.findall(r"^(\S+)\s*=\s*([-+\d.eE]+)", run.stdout, re.MULTILINE)
    }
    kept = {name: float(text) for (of, name), text in RESULTS.items() if of == netlist}

    assert kept
    for name, value in kept.items():
        assert live[name] == pytest.approx(value, rel=1e-5)
