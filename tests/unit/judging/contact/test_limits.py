"""Every check of the contact at its limit, on both sides of it, and where thin begins."""

from __future__ import annotations

from typing import Any

import pytest

from farpress.domain.finding import Finding, Stake, Verdict
from farpress.judging.contact.load import judge
from helpers.findings import finding_of
from helpers.wired_case import wired_case

HOLDS, THIN, UNKNOWN, FAILS = Verdict.HOLDS, Verdict.THIN, Verdict.UNKNOWN, Verdict.FAILS

RECEIVER: dict[str, Any] = {
    "at": [0, 0],
    "contact_rated_a": 2.0,
    "contact_rated_v": 30.0,
    "contact_min_a": 0.010,
    "contact_min_v": 5.0,
    "mains_rated": False,
    "contact_life": 100_000,
    "fed": {"from": "main"},
}
HEATER: dict[str, Any] = {
    "device": "valve",
    "supply": "dc",
    "voltage_v": 12.0,
    "current_a": 1.0,
    "peak_a": 1.0,
    "load": "resistive",
}
MOTOR = HEATER | {"load": "motor", "current_a": 0.9, "peak_a": None, "motors": 1}
MAGNET = HEATER | {"device": "magnetic lock", "load": "inductive dc", "current_a": 0.5}
RELAY_COIL = HEATER | {"supply": "mains", "load": "coil ac", "current_a": 0.03}


def judged(device: dict[str, Any], receiver: dict[str, Any] | None = None, **output: Any) -> list[Finding]:
    """Findings of one output that works one device."""
    outputs = {"1": {"kind": "pulse", "works": "it.on", **output}}
    premises = {
        "supplies": {"main": {"supply": "dc", "voltage_v": 12.0}},
        "receivers": {"R1": RECEIVER | {"outputs": outputs} | (receiver or {})},
        "devices": {"it": device},
    }
    return list(judge(wired_case(premises, functions={"on": {"output": "larkfen/R1/1"}})))


def signal(*, amperes: float | None = 0.02, volts: float | None = 24.0) -> dict[str, Any]:
    """A drive with a command input."""
    return {
        "device": "sliding gate",
        "supply": "potential-free",
        "inputs": {"on": {"logic": "open only", "voltage_v": volts, "current_a": amperes}},
    }


@pytest.mark.parametrize(
    ("amperes", "verdict"), [(2.001, FAILS), (2.0, THIN), (1.501, THIN), (1.5, HOLDS), (0.1, HOLDS)]
)
def test_con_01_a_rating_of_two_amperes_is_thin_above_three_quarters(
    amperes: float, verdict: Verdict
) -> None:
    """A resistive load counts as it is."""
    finding = finding_of(judged(HEATER | {"current_a": amperes, "peak_a": 0.1}), "CON-01")

    assert finding.verdict is verdict
    assert finding.margin == pytest.approx(2.0 - amperes)
    assert finding.stake is Stake.WEAR


@pytest.mark.parametrize("missing", ["current_a", "load", "voltage_v", "supply"])
def test_con_01_a_load_of_which_something_is_missing_is_unknown(missing: str) -> None:
    """The question names what is missing."""
    finding = finding_of(judged(HEATER | {missing: None}), "CON-01")

    assert finding.verdict is UNKNOWN
    assert "it off its label" in finding.asks[0].says


def test_con_01_too_much_is_too_much_whatever_else_is_missing() -> None:
    """3 A of 2 A, of an unknown kind of load: no kind allows more than the rating."""
    assert finding_of(judged(HEATER | {"current_a": 3.0, "load": None}), "CON-01").verdict is FAILS


def test_con_01_a_coil_above_thirty_volts_can_burn() -> None:
    """The arc stands: this is no matter of wear."""
    coil = MAGNET | {"voltage_v": 48.0}

    assert finding_of(judged(coil, {"contact_rated_v": 125.0}), "CON-01").stake is Stake.HARM


@pytest.mark.parametrize(
    ("peak", "verdict"), [(10.01, FAILS), (10.0, THIN), (9.01, THIN), (9.0, HOLDS), (1.0, HOLDS)]
)
def test_con_02_a_making_current_of_ten_amperes_is_thin_within_a_tenth(peak: float, verdict: Verdict) -> None:
    """The contact's own making current."""
    finding = finding_of(judged(HEATER | {"peak_a": peak}, {"contact_make_a": 10.0}), "CON-02")

    assert finding.verdict is verdict
    assert finding.margin == pytest.approx(10.0 - peak)


@pytest.mark.parametrize(
    ("peak", "verdict", "limit"),
    [
        (1.79, HOLDS, 2.0),
        (2.0, THIN, 2.0),
        (2.01, UNKNOWN, 20.0),
        (20.0, UNKNOWN, 20.0),
        (20.01, FAILS, 20.0),
    ],
)
def test_con_02_without_a_making_current_the_rating_and_ten_times_it_count(
    peak: float, verdict: Verdict, limit: float
) -> None:
    """Rated 2 A: below it a peak is no matter, above 20 A it welds, between the two it must be asked."""
    finding = finding_of(judged(HEATER | {"peak_a": peak}), "CON-02")

    assert (finding.verdict, finding.limit) == (verdict, limit)


@pytest.mark.parametrize(
    ("make", "verdict"), [(4.49, FAILS), (4.51, UNKNOWN), (8.99, UNKNOWN), (9.01, THIN), (10.01, HOLDS)]
)
def test_con_02_a_usual_range_fails_by_its_least_and_holds_by_its_greatest(
    make: float, verdict: Verdict
) -> None:
    """A motor of 0.9 A peaks at 5 to 10 times that: 4.5 to 9 A."""
    assert finding_of(judged(MOTOR, {"contact_make_a": make}), "CON-02").verdict is verdict


@pytest.mark.parametrize(
    ("measured", "verdict"), [(10.01, FAILS), (10.0, THIN), (9.01, THIN), (9.0, HOLDS), (None, HOLDS)]
)
def test_con_02_a_peak_measured_in_the_line_counts_before_what_is_computed(
    measured: float | None, verdict: Verdict
) -> None:
    """What the pieces make of it by their labels is 1 A; the contact may make 10 A."""
    finding = finding_of(
        judged(HEATER | {"peak_a": 1.0}, {"contact_make_a": 10.0}, peak_a=measured), "CON-02"
    )

    assert finding.verdict is verdict
    assert ("measured in this line" in finding.says) is (measured is not None)


def test_con_02_an_inrush_limiter_makes_a_failure_unknown() -> None:
    """What it lets through is asked."""
    finding = finding_of(judged(HEATER | {"peak_a": 30.0}, limits_inrush=True), "CON-02")

    assert finding.verdict is UNKNOWN
    assert "inrush limiter lets through" in finding.asks[0].says


@pytest.mark.parametrize(("henry", "verdict"), [(0.850, HOLDS), (0.852, THIN)])
def test_con_03_a_lock_that_lets_go_after_fifty_milliseconds_is_noticed(
    henry: float, verdict: Verdict
) -> None:
    """24 ohm: L / 24 x ln(12.7 / 3.1) = 50 ms at 0.851 H."""
    finding = finding_of(judged(MAGNET | {"coil_h": henry}, suppression="diode"), "CON-03")

    assert finding.verdict is verdict


@pytest.mark.parametrize(
    ("pushes_s", "fitted", "verdict"),
    [
        (0.0471, "diode", HOLDS),
        (0.0469, "diode", FAILS),
        (0.2, "diode", HOLDS),
        (None, "diode", UNKNOWN),
        (0.04, "zener", HOLDS),
    ],
)
def test_con_03_a_drive_on_the_same_press_does_not_push_against_the_lock(
    pushes_s: float | None, fitted: str, verdict: Verdict
) -> None:
    """0.8 H over 24 ohm: L / R x ln(12.7 / 3.1) = 47.0 ms with a diode; the opener waits or not."""
    opener = {
        "device": "door",
        "supply": "potential-free",
        "pushes_after_s": pushes_s,
        "inputs": {"open": {"logic": "open only"}},
    }
    premises = {
        "supplies": {"main": {"supply": "dc", "voltage_v": 12.0}},
        "receivers": {
            "R1": RECEIVER
            | {
                "outputs": {
                    "1": {"kind": "pulse", "works": "it.on", "with_": ["opener.open"], "suppression": fitted}
                }
            }
        },
        "devices": {"it": MAGNET | {"coil_h": 0.8}, "opener": opener},
    }
    found = list(judge(wired_case(premises, functions={"on": {"output": "larkfen/R1/1"}})))
    finding = next(finding for finding in found if finding.code == "CON-03")

    assert finding.verdict is verdict
    if verdict is FAILS:
        assert "lets go after about 47 ms" in finding.says
        assert "pushes against it after 47 ms" in finding.says


@pytest.mark.parametrize(
    ("fitted", "reverses", "shorts"),
    [
        ("diode", "polarity", True),
        ("zener", "polarity", True),
        ("varistor", "polarity", False),
        ("none", "polarity", False),
        ("diode", "windings", False),
    ],
)
def test_con_03_a_diode_across_a_motor_that_is_turned_round_by_its_volts_is_a_short(
    fitted: str, reverses: str, shorts: bool
) -> None:
    """Changed over, the volts stand across the diode in the direction in which it conducts."""
    found = judged(MOTOR | {"reverses": reverses}, suppression=fitted)
    failing = [finding for finding in found if finding.code == "CON-03" and finding.verdict is FAILS]

    assert bool(failing) is shorts
    for finding in failing:
        assert finding.remedies[0].changes[0].value == "varistor"


@pytest.mark.parametrize(("ohm", "verdict"), [(23.9, THIN), (24.1, HOLDS), (None, THIN)])
def test_con_03_the_ohms_of_a_coil_count_as_they_are_read(ohm: float | None, verdict: Verdict) -> None:
    """0.852 H over R, with the drop of the diode against R times 0.5 A: 24 ohm as 12 V and 0.5 A say."""
    coil = {"coil_h": 0.852, "coil_ohm": ohm}

    assert finding_of(judged(MAGNET | coil, suppression="diode"), "CON-03").verdict is verdict


@pytest.mark.parametrize(("volts", "verdict"), [(294.0, HOLDS), (295.0, THIN)])
def test_con_03_a_tenth_of_its_current_holds_a_small_coil(volts: float, verdict: Verdict) -> None:
    """30 mA get 27 nF, which lets 3 mA through at 294.7 V and 60 Hz, taken where no region is given."""
    finding = finding_of(judged(RELAY_COIL | {"voltage_v": volts}, suppression="rc"), "CON-03")

    assert finding.verdict is verdict


@pytest.mark.parametrize(
    ("device", "fitted"), [(MAGNET | {"current_a": None}, "diode"), (RELAY_COIL | {"current_a": None}, "rc")]
)
def test_con_03_a_side_effect_that_cannot_be_computed_is_asked_for(
    device: dict[str, Any], fitted: str
) -> None:
    """Without its current nobody knows how late it lets go, or what holds it."""
    finding = finding_of(judged(device, suppression=fitted), "CON-03")

    assert finding.verdict is UNKNOWN
    assert "steady current of it" in finding.asks[0].says


@pytest.mark.parametrize(
    ("amperes", "verdict"),
    [(0.00999, FAILS), (0.010, THIN), (0.01099, THIN), (0.01101, HOLDS), (None, UNKNOWN)],
)
def test_con_04_a_contact_of_ten_milliamperes_is_thin_within_a_tenth(
    amperes: float | None, verdict: Verdict
) -> None:
    """What the input draws, against the least."""
    assert finding_of(judged(signal(amperes=amperes)), "CON-04").verdict is verdict


@pytest.mark.parametrize(("volts", "verdict"), [(4.99, FAILS), (5.0, HOLDS), (24.0, HOLDS), (None, UNKNOWN)])
def test_con_08_a_contact_of_five_volts_holds_from_five_volts_on(
    volts: float | None, verdict: Verdict
) -> None:
    """A class of voltage has no thin edge."""
    assert finding_of(judged(signal(volts=volts)), "CON-08").verdict is verdict


def test_con_08_asks_where_the_maker_names_no_least_voltage() -> None:
    """A contact that nobody describes is no better than one of 24 V, which fails here."""
    assert finding_of(judged(signal(volts=12.0), {"contact_min_v": 24.0}), "CON-08").verdict is FAILS
    assert finding_of(judged(signal(volts=12.0), {"contact_min_v": None}), "CON-08").verdict is UNKNOWN


@pytest.mark.parametrize(("rated", "verdict"), [(11.9, FAILS), (12.0, HOLDS), (30.0, HOLDS), (None, UNKNOWN)])
def test_con_05_a_rated_voltage_may_be_used_fully(rated: float | None, verdict: Verdict) -> None:
    """12 V."""
    finding = finding_of(judged(HEATER, {"contact_rated_v": rated}), "CON-05")

    assert finding.verdict is verdict
    assert not finding.bars


@pytest.mark.parametrize(("volts", "stake"), [(50.0, Stake.PROMISE), (51.0, Stake.HARM)])
def test_con_05_above_extra_low_voltage_somebody_can_be_hurt(volts: float, stake: Stake) -> None:
    """50 V is the upper limit of extra-low voltage in IEC 60364-4-41; from memory."""
    assert finding_of(judged(HEATER | {"voltage_v": volts}), "CON-05").stake is stake


def test_con_05_nobody_may_accept_mains_on_a_contact_not_made_for_it() -> None:
    """It bars, also where a contact of few volts is called rated for mains; at its very volts it holds."""
    mains = HEATER | {"supply": "mains", "voltage_v": 230.0}

    assert finding_of(judged(mains), "CON-05").bars
    for rated, verdict in ((229.0, FAILS), (230.0, HOLDS), (None, UNKNOWN)):
        contact = {"mains_rated": True, "contact_rated_v": rated}
        finding = finding_of(judged(mains, contact), "CON-05")
        assert (finding.verdict, finding.bars) == (verdict, verdict is FAILS)


@pytest.mark.parametrize(
    ("per_day", "verdict"), [(27.39, FAILS), (27.37, THIN), (13.70, THIN), (13.68, HOLDS)]
)
def test_con_06_ten_years_are_wanted_and_twice_as_much_is_no_longer_thin(
    per_day: float, verdict: Verdict
) -> None:
    """100 000 operations at the rated 2 A: 27.38 a day for ten years of 365.25 days."""
    device = HEATER | {"current_a": 2.0}
    finding = finding_of(judged(device, operations_per_day=per_day), "CON-06")

    assert finding.verdict is verdict
    assert finding.limit == pytest.approx(per_day * 3652.5)
    assert f"{100_000 / per_day / 365.25:.1f} years at {per_day:.3g} a day" in finding.says
    assert "Thin means less than 2 times that" in finding.because


@pytest.mark.parametrize(("amperes", "verdict"), [(0.270, UNKNOWN), (0.269, HOLDS)])
def test_con_06_without_a_forecast_a_thousand_a_day_count(amperes: float, verdict: Verdict) -> None:
    """Twice 1000 a day over ten years, 7 305 000, is enough: a million at 2 A are so many at 0.2694 A."""
    device = HEATER | {"current_a": amperes}

    assert finding_of(judged(device, {"contact_life": 1_000_000}), "CON-06").verdict is verdict


def test_con_06_an_unknown_life_is_asked_for_and_counts_as_nothing() -> None:
    """Its value is empty, so nobody takes the number wanted for the number expected."""
    finding = finding_of(judged(HEATER, {"contact_life": None}, operations_per_day=20.0), "CON-06")

    assert (finding.verdict, finding.value) == (UNKNOWN, None)
    assert "life at its rated load" in finding.asks[0].says


@pytest.mark.parametrize(
    ("motors", "separation", "verdict"),
    [(1, None, HOLDS), (2, True, HOLDS), (2, None, FAILS), (2, False, FAILS)],
)
def test_con_07_a_contact_works_one_motor(motors: int, separation: bool | None, verdict: Verdict) -> None:
    """Or as many as a separation relay keeps apart."""
    device = MOTOR | {"motors": motors, "separation_relay": separation}

    assert finding_of(judged(device), "CON-07").verdict is verdict


def test_con_06_no_more_years_are_said_than_anybody_waits_for() -> None:
    """A million operations at the rated 2 A and 20 a day: 136.9 years; 99 are said."""
    device = HEATER | {"current_a": 2.0}
    finding = finding_of(judged(device, {"contact_life": 1_000_000}, operations_per_day=20.0), "CON-06")

    assert "99.0 years at 20 a day" in finding.says


@pytest.mark.parametrize(
    ("contacts", "verdict"),
    [
        (None, Verdict.FAILS),
        ({"2": {"contact_min_a": 0.001}}, Verdict.FAILS),
        ({"1": {"contact_min_a": 0.0021}}, Verdict.FAILS),
        ({"1": {"contact_min_a": 0.002}}, Verdict.THIN),
        ({"1": {"contact_min_a": 0.001}}, Verdict.HOLDS),
    ],
)
def test_con_04_the_contact_of_one_output_may_differ_from_the_others(
    contacts: dict[str, Any] | None, verdict: Verdict
) -> None:
    """Signal contacts beside power contacts: 2 mA of an input on one that needs no more."""
    found = judged(signal(amperes=0.002), {"contact_min_a": 0.1, "contacts": contacts})

    assert finding_of(found, "CON-04").verdict is verdict
    assert finding_of(found, "CON-08").verdict is Verdict.HOLDS  # what is not given there is as of the others
