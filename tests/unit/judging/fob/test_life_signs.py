"""Life signs of fobs: counted by hand against the window, their charge, and who notices their absence."""

from __future__ import annotations

from typing import Any

import pytest

from farpress.domain.finding import Finding, Stake, Verdict
from farpress.domain.parts import CellSheet, FobSheet
from farpress.judging.fob import life_signs
from farpress.judging.fob.cells import life_of, life_signs_a, missing_of
from helpers.findings import finding_of
from helpers.logic_case import a_case

CALL: dict[str, Any] = {"1": {"kind": "pulse", "for_s": 60.0, "works": "siren.on"}}
TEN_MINUTES = 600.0


def judged(
    code: str,
    *,
    away_s: float | None = 190 * 60.0,
    fob: dict[str, Any] | None = None,
    receiver: dict[str, Any] | None = None,
    kind: str = "call",
    presses: float | None = None,
) -> Finding:
    """One finding about a group with a button for a call."""
    case = a_case(
        CALL,
        kinds={"1": kind},
        groups={
            "residents": {
                "count": 4,
                "buttons": {"1": "f1"},
                "longest_away_s": away_s,
                "presses_per_day": presses,
            }
        },
        fob={"life_sign_s": TEN_MINUTES, **(fob or {})},
        receiver={"counts_life_signs": True, "tells_life_signs": False, **(receiver or {})},
    )
    return finding_of(list(life_signs.judge(case)), code)


@pytest.mark.parametrize(
    ("minutes", "verdict"),
    [(190, Verdict.FAILS), (160, Verdict.FAILS), (159, Verdict.HOLDS), (10, Verdict.HOLDS)],
)
def test_fob_10_a_window_of_16_takes_the_sixteenth_telegram_and_no_later(
    minutes: float, verdict: Verdict
) -> None:
    """190 min at 10 min are 19 unheard, 160 min 16: the next is the 17th; after 15 it is in step."""
    finding = judged("FOB-10", away_s=60.0 * minutes)
    assert finding.verdict is verdict
    assert finding.value == minutes // 10


def test_fob_10_presses_made_away_come_on_top_so_that_near_the_window_is_thin() -> None:
    """15 unheard of 15 hold only where nobody presses; with presses a tenth of the window is no room."""
    assert judged("FOB-10", away_s=159 * 60.0, presses=4.0).verdict is Verdict.THIN


def test_fob_10_is_harm_where_somebody_calls_by_it_and_no_more_than_a_promise_elsewhere() -> None:
    """The press after the trip is the one that matters where it is a call for help."""
    assert judged("FOB-10").stake is Stake.HARM
    assert judged("FOB-10", kind="light").stake is not Stake.HARM


@pytest.mark.parametrize(
    ("away_s", "receiver", "asked"),
    [
        (None, {}, "2.667 h"),
        (1.0, {"counts_life_signs": None}, "life signs move"),
        (1.0, {"window_single": None}, "accepts ahead"),
    ],
)
def test_fob_10_what_is_not_known_is_asked(
    away_s: float | None, receiver: dict[str, Any], asked: str
) -> None:
    """The time it stays in step, 16 times ten minutes, stands in the question."""
    finding = judged("FOB-10", away_s=away_s, receiver=receiver)
    assert finding.verdict is Verdict.UNKNOWN
    assert asked in " ".join(ask.says for ask in finding.asks)


def test_fob_10_a_receiver_that_does_not_count_them_stays_in_step() -> None:
    """However long somebody is away."""
    assert judged("FOB-10", away_s=1e6, receiver={"counts_life_signs": False}).verdict is Verdict.HOLDS


@pytest.mark.parametrize(
    ("fob", "receiver", "verdict"),
    [
        ({}, {}, Verdict.THIN),
        ({}, {"tells_life_signs": True}, Verdict.HOLDS),
        ({}, {"tells_life_signs": None}, Verdict.UNKNOWN),
        ({"life_sign_s": 0.0}, {}, Verdict.THIN),
        ({"life_sign_s": None}, {"tells_life_signs": True}, Verdict.UNKNOWN),
    ],
)
def test_fob_11_life_signs_watch_nothing_unless_somebody_is_told(
    fob: dict[str, Any], receiver: dict[str, Any], verdict: Verdict
) -> None:
    """Sent and not told, or not sent, is thin; not known is asked."""
    assert judged("FOB-11", fob=fob, receiver=receiver).verdict is verdict


def test_life_signs_take_charge_by_hand() -> None:
    """60 ms of 11 mA each ten minutes are 1.1 uA, 9.64 mAh a year of 8 766 h.

    Beside 0.8 uA at rest and 1 % of 90 mAh a year, 80 % of a cell last 72 / (9.64 + 7.01 + 0.9) = 4.10 a.
    """
    fob = FobSheet(telegram_s=0.06, current_send_a=0.011, current_sleep_a=0.8e-6, life_sign_s=600.0)
    cell = CellSheet(capacity_ah=0.09, usable_share=0.8, self_discharge_share=0.01)
    assert life_signs_a(fob) == pytest.approx(1.1e-6)
    assert life_of(fob, cell, 0.0, 1.0, 1.0).by_charge_years == pytest.approx(4.10, abs=0.01)
    assert life_signs_a(fob.model_copy(update={"life_sign_s": 0.0})) == 0.0


def test_without_the_length_of_a_telegram_their_charge_is_asked() -> None:
    """Missing is never better: no length, no years."""
    fob = FobSheet(current_send_a=0.011, current_sleep_a=0.8e-6, life_sign_s=600.0)
    cell = CellSheet(capacity_ah=0.09, usable_share=0.8)
    assert missing_of(fob, cell) == ["the length of a telegram, for its life signs"]


@pytest.mark.parametrize(
    ("away_s", "receiver", "asked"),
    [
        (60.0, {}, True),
        (None, {"counts_life_signs": True}, True),
        (None, {"tells_life_signs": True}, True),
        (None, {"counts_life_signs": False, "tells_life_signs": False}, False),
    ],
)
def test_fob_11_what_else_speaks_of_life_signs_makes_them_asked_where_nobody_calls(
    away_s: float | None, receiver: dict[str, Any], asked: bool
) -> None:
    """Left out of the fob's sheet they would be none, and what they break with them."""
    case = a_case(
        CALL,
        kinds={"1": "light"},
        groups={"staff": {"count": 4, "buttons": {"1": "f1"}, "longest_away_s": away_s}},
        receiver=receiver,
    )
    found = [(finding.code, finding.verdict) for finding in life_signs.judge(case)]
    assert found == [("FOB-11", Verdict.UNKNOWN)] * asked
