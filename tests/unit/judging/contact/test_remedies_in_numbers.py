"""What a remedy says in numbers, worked out by hand from the formula it stands on."""

from __future__ import annotations

from typing import Any

import pytest

from farpress.domain.finding import Finding, Verdict
from farpress.judging.contact.load import judge
from farpress.judging.contact.relay_choice import TriedCoil
from helpers.findings import finding_of
from helpers.wired_case import wired_case

MAGNET: dict[str, Any] = {
    "device": "magnetic lock",
    "supply": "dc",
    "voltage_v": 12.0,
    "current_a": 0.5,
    "load": "inductive dc",
    "coil_h": 4.0,
}
VALVE: dict[str, Any] = {
    "device": "valve",
    "supply": "ac",
    "voltage_v": 24.0,
    "current_a": 0.25,
    "load": "coil ac",
}
HEATER: dict[str, Any] = {"device": "valve", "supply": "dc", "voltage_v": 12.0, "load": "resistive"}
RELAY: dict[str, Any] = {
    "coil_v": 12.0,
    "coil_a": 0.04,
    "coil_supply": "dc",
    "contact_rated_a": 10.0,
    "contact_rated_v": 30.0,
    "contact_make_a": 30.0,
}


def judged(
    device: dict[str, Any],
    *,
    relay: dict[str, Any] | None = None,
    supply: dict[str, Any] | None = None,
    receiver: dict[str, Any] | None = None,
    region: str | None = None,
    **output: Any,
) -> list[Finding]:
    """Findings of one output that works one device; the relay may stand between."""
    premises = {
        "supplies": {
            "main": {
                "supply": "dc",
                "voltage_v": 12.0,
                "voltage_min_v": 12.0,
                "rated_a": 1.0,
                **(supply or {}),
            }
        },
        "receivers": {
            "R1": {
                "at": [0, 0],
                "contact_rated_a": 1.0,
                "contact_rated_v": 30.0,
                "current_idle_a": 0.02,
                "current_per_relay_a": 0.02,
                "fed": {"from": "main"},
                "outputs": {"1": {"kind": "pulse", "works": "it.on", **output}},
                **(receiver or {}),
            }
        },
        "devices": {"it": device},
    }
    relays = {"helper": relay} if relay is not None else None
    case = wired_case(premises, relays=relays, functions={"on": {"output": "larkfen/R1/1"}}, region=region)
    return list(judge(case))


def remedies(device: dict[str, Any], code: str = "CON-03", **more: Any) -> str:
    """Reason, remedies and effects of a finding in one text."""
    finding = finding_of(judged(device, **more), code)
    told = (f"{remedy.does} {remedy.effect}" for remedy in finding.remedies)
    return " ".join((finding.says, finding.because, *told))


@pytest.mark.parametrize(
    "number",
    [
        "about 500 mJ",  # 4 H x (0.5 A)^2 / 2
        "235.0 ms later with a diode",  # 4 / 24 x ln((12 + 0.7) / (2.4 + 0.7))
        "82.0 ms with diode and zener",  # 4 / 24 x ln((12 + 12.7) / (2.4 + 12.7))
        "at least 120 V and 500 mA",  # ten times the voltage
        "zener of 12 V",
        "25 V at the contact",  # 2 x 12 + 0.7
        "0.47 uF",  # 1 uF for each ampere, next of E12
    ],
)
def test_a_coil_on_direct_current_is_sized(number: str) -> None:
    """24 ohm and 4 H; a coil lets go at a fifth of its current (from memory)."""
    assert number in remedies(MAGNET, suppression="none")


@pytest.mark.parametrize(
    "number",
    [
        "at least 32 V AC",  # 24 V x 1.1 x 1.2, what an unloaded transformer rises to with high mains
        "0.27 uF",  # 0.25 uF, next of E12
        "2.443 mA",  # 2 pi 60 Hz x 0.27 uF x 24 V
    ],
)
def test_a_coil_on_alternating_current_is_sized(number: str) -> None:
    """Varistor and RC element, both as relay application notes size them."""
    assert number in remedies(VALVE, suppression="none")


@pytest.mark.parametrize(
    ("region", "leak"), [("europe", "2.036 mA"), ("north america", "2.443 mA"), (None, "2.443 mA")]
)
def test_an_rc_element_leaks_by_the_mains_frequency_of_the_region(region: str | None, leak: str) -> None:
    """2 pi f x 0.27 uF x 24 V; where no region is given, the frequency at which more leaks."""
    assert leak in remedies(VALVE, suppression="none", region=region)


@pytest.mark.parametrize(("highest", "least"), [(31.7, "32 V AC"), (26.0, "30 V AC"), (None, "32 V AC")])
def test_a_varistor_bears_what_its_own_supply_rises_to(highest: float | None, least: str) -> None:
    """1.25 x 24 V would conduct for good on a transformer that rises to 31.7 V."""
    supply = {"supply": "ac", "voltage_v": 24.0, "voltage_max_v": highest}

    assert f"varistor of at least {least}" in remedies(
        VALVE, supply=supply, suppression="none", load_from="main"
    )


@pytest.mark.parametrize(("fitted", "volts"), [("zener", "49 V"), ("varistor", "99 V"), ("diode", "")])
def test_what_a_suppressor_leaves_at_the_contact_is_held_against_what_it_may_switch(
    fitted: str, volts: str
) -> None:
    """24 V with a zener of 24 and 0.7; a varistor of 30 V holds at 2.5 times that; 30 V may be switched."""
    finding = finding_of(judged(MAGNET | {"voltage_v": 24.0, "coil_h": 0.1}, suppression=fitted), "CON-03")

    assert finding.verdict is (Verdict.THIN if volts else Verdict.HOLDS)
    assert not volts or f"about {volts} stand across contact 1 of R1, which may switch 30 V" in finding.says


def test_a_zener_that_the_contact_cannot_bear_is_not_offered() -> None:
    """48.7 V at a contact of 30 V; at 12 V it is offered."""
    high = MAGNET | {"voltage_v": 24.0}

    assert "with a zener of" not in remedies(high, suppression="none")
    assert "with a zener of 12 V" in remedies(MAGNET, suppression="none")


def test_a_slow_lock_is_told_what_a_zener_gains() -> None:
    """The same 82 ms beside the 235 of the diode."""
    text = remedies(MAGNET, suppression="diode")

    assert "only after about 235 ms" in text
    assert "lets go after about 82 ms" in text


def test_a_leaking_rc_element_is_replaced_by_a_varistor_of_its_voltage() -> None:
    """400 V: 1.25 times that."""
    coil = VALVE | {"supply": "mains", "voltage_v": 400.0, "current_a": 0.03}

    assert "varistor of at least 500 V AC instead" in remedies(coil, suppression="rc")


@pytest.mark.parametrize(("volts", "is_offered"), [(13.1, True), (13.3, False), (9.7, True), (9.5, False)])
def test_a_coil_is_tried_from_four_fifths_to_eleven_tenths_of_its_supply(
    volts: float, is_offered: bool
) -> None:
    """12 V: coils of 9.6 to 13.2 V; common practice, no source."""
    text = remedies(HEATER | {"current_a": 5.0}, "CON-01", relay=RELAY | {"coil_v": volts})

    assert ("Let helper switch it." in text) is is_offered


def test_a_relay_adds_its_coil_to_what_the_supply_gives_already() -> None:
    """20 mA at rest, 20 mA of the receiver's own relay, 40 mA of the coil, 100 mA of a charger."""
    text = remedies(HEATER | {"current_a": 5.0}, "CON-01", relay=RELAY, supply={"charge_a": 0.1})

    assert "main then gives 180 mA of 1 A" in text


def test_an_alternating_peak_is_the_crest_over_the_cable() -> None:
    """24 V x 1.414 over 2 x 40 m of 96 ohm/km, hot (x 1.1179): 3.95 A."""
    finding = finding_of(
        judged(
            VALVE | {"load": "capacitive", "peak_a": 30.0},
            supply={"supply": "ac", "voltage_v": 24.0},
            load_from="main",
            cable={"part": "alarm-6x0.22", "length_m": 40.0},
        ),
        "CON-02",
    )

    assert finding.value == pytest.approx(24 * 2**0.5 / (2 * 40 * 96 / 1000 * 1.1179), rel=1e-3)


def test_the_sentence_says_where_thin_begins() -> None:
    """Above 75 % of what is allowed, with a quarter of spread."""
    assert "above 75 % of what is allowed" in remedies(HEATER | {"current_a": 0.1}, "CON-01")


def test_a_life_is_told_in_years_and_where_thin_begins() -> None:
    """Less than twice what is wanted."""
    text = remedies(HEATER | {"current_a": 1.0}, "CON-06", operations_per_day=10.0)

    assert "makes 36,525 operations in 10 years" in text


DRIVERS: dict[str, Any] = {
    "device": "lamp",
    "supply": "dc",
    "voltage_v": 12.0,
    "current_a": 0.5,
    "load": "capacitive",
    "peak_a": 20.0,
}


@pytest.mark.parametrize(
    ("pieces", "peak_a", "says"),
    [
        (2, 20.0, "Split it: at most 1 of 2 pieces on one contact, 2 contacts."),  # 30 / 20
        (5, 14.0, "Split it: at most 2 of 5 pieces on one contact, 3 contacts."),  # 30 / 14, 5 / 2
        (2, 40.0, "Splitting does not help: one piece alone makes 40 A."),
    ],
)
def test_pieces_are_spread_over_contacts(pieces: int, peak_a: float, says: str) -> None:
    """Their peaks add up; a contact that makes 30 A takes as many as fit."""
    receiver = {"contact_make_a": 30.0}
    text = remedies(DRIVERS | {"pieces": pieces, "peak_a": peak_a}, "CON-02", receiver=receiver)

    assert f"{pieces} x {peak_a:g} A of" in text
    assert says in text


def test_one_piece_cannot_be_split() -> None:
    """It has one peak."""
    text = remedies(DRIVERS | {"peak_a": 40.0}, "CON-02", receiver={"contact_make_a": 30.0})

    assert "plit" not in text
    assert "1 x" not in text


def test_a_motor_above_thirty_volts_needs_ten_times_its_current() -> None:
    """No contact is rated for it on direct current; a tenth of a resistive rating is left above 30 V."""
    motor = HEATER | {"voltage_v": 48.0, "current_a": 0.5, "load": "motor"}

    assert "rated at 48 V for at least 5 A resistive" in remedies(motor, "CON-05")


def test_a_load_of_a_voltage_that_nobody_knows_counts_as_it_is() -> None:
    """5 A are 5 A, of a contact for 1 A; no relay is asked for more."""
    finding = finding_of(judged(HEATER | {"voltage_v": None, "current_a": 5.0}), "CON-01")

    assert finding.value == pytest.approx(5.0)
    assert "for at least 5 A resistive" in finding.remedies[0].does


def test_the_element_to_fit_is_told_in_microfarads() -> None:
    """0.25 A x 1 uF, the next of E12."""
    assert "Fit an RC element of 0.27 uF (non-polar)" in remedies(VALVE, suppression="none")


@pytest.mark.parametrize(("load", "peak"), [("lamp", "75 A"), ("resistive", "5 A"), ("motor", "50 A")])
def test_the_relay_to_find_makes_the_greatest_usual_peak(load: str, peak: str) -> None:
    """5 A: fifteen times that for a lamp, ten times for a motor."""
    assert f"and {peak} making" in remedies(HEATER | {"load": load, "current_a": 5.0}, "CON-01")


@pytest.mark.parametrize(("volts", "amperes", "first"), [(24.0, 0.25, "RC"), (400.0, 0.03, "varistor")])
def test_an_rc_element_is_offered_first_where_what_it_leaks_holds_nothing(
    volts: float, amperes: float, first: str
) -> None:
    """0.27 uF leak 2.4 mA at 24 V and 60 Hz, a tenth of 250 mA are 25 mA; 0.027 uF leak 4 mA at 400 V, a
    tenth of 30 mA are 3 mA.
    """
    coil = VALVE | {"supply": "ac" if volts < 100 else "mains", "voltage_v": volts, "current_a": amperes}
    finding = finding_of(judged(coil, suppression="none"), "CON-03")

    assert f"Fit a{'n' if first == 'RC' else ''} {first}" in finding.remedies[0].does


@pytest.mark.parametrize(("total_a", "holds"), [(0.1 + 0.2, True), (0.29, True), (0.31, False)])
def test_a_supply_may_be_used_to_its_rating(total_a: float, holds: bool) -> None:
    """0.3 A of 0.3 A, whatever the last digit of the sum."""
    assert TriedCoil(None, None, "main", total_a, 0.3, None).holds is holds
