"""A supply fed by the sun: the darkest month against the charge of a day, and how long the battery lasts."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest

from farpress.core.wiring.solar import days_until_empty, panel_power_w, yield_ah_per_day
from farpress.domain.finding import Finding, Verdict
from farpress.judging.supply.solar import _mends
from farpress.judging.supply.volts import judge
from helpers.findings import codes_of, finding_of
from helpers.wired_case import wired_case

HOLDS, THIN, UNKNOWN, FAILS = Verdict.HOLDS, Verdict.THIN, Verdict.UNKNOWN, Verdict.FAILS
SUN: dict[str, Any] = {
    "power_w": 20.0,
    "sun_s": {"dec": 0.7 * 3600, "jun": 5 * 3600.0},
    "yield_share": 0.65,
    "charge_v": 13.0,
}
RUN: dict[str, Any] = {"part": "twin-1.5", "length_m": 1.0}


def judged(
    *,
    moves: float | None = 20.0,
    daily_s: float | None = 3 * 3600.0,
    pieces: int | None = None,
    output: dict[str, Any] | None = None,
    winder: dict[str, Any] | None = None,
    gate_more: dict[str, Any] | None = None,
    **solar: Any,
) -> list[Finding]:
    """A receiver of 18 mA with a relay of 22 mA, on for three hours; a gate of 12 mA that moves 20 times,
    4.5 A for 24 s: 0.432 + 0.066 + 0.288 + 0.600 = 1.386 Ah.
    """
    receiver = {
        "at": [0, 0],
        "supply": "dc",
        "current_idle_a": 0.018,
        "current_per_relay_a": 0.022,
        "fed": {"from": "top", "cable": RUN},
        "outputs": {"1": output or {"kind": "toggle", "works": "valve.on", "daily_s": daily_s}},
    }
    gate = {
        "device": "swing gate",
        "supply": "dc",
        "current_a": 4.5,
        "current_rest_a": 0.012,
        "travel_s": 24.0,
        "moves_per_day": moves,
        "pieces": pieces,
        "fed": {"from": "top", "cable": RUN},
        **(gate_more or {}),
    }
    valve = {"device": "valve", "supply": "potential-free", "inputs": {"on": {"logic": "on"}}}
    house = {
        "supplies": {
            "top": {
                "supply": "dc",
                "voltage_v": 12.0,
                "voltage_min_v": 11.5,
                "voltage_max_v": 14.4,
                "rated_a": 10.0,
                "battery": {"capacity_ah": 12.0, "usable_share": 0.6, "voltage_v": 12.0},
                "solar": SUN | solar,
            }
        },
        "receivers": {"RT": receiver},
        "devices": {"gate": gate, "valve": valve} | ({"winder": winder} if winder else {}),
    }
    return list(judge(wired_case(house)))


def test_a_battery_played_day_by_day_is_empty_when_the_formula_says() -> None:
    """In steps of a thousandth of a day, from full to empty."""
    charge, days = 7.2, 0.0
    while charge > 0:
        charge += (yield_ah_per_day(power_w=20.0, sun_s=0.7 * 3600, share=0.65, charge_v=13.0) - 1.386) / 1000
        days += 0.001

    assert days_until_empty(usable_ah=7.2, used_ah=1.386, yield_ah=0.7) == pytest.approx(days, abs=0.002)


def test_a_panel_of_the_power_that_is_asked_for_brings_what_is_wanted() -> None:
    """There and back."""
    power = panel_power_w(wanted_ah=1.8, sun_s=2520.0, share=0.65, charge_v=13.0)

    assert yield_ah_per_day(power_w=power, sun_s=2520.0, share=0.65, charge_v=13.0) == pytest.approx(1.8)


def test_sup_30_the_darkest_month_brings_half_of_what_is_used() -> None:
    """0.70 Ah of 1.386: 7.2 Ah last 5.2 days without sun and 10.5 with it; 52 W bring 30 % more."""
    found = judged()
    finding = finding_of(found, "SUP-30")

    assert finding.verdict is FAILS
    assert finding.value == pytest.approx(0.70)
    assert finding.limit == pytest.approx(1.386, abs=0.001)
    assert "In dec" in finding.says
    assert "At rest 0.72 Ah a day; larkfen/RT/1 0.066 Ah; gate 0.6 Ah for 20 movements." in finding.because
    assert "5.2 days without sun, and 10.5 days with it" in finding.because
    assert "at least 52 W" in finding.remedies[0].does
    assert "SUP-08" not in {other.code for other in found}  # a panel is no charger on the mains


def test_sup_30_a_drive_with_its_own_control_draws_its_current_while_it_moves() -> None:
    """Not all day long, 108 Ah: what it waits with is asked, and 1.386 - 0.288 = 1.098 Ah are known."""
    finding = finding_of(
        judged(gate_more={"supply": "potential-free", "current_rest_a": None}, power_w=60.0), "SUP-30"
    )

    assert finding.verdict is UNKNOWN
    assert finding.limit == pytest.approx(1.098, abs=0.001)
    assert "gate while it waits" in " ".join(ask.says for ask in finding.asks)


@pytest.mark.parametrize(("power", "verdict"), [(39.5, FAILS), (39.7, THIN), (51.4, THIN), (51.6, HOLDS)])
def test_sup_30_at_its_limit_and_where_thin_begins(power: float, verdict: Verdict) -> None:
    """1.386 Ah at 39.6 W, and 30 % more at 51.48 W."""
    assert finding_of(judged(power_w=power), "SUP-30").verdict is verdict


@pytest.mark.parametrize(
    "missing",
    [
        {"moves": None},
        {"daily_s": None},
        {"sun_s": {}},
        {"yield_share": None},
        {"charge_v": None},
        {"power_w": None},
    ],
)
def test_sup_30_what_is_not_known_is_asked_and_makes_nothing_well(missing: dict[str, Any]) -> None:
    """With sun in plenty, too."""
    found = judged(**{"power_w": 500.0, **missing})

    assert "SUP-30" in codes_of(found, "unknown")
    assert len(finding_of(found, "SUP-30").asks) == 1


def test_every_piece_that_moves_draws_its_own() -> None:
    """Two leaves of 4.5 A for 24 s, 20 times: 1.2 Ah."""
    assert "gate 1.2 Ah for 20 movements" in finding_of(judged(pieces=2), "SUP-30").because


@pytest.mark.parametrize(
    ("per_day", "told"), [(30.0, "0.011"), (2000.0, "0.53"), (3.0, "0.0011"), (2.6, None)]
)
def test_a_pulse_is_on_as_often_as_it_is_given(per_day: float, told: str | None) -> None:
    """22 mA for 60 s, 30 times: 0.011 Ah; never for more than the day: 0.528 Ah; below 1 mAh it is not
    told.
    """
    pulse = {"kind": "pulse", "for_s": 60.0, "works": "valve.on", "operations_per_day": per_day}
    because = finding_of(judged(output=pulse), "SUP-30").because

    assert ("larkfen/RT/1" in because) is (told is not None)
    assert told is None or f"larkfen/RT/1 {told} Ah" in because


@pytest.mark.parametrize(
    ("moves", "worst", "told"), [(30.0, None, 0.36), (30.0, 40.0, 0.6), (None, 40.0, None)]
)
def test_what_an_output_feeds_runs_for_its_travels(
    moves: float | None, worst: float | None, told: float | None
) -> None:
    """1.8 A over the contact of the receiver, 30 travels of 24 s, in frost of 40 s: 0.36 and 0.6 Ah."""
    winder = {"device": "screen", "supply": "dc", "current_a": 1.778, "travel_s": 24.0}
    winder |= {"travel_worst_s": worst, "moves_per_day": moves, "inputs": {"up": {"logic": "up"}}}
    output = {"kind": "follow", "works": "winder.up", "load_from": "top", "cable": RUN}
    finding = finding_of(judged(output=output, power_w=500.0, winder=winder), "SUP-30")

    assert (told is None) is bool(finding.asks)
    assert told is None or f"larkfen/RT/1 {told:g} Ah" in finding.because


def test_a_panel_of_whole_watts_is_not_rounded_up_by_what_a_float_leaves() -> None:
    """52 W and a last digit are 52 W."""
    solar: Any = SimpleNamespace(yield_share=0.65, charge_v=13.0)
    used = 52.0 * (1 + 1e-12) * 2520.0 * 0.65 / (1.3 * 13.0 * 3600.0)

    assert "at least 52 W" in _mends(solar, "dec", 2520.0, used)[0].does
