"""People inside when an alarm is set: by press, with a part set, and for others."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest

from farpress.core.keys.inside import share_somebody_inside
from farpress.domain.finding import Finding, Stake, Verdict
from farpress.judging.panel.inside import judge
from helpers.findings import finding_of
from helpers.wired_case import wired_case

HOLDS, THIN, UNKNOWN, FAILS = Verdict.HOLDS, Verdict.THIN, Verdict.UNKNOWN, Verdict.FAILS


def judged(
    area: dict[str, Any] | None, *, part: bool = False, kind: str | None = None, **panel: Any
) -> list[Finding]:
    """One panel that is set, unset and perhaps part set by a fob."""
    inputs = {"set": {"reads": "set pulse"}, "unset": {"reads": "unset pulse"}}
    if part:
        inputs["part"] = {"reads": "set pulse" if kind else "part set pulse"}
    pins = list(inputs)
    outputs = {
        str(n): {"kind": "pulse", "for_s": 1.0, "works": f"alarm.{pin}"} for n, pin in enumerate(pins, 1)
    }
    areas = {} if area is None else {"block": area}
    return list(
        judge(
            wired_case(
                {
                    "receivers": {"R1": {"at": [0, 0], "outputs": outputs}},
                    "panels": {"alarm": {"inputs": inputs, "areas": areas, **panel}},
                },
                functions={
                    pin: {"output": f"larkfen/R1/{n}", "kind": kind if pin == "part" else None}
                    for n, pin in enumerate(pins, 1)
                },
                groups={
                    "nurses": {"fob": "f", "count": 2, "buttons": {"1": "part"} if part else {"1": "unset"}},
                    "cleaner": {"fob": "f", "count": 1, "buttons": {"1": "set"}},
                },
            )
        )
    )


def test_somebody_inside_as_often_as_a_place_played_through_says() -> None:
    """20 000 hours played with numpy's arrivals and stays of any length: within three standard errors."""
    rng = np.random.default_rng(7)
    for per_hour, stay_h in ((1.2, 25 / 60), (14.0, 5 / 60)):
        hours = 20_000.0
        begin = np.sort(rng.uniform(0.0, hours, rng.poisson(per_hour * hours)))
        end = begin + rng.exponential(stay_h, begin.size)
        asked = rng.uniform(10.0, hours, 4000)
        inside = [bool(np.any((begin <= at) & (end > at))) for at in asked]
        share = share_somebody_inside(arrivals_per_day=24.0 * per_hour, stay_s=3600.0 * stay_h)
        assert abs(np.mean(inside) - share) < 3.0 * math.sqrt(share * (1 - share) / asked.size)


@pytest.mark.parametrize(
    ("per_hour", "verdict"), [(0.0242, FAILS), (0.0241, THIN), (0.0218, THIN), (0.0216, HOLDS), (14.0, FAILS)]
)
def test_pan_18_one_in_a_hundred_is_the_most(per_hour: float, verdict: Verdict) -> None:
    """1 - exp(-rate x 25 min) = 1 % at 0.02412 an hour, 0.9 % at 0.02170."""
    area = {"arrivals_per_day": {"day": 24.0 * per_hour}, "stay_s": 1500.0, "set_prevented_by": []}
    finding = finding_of(judged(area), "PAN-18")

    assert (finding.verdict, finding.stake) == (verdict, Stake.HARM)
    assert finding.value == pytest.approx(1 - math.exp(-per_hour * 25 / 60))


@pytest.mark.parametrize(
    ("area", "verdict"),
    [
        ({"arrivals_per_day": {"day": 336.0}, "stay_s": 1500.0, "set_prevented_by": ["movement"]}, HOLDS),
        ({"arrivals_per_day": {"day": 336.0}, "stay_s": 1500.0}, FAILS),
        ({"arrivals_per_day": {"day": 0.1}, "stay_s": 1500.0}, UNKNOWN),
        ({"arrivals_per_day": {"day": 336.0}}, UNKNOWN),
        ({"stay_s": 1500.0}, UNKNOWN),
    ],
)
def test_pan_18_what_prevents_it_holds_and_what_is_not_known_is_asked(
    area: dict[str, Any], verdict: Verdict
) -> None:
    """A bad chance fails whoever prevents it is not known; a good one waits for the answer."""
    assert finding_of(judged(area), "PAN-18").verdict is verdict


@pytest.mark.parametrize(
    ("area", "part", "takes", "verdict"),
    [
        (None, True, True, FAILS),
        (None, True, None, UNKNOWN),
        (None, True, False, HOLDS),
        ({"people_inside": "while part set", "set_prevented_by": ["person-in switch"]}, True, True, HOLDS),
        ({"people_inside": "at any time"}, False, None, FAILS),
        ({"people_inside": "while part set", "set_prevented_by": []}, True, None, FAILS),
        ({"people_inside": "while part set"}, True, None, UNKNOWN),
    ],
)
def test_pan_19_a_full_set_with_people_inside(
    area: dict[str, Any] | None, part: bool, takes: bool | None, verdict: Verdict
) -> None:
    """Somebody sleeps with a part set, somebody else goes and sets the whole."""
    finding = finding_of(judged(area, part=part, full_from_part=takes), "PAN-19")

    assert (finding.verdict, finding.stake) == (verdict, Stake.HARM)
    if part and verdict is FAILS and area is None:
        assert "nurses part set alarm and stay inside; cleaner press full set" in finding.because


@pytest.mark.parametrize("area", [None, {"people_inside": "never"}])
def test_pan_19_nothing_is_said_where_nobody_stays_inside(area: dict[str, Any] | None) -> None:
    """No part set, and nobody inside."""
    assert not [finding for finding in judged(area) if finding.code == "PAN-19"]


@pytest.mark.parametrize(("parties", "codes"), [(1, set()), (2, {"PAN-20"})])
def test_pan_20_one_tenant_unsets_for_the_others(parties: int, codes: set[str]) -> None:
    """Two who each have something in it are enough."""
    found = judged({"parties": parties, "people_inside": "never"})

    assert {finding.code for finding in found} == codes
    assert all(finding.verdict is FAILS for finding in found)


def test_pan_19_a_function_may_say_that_it_sets_a_part() -> None:
    """Where the panel's input is a set input like the other."""
    assert (
        finding_of(judged(None, part=True, kind="part set", full_from_part=True), "PAN-19").verdict is FAILS
    )
    assert "PAN-19" not in {
        finding.code for finding in judged(None, part=True, kind="set", full_from_part=True)
    }
