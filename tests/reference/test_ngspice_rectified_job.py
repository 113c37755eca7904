"""A rectifier that a job feeds from its transformer, beside a transient of ngspice on the whole of it.

ngspice-39 (Debian package 39.3+ds-1), https://ngspice.sourceforge.io: the winding as a sine behind its
resistance, both cores of its cable, four diodes, the capacitor, and what hangs behind it, until the ripple
repeats. Its mean and ours agree to 1e-4; its time steps are
1/2000 of a wave.
"""

from __future__ import annotations

import math

import pytest

from farpress.case.circuit.electrics import electrics_of
from farpress.case.circuit.states import AS_READ
from helpers.circuit_jobs import small_job
from helpers.ngspice import run_ngspice


@pytest.mark.parametrize("press", [False, True])
def test_the_mean_behind_a_rectifier_is_that_of_the_transient(press: bool) -> None:
    """Over its last five waves, with the horn alone and with the strike as well."""
    electrics = electrics_of(small_job("rectified alternating current"), "larkfen")
    solved = electrics.in_moment(electrics.pressed[0] if press else electrics.at_rest, AS_READ)
    horn_ohm, strike_ohm = 2 * 0.006 * 96.0, 24.0 / 0.48 + 2 * 0.015 * 96.0
    lines = [
        f"V1 w 0 SIN(0 {24 * math.sqrt(2):.12g} 50)",
        f"R1 w x {2.2 + 2 * 0.020 * 19.5:.12g}",
        *(f"D{n} {a} {b} rect" for n, (a, b) in enumerate([("x", "p"), ("0", "p"), ("m", "x"), ("m", "0")])),
        ".model rect d(is=1e-9 n=1.5 rs=0.05 cjo=10p)",
        "C1 p m 2200u",
        "R9 m 0 10meg",
        "E1 d 0 p m 1",
        "R8 d 0 1k",
        f"R2 p q {horn_ohm:.12g}",
        "I1 q m PWL(0 0 20m 0 30m 0.1)",
        *([f"R3 p m {strike_ohm:.12g}"] if press else []),
        ".options reltol=1e-4 abstol=1e-9 chgtol=1e-12",
    ]
    found = run_ngspice(lines, ["tran 10u 1 0 10u", "meas tran mean avg v(d) from=0.9 to=1"])
    ours = solved.across("bell.+", "bell.0")

    assert ours == pytest.approx(found["mean"], rel=1e-4)
