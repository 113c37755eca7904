"""How long a fob is on the air, worked out by hand: presses x length x telegram / repeat, of an hour.

A telegram of 60 ms each 100 ms is on the air for 60 % of a press.
"""

from __future__ import annotations

from typing import Any

import pytest

from farpress.domain.finding import Finding, Verdict
from farpress.judging.fob import sending
from helpers.findings import finding_of
from helpers.radio_case import larkfen

HELD = {"outputs": {"1": {"kind": "follow", "works": "gate.open"}}}


def _fob(code: str, *, presses: str | None = None, box: dict[str, Any] | None = None, **fob: Any) -> Finding:
    group = {"fob": "fob-4", "buttons": {"1": "open gate"}, "presses_per_day": presses}
    return finding_of(list(sending.judge(larkfen(groups={"family": group}, box=box, fob=fob))), code)


@pytest.mark.parametrize(
    ("presses", "box", "cut_off_s", "share"),
    [
        ("10 per day", None, 30.0, 100.0 * 10.0 * 1.0 * 0.6 / 3600.0),
        (None, None, 30.0, 100.0 * 60.0 * 1.0 * 0.6 / 3600.0),
        ("10 per day", HELD, None, 100.0 * 10.0 * 30.0 * 0.6 / 3600.0),
        ("10 per day", HELD, 12.0, 100.0 * 10.0 * 12.0 * 0.6 / 3600.0),
    ],
)
def test_the_busiest_hour_has_all_presses_of_a_day(
    presses: str | None, box: dict[str, Any] | None, cut_off_s: float | None, share: float
) -> None:
    """Of a second each, held ones to the cut-off or for 30 s; 60 where nobody says how many."""
    finding = _fob("FOB-02", presses=presses, box=box, erp_dbm=5.0, cut_off_s=cut_off_s)

    assert finding.value == pytest.approx(share)
    assert finding.limit == pytest.approx(10.0)
    assert f"{share:.1f} % of its busiest hour; 10 % are allowed" in finding.says
    assert "60 ms each 100 ms" in finding.because


def test_too_long_on_the_air_says_how_many_presses_would_do() -> None:
    """A tenth of 3 600 s is 360 s; a press of 30 s sends for 18 s: twenty of them."""
    finding = _fob("FOB-02", presses="40 per day", box=HELD, erp_dbm=5.0)

    assert finding.verdict is Verdict.FAILS
    assert finding.remedies[0].effect == "at most 20 presses an hour"


def test_a_weak_fob_may_send_all_the_time() -> None:
    """Its other rule has no limit of time: 100 % are allowed."""
    finding = _fob("FOB-02", presses="40 per day", box=HELD)

    assert finding.value == pytest.approx(20.0)
    assert finding.limit == pytest.approx(100.0)


@pytest.mark.parametrize(("erp_dbm", "allowed"), [(-3.0, 100.0), (-2.9, 10.0), (0.0, 10.0)])
def test_the_clause_of_1_mw_is_for_fobs_that_surely_keep_to_it(erp_dbm: float, allowed: float) -> None:
    """0 dBm less its spread from fob to fob, 3 dB: of one nearer to it some send more than 1 mW."""
    finding = _fob("FOB-02", presses="40 per day", box=HELD, erp_dbm=erp_dbm, erp_sd_db=3.0)

    assert finding.limit == pytest.approx(allowed)


def test_a_weak_fob_that_keeps_to_a_tenth_is_held_against_a_tenth() -> None:
    """Ten presses of a second are 0.17 % of an hour: no other rule is needed."""
    assert _fob("FOB-02", presses="10 per day").limit == pytest.approx(10.0)


@pytest.mark.parametrize(
    ("telegram_s", "repeat_s", "verdict"),
    [(0.2, 0.1, Verdict.UNKNOWN), (0.1, 0.1, Verdict.HOLDS), (0.06, 0.0, Verdict.UNKNOWN)],
)
def test_telegrams_longer_than_their_repeat_are_asked_about(
    telegram_s: float, repeat_s: float, verdict: Verdict
) -> None:
    """They cannot be; one after the other without a pause they can."""
    assert _fob("FOB-02", presses="10 per day", telegram_s=telegram_s, repeat_s=repeat_s).verdict is verdict


def test_the_frequency_is_said_in_megahertz() -> None:
    """433.92 MHz."""
    assert "on 433.92 MHz" in _fob("FOB-01").says


@pytest.mark.parametrize(
    ("number", "verdict"), [("0", Verdict.FAILS), ("1", Verdict.HOLDS), ("4", Verdict.HOLDS)]
)
def test_buttons_are_counted_from_one(number: str, verdict: Verdict) -> None:
    """A fob with four buttons has the first and the fourth; there is no button 0."""
    case = larkfen(
        groups={"family": {"fob": "fob-4", "buttons": {number: "open gate"}}},
        promises=[{"to": "family", "function": "open gate", "from": "street"}],
    )

    assert finding_of(list(sending.judge(case)), "FOB-05").verdict is verdict
