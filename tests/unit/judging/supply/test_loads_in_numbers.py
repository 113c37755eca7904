"""What one press and everything on draw, and what a fuse carries for good, in numbers worked out by hand."""

from __future__ import annotations

from typing import Any

import pytest

from farpress.domain.finding import Finding, Verdict
from farpress.judging.supply.standby import _battery_for
from farpress.judging.supply.standby_draw import StandbyDraw
from farpress.judging.supply.volts import judge
from helpers.findings import finding_of
from helpers.wired_case import wired_case

RUN: dict[str, Any] = {"part": "twin-1.5", "length_m": 2.0}


def judged(code: str, *, lamp_a: float | None = 0.5, **supply: Any) -> Finding:
    """A receiver of 20 mA with two relays of 20 mA, each with a lamp of 0.5 A; 100 mA of a charger: 120 mA at
    rest, 640 mA with one lamp, 1.16 A with both.
    """
    lamp = {"device": "lamp", "supply": "dc", "voltage_v": 12.0, "current_a": 0.5, "load": "resistive"}
    outputs = {
        str(number): {
            "kind": "pulse",
            "for_s": 4.0,
            "works": f"lamp {number}.on",
            "load_from": "main",
            "cable": RUN,
        }
        for number in (1, 2)
    }
    premises = {
        "supplies": {
            "main": {"supply": "dc", "voltage_v": 12.0, "voltage_min_v": 11.8, "charge_a": 0.1, **supply}
        },
        "receivers": {
            "R1": {
                "at": [0, 0],
                "supply": "dc",
                "current_idle_a": 0.02,
                "current_per_relay_a": 0.02,
                "fed": {"from": "main", "cable": RUN},
                "outputs": outputs,
            }
        },
        "devices": {"lamp 1": lamp, "lamp 2": lamp | {"current_a": lamp_a}},
    }
    functions = {f"light {number}": {"output": f"larkfen/R1/{number}"} for number in (1, 2)}
    return finding_of(judge(wired_case(premises, functions=functions)), code)


@pytest.mark.parametrize(
    ("rated_a", "verdict", "says"),
    [
        (2.0, Verdict.HOLDS, "charging; it is rated 2 A, of which 58 % are used."),
        (1.0, Verdict.FAILS, "charging, more than the 1 A it is rated for; it takes several presses"),
        (0.6, Verdict.FAILS, "charging, one press already 640 mA; it is rated 0.6 A."),
    ],
)
def test_sup_03_tells_what_everything_and_what_one_press_draws(
    rated_a: float, verdict: Verdict, says: str
) -> None:
    """1.16 A of 2 A; 640 mA by one press, where that is too much already."""
    finding = judged("SUP-03", rated_a=rated_a)

    assert finding.verdict is verdict
    assert "Everything on draws 1.16 A from larkfen/main, 100 mA of it " + says in finding.says
    assert "At rest 120 mA. The heaviest single press is 'light 1': 640 mA" in finding.because


def test_sup_03_tells_how_much_room_there_is_for_what_is_not_known() -> None:
    """Four fifths of 2 A less 660 mA with one lamp and both relays."""
    finding = judged("SUP-03", lamp_a=None, rated_a=2.0)

    assert finding.verdict is Verdict.UNKNOWN
    assert "There is room for 940 mA more." in finding.says


@pytest.mark.parametrize(
    ("fuse_a", "says"),
    [
        (2.0, "; it carries 1.6 A for good."),
        (1.0, "; it takes several presses in the same moments."),
        (0.5, "; 'light 1' alone 540 mA."),
    ],
)
def test_sup_11_tells_what_one_press_draws_through_a_fuse(fuse_a: float, says: str) -> None:
    """Four fifths of its rating are carried for good; the charger is not behind it."""
    finding = judged("SUP-11", rated_a=5.0, fuse_a=fuse_a)

    assert finding.says.startswith("Everything on draws 1.06 A through the fuse of larkfen/main, rated")
    assert finding.says.endswith(says)


@pytest.mark.parametrize(
    ("alarm_a", "usable", "ampere_hours"),
    [(0.1, None, "3.0"), (1.1, None, "3.4"), (0.1, 0.3, "8.0"), (1.1, 0.3, "8.9")],
)
def test_a_battery_to_fit_carries_rest_and_alarm_worn_by_a_fifth(
    alarm_a: float, usable: float | None, ampere_hours: str
) -> None:
    """0.1 A for 24 h are 2.4 Ah, with a quarter more for wear 3 Ah; 1 A more for 15 min of alarm 0.25 Ah,
    with a quarter 0.31 Ah. Of a battery with 30 % to use 2.4 / 0.3 = 8 Ah, or 2.65 / 0.3 = 8.83 Ah.
    """
    remedy = _battery_for(StandbyDraw(0.1, 0.0, 0.0, alarm_a), 24.0, usable)

    assert remedy.does == f"Fit a battery of at least {ampere_hours} Ah."
    assert ("and an alarm" in remedy.effect) is (alarm_a > 0.1)
