"""A contact that is open lets mains through an element across it; mains beside low volts in one receiver."""

from __future__ import annotations

from typing import Any

import pytest

from farpress.core.wiring.contacts import leak_a
from farpress.domain.finding import Finding, Stake, Verdict
from farpress.judging.contact.load import judge
from helpers.findings import codes_of, finding_of
from helpers.wired_case import wired_case

HOLDS, UNKNOWN, FAILS = Verdict.HOLDS, Verdict.UNKNOWN, Verdict.FAILS

LAMP: dict[str, Any] = {
    "device": "lamp",
    "supply": "mains",
    "voltage_v": 230.0,
    "current_a": 0.1,
    "load": "led",
}
STRIKE: dict[str, Any] = {"device": "strike", "supply": "dc", "voltage_v": 12.0, "current_a": 0.4}


def judged(*, devices: dict[str, Any], region: str = "europe", **receiver: Any) -> list[Finding]:
    """A receiver made for mains, with one output on each device."""
    outputs = {
        str(number): {"kind": "toggle", "works": f"{name}.on"} for number, name in enumerate(devices, start=1)
    }
    box = {"at": [0, 0], "mains_rated": True, "contact_rated_a": 5.0, "outputs": outputs, **receiver}
    functions = {f"f{number}": {"output": f"larkfen/R1/{number}"} for number in outputs}
    premises = {"receivers": {"R1": box}, "devices": devices}
    return list(judge(wired_case(premises, functions=functions, region=region)))


def test_leak_by_hand() -> None:
    """Reactance of 100 nF at 50 Hz is 31.8 kohm, as in any table of capacitors: 230 V drive 7.2 mA."""
    assert leak_a(capacitance_f=100e-9, volts=230.0, frequency_hz=50.0) == pytest.approx(
        230 / 31_831, rel=1e-4
    )


@pytest.mark.parametrize(
    ("farads", "verdict"),
    [(6.90e-9, HOLDS), (6.91e-9, HOLDS), (6.93e-9, FAILS), (0.0, HOLDS), (None, UNKNOWN)],
)
def test_con_10_at_half_a_milliampere(farads: float | None, verdict: Verdict) -> None:
    """0.5 mA at 230 V and 50 Hz are 6.92 nF."""
    finding = finding_of(judged(devices={"it": LAMP}, contact_capacitance_f=farads), "CON-10")

    assert (finding.verdict, finding.stake) == (verdict, Stake.HARM)


def test_con_10_counts_the_frequency_of_the_region() -> None:
    """At 60 Hz a sixth more leaks: 6.5 nF are too much."""
    there = judged(devices={"it": LAMP}, contact_capacitance_f=6.5e-9, region="north america")

    assert finding_of(there, "CON-10").verdict is FAILS
    assert finding_of(judged(devices={"it": LAMP}, contact_capacitance_f=6.5e-9), "CON-10").verdict is HOLDS


def test_con_10_direct_current_does_not_leak() -> None:
    """A capacitor lets none through."""
    assert "CON-10" not in codes_of(
        judged(devices={"it": STRIKE}, contact_capacitance_f=1e-7), "fails", "unknown"
    )


@pytest.mark.parametrize(("apart", "verdict"), [(True, HOLDS), (False, FAILS), (None, UNKNOWN)])
def test_con_11_mains_beside_a_strike_wants_a_receiver_made_for_it(
    apart: bool | None, verdict: Verdict
) -> None:
    """Not known, nothing goes into service before it is."""
    finding = finding_of(judged(devices={"it": LAMP, "door": STRIKE}, contacts_apart=apart), "CON-11")

    assert (finding.verdict, finding.halts) == (verdict, verdict is UNKNOWN)


def test_con_11_one_kind_of_volts_is_no_question() -> None:
    """Two lamps on mains, or two strikes."""
    for device in (LAMP, STRIKE):
        assert "CON-11" not in {one.code for one in judged(devices={"a": device, "b": device})}


def test_con_11_a_receiver_not_made_for_mains_fails_elsewhere() -> None:
    """CON-05 refuses it already; nothing is asked twice."""
    found = judged(devices={"it": LAMP, "door": STRIKE}, mains_rated=False)

    assert "CON-11" not in {finding.code for finding in found}
    assert finding_of(found, "CON-05", "R1/1").verdict is FAILS


@pytest.mark.parametrize(
    ("peak_a", "pieces", "verdict"),
    [(18.0, 24, FAILS), (10.0, 32, Verdict.THIN), (10.0, 28, HOLDS), (None, 24, UNKNOWN)],
)
def test_con_15_a_contactor_that_is_there_makes_the_peak_of_today(
    peak_a: float | None, pieces: int, verdict: Verdict
) -> None:
    """24 drivers of 18 A are 432 A at 320 A, in two groups 216 A; whichever output works it, or none."""
    lamps = LAMP | {"peak_a": peak_a, "pieces": pieces, "contactor_make_a": 320.0}
    finding = finding_of(judge(wired_case({"devices": {"pier": lamps}})), "CON-15")

    assert finding.verdict is verdict
    if verdict is FAILS:
        assert "2 groups" in finding.remedies[0].does
