"""Batteries in the cold: what must not be charged, what freezes, and what no rule kept here tells."""

from __future__ import annotations

from typing import Any

import pytest

from farpress.domain.finding import Finding, Verdict
from farpress.judging.supply.volts import judge
from helpers.circuit_jobs import RECEIVER, SUPPLY
from helpers.findings import finding_of
from helpers.wired_case import wired_case

HOLDS, THIN, UNKNOWN, FAILS = Verdict.HOLDS, Verdict.THIN, Verdict.UNKNOWN, Verdict.FAILS
SOLAR: dict[str, Any] = {"power_w": 20.0, "sun_s": {"dec": 2520.0}, "yield_share": 0.65, "charge_v": 13.0}


def judged(battery: dict[str, Any], *, solar: bool = False, **supply: Any) -> list[Finding]:
    """A receiver of 18 mA on a supply with a battery of 12 Ah, that must carry it for 12 h."""
    own = SUPPLY | {"battery": {"capacity_ah": 12.0, "end_v": 10.5} | battery, "standby_s": 43_200.0} | supply
    return list(
        judge(
            wired_case(
                {
                    "supplies": {"main": own | ({"solar": SOLAR} if solar else {})},
                    "receivers": {"R1": RECEIVER | {"fed": {"from": "main"}}},
                }
            )
        )
    )


@pytest.mark.parametrize(
    ("battery", "solar", "verdict"),
    [
        ({"chemistry": "lithium", "coldest_degc": 0.0}, False, HOLDS),
        ({"chemistry": "lithium", "coldest_degc": -0.1}, False, FAILS),
        ({"chemistry": "lithium", "coldest_degc": -0.1, "charge_from_degc": -10.0}, False, HOLDS),
        ({"chemistry": "lithium", "coldest_degc": -10.1, "charge_from_degc": -10.0}, False, FAILS),
        ({"chemistry": "lithium"}, False, UNKNOWN),
        ({"chemistry": "other", "coldest_degc": 5.0}, False, UNKNOWN),
        ({"coldest_degc": 5.0}, False, UNKNOWN),
        ({"chemistry": "lead", "coldest_degc": -8.0}, True, HOLDS),
        ({"chemistry": "lead", "coldest_degc": -8.1}, True, FAILS),
        ({"chemistry": "lead"}, True, UNKNOWN),
        ({}, True, UNKNOWN),
    ],
)
def test_sup_17_how_cold_a_battery_may_become(battery: dict[str, Any], solar: bool, verdict: Verdict) -> None:
    """Lithium at 0 °C or as its sheet says; lead that only the sun charges at -8 °C, where it is empty."""
    finding = finding_of(judged(battery, solar=solar), "SUP-17")

    assert finding.verdict is verdict
    assert bool(finding.asks) is (verdict is UNKNOWN)


def test_lead_on_the_mains_may_stand_in_any_cold() -> None:
    """It is charged again within the day."""
    findings = judged({"chemistry": "lead", "coldest_degc": -20.0})

    assert not [finding for finding in findings if finding.code == "SUP-17"]


@pytest.mark.parametrize(
    ("battery", "verdict"),
    [
        ({"chemistry": "lead", "coldest_degc": 10.0}, HOLDS),
        ({"chemistry": "lithium", "coldest_degc": 10.0}, UNKNOWN),
        ({"coldest_degc": 10.0}, UNKNOWN),
        ({"coldest_degc": 10.0, "usable_share": 0.8}, HOLDS),
        ({"chemistry": "lithium", "usable_share": 0.8}, HOLDS),
    ],
)
def test_sup_04_only_lead_is_counted_by_the_rule_for_lead(battery: dict[str, Any], verdict: Verdict) -> None:
    """Of any other the usable share is asked; nothing improves where nobody says what it is made of."""
    assert finding_of(judged(battery), "SUP-04").verdict is verdict


def test_days_without_sun_are_counted_in_the_cold() -> None:
    """By hand: 12 Ah / (1.25 x 1.43) at -1.1 °C = 6.71 Ah, 18 mA x 24 h = 0.432 Ah a day: 15.5 days."""
    finding = finding_of(judged({"chemistry": "lead", "coldest_degc": -1.1}, solar=True), "SUP-30")

    assert "6.71 Ah" in finding.because
    assert "15.5 days without sun" in finding.because
