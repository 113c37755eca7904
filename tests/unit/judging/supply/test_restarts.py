"""A siren takes volts from a receiver that does not work it: what is left, and what stands how afterwards."""

from __future__ import annotations

from typing import Any

import pytest

from farpress.domain.finding import Finding, Stake, Verdict
from farpress.judging.supply.volts import judge
from helpers.circuit_jobs import RECEIVER, STRIKE, SUPPLY
from helpers.findings import finding_of
from helpers.wired_case import wired_case

CABLES: dict[str, dict[str, Any]] = {"ohm": {"resistance_ohm_per_km": 1000 / 1.1179, "cores": 4}}
"""`ohm` has 1 ohm in each core of 1 m at 50 °C, by 1 + 0.00393 x 30 = 1.1179."""
SIREN: dict[str, Any] = {"device": "sounder", "supply": "dc", "current_rest_a": 0.0, "load": "capacitive"}


def judged(siren_a: float | None, output: dict[str, Any] | None = None, **box: Any) -> list[Finding]:
    """A siren whose return lies in that of the receiver, 1 ohm; the supply falls to 10.8 V.

    At the receiver: 10.8 V less 18 mA through its two cores, less the siren's current through one.
    """
    first = {"kind": "toggle", "works": "lamp.on", "load_from": "lone"} | (output or {})
    feed = {"from": "main", "cable": {"part": "ohm", "length_m": 1.0}}
    own = {"from": "main", "cable": {"part": "ohm", "length_m": 1.0, "shares_return_with": "R1"}}
    return list(
        judge(
            wired_case(
                {
                    "supplies": {"main": SUPPLY | {"source_ohm": 0.0}, "lone": SUPPLY},
                    "receivers": {"R1": RECEIVER | {"fed": feed, "outputs": {"1": first}} | box},
                    "devices": {
                        "siren": SIREN | {"current_a": siren_a, "fed": own},
                        "lamp": STRIKE | {"device": "lamp", "load": "resistive", "current_a": 0.1},
                        "lock": STRIKE,
                    },
                    "panels": {"alarm": {}},
                },
                cables=CABLES,
            )
        )
    )


@pytest.mark.parametrize(
    ("siren_a", "verdict"), [(1.75, Verdict.HOLDS), (1.7639, Verdict.HOLDS), (1.7641, Verdict.FAILS)]
)
def test_sup_16_a_siren_that_leaves_less_than_nine_volts(siren_a: float, verdict: Verdict) -> None:
    """10.8 - 0.018 x 2 - 1.764 = 9.000 V, by hand."""
    finding = finding_of(judged(siren_a), "SUP-16")

    assert finding.value == pytest.approx(10.8 - 0.036 - siren_a, abs=1e-3)
    assert finding.verdict in (verdict, Verdict.THIN if verdict is Verdict.HOLDS else verdict)
    assert "siren is on in an alarm" in finding.says
    assert ("begins anew" in finding.because) is (verdict is Verdict.FAILS)


@pytest.mark.parametrize(
    ("output", "box", "says", "stake"),
    [
        ({"kind": "toggle"}, {"toggle_after_power_return": "off"}, "lamp.on is off then", Stake.PROMISE),
        ({"kind": "toggle"}, {"toggle_after_power_return": "as before"}, "stands as before", Stake.PROMISE),
        ({"kind": "toggle"}, {}, "as nobody can say", Stake.PROMISE),
        ({"kind": "pulse", "for_s": 60.0}, {}, "A pulse for lamp.on ends early", Stake.PROMISE),
        ({"kind": "latch", "works": "lock.release"}, {"toggle_after_power_return": "off"}, "", Stake.HARM),
    ],
)
def test_what_stands_how_once_the_receiver_began_anew(
    output: dict[str, Any], box: dict[str, Any], says: str, stake: Stake
) -> None:
    """By what the receiver does when power returns: a sag is a power cut to it."""
    finding = finding_of(judged(2.0, output, **box), "SUP-16")

    assert finding.verdict is Verdict.FAILS
    assert says in finding.because
    assert finding.stake is stake


def test_a_siren_that_takes_next_to_nothing_is_not_told_of() -> None:
    """Below a fiftieth of the volts at rest: 10.764 V x 0.02 = 0.215 V."""
    assert not [finding for finding in judged(0.21) if finding.code == "SUP-16"]
    assert [finding for finding in judged(0.22) if finding.code == "SUP-16"]


def test_a_receiver_of_which_nobody_says_its_least_volts_is_asked_about() -> None:
    """Missing is never better."""
    finding = finding_of(judged(2.0, voltage_min_v=None), "SUP-16")

    assert finding.verdict is Verdict.UNKNOWN
    assert finding.asks
