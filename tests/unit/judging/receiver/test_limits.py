"""Noise, coax and bursts just on either side of their limits, worked out by hand.

The receiver's own noise is kTB and its noise figure: -174.0 dBm/Hz at 290 K (k = 1.380649e-23 J/K, SI
brochure), 47.0 dB for 50 kHz, 8 dB: -119.0 dBm. The coax loses 35.5 dB in 100 m at 450 MHz, less by the root
of the frequency at 433.92 MHz, and 0.5 dB in each of two connectors.
"""

from __future__ import annotations

import math

import pytest

from farpress.domain.finding import Finding, Verdict
from farpress.judging.receiver import surroundings
from helpers.findings import finding_of
from helpers.radio_case import larkfen

OWN_DBM = 10.0 * math.log10(1.380649e-23 * 290.0 * 50e3 * 1000.0) + 8.0


def _finding(code: str, **case: object) -> Finding:
    return finding_of(list(surroundings.judge(larkfen(**case))), code)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("over_db", "verdict"),
    [(3.9, Verdict.HOLDS), (4.1, Verdict.THIN), (5.9, Verdict.THIN), (6.1, Verdict.FAILS)],
)
def test_noise_that_was_read_may_lie_six_decibels_over_the_own(over_db: float, verdict: Verdict) -> None:
    """With 2 dB of doubt: thin from 4 dB on."""
    finding = _finding("RCV-02", premises={"noise_floor": f"{OWN_DBM + over_db:.3f} dBm"})

    assert finding.value == pytest.approx(over_db, abs=0.01)
    assert finding.doubt == pytest.approx(2.0)
    assert finding.verdict is verdict


def test_noise_below_the_own_counts_as_none() -> None:
    """What the receiver makes itself stays."""
    assert _finding("RCV-02", premises={"noise_floor": "-125 dBm"}).value == pytest.approx(0.0)


def test_usual_noise_is_doubted_by_five_decibels() -> None:
    """Nobody has read it."""
    assert _finding("RCV-02").doubt == pytest.approx(5.0)


@pytest.mark.parametrize(
    ("percent", "verdict"), [(8.9, Verdict.HOLDS), (9.9, Verdict.THIN), (10.1, Verdict.FAILS)]
)
def test_others_may_be_on_the_channel_a_tenth_of_the_time(percent: float, verdict: Verdict) -> None:
    """Thin within a tenth of that."""
    finding = _finding("RCV-05", premises={"noise_bursts": f"{percent} %"})

    assert finding.value == pytest.approx(percent)
    assert finding.verdict is verdict


def _aerial(length_m: float) -> dict[str, object]:
    coax = {"part": "rg58", "length": f"{length_m} m"}
    return {"antenna": {"part": "whip", "at": [10.5, 21.8, 3.4], "tilt": "0 deg", "coax": coax}}


@pytest.mark.parametrize(
    ("length_m", "verdict"), [(12.5, Verdict.HOLDS), (14.0, Verdict.THIN), (14.5, Verdict.FAILS)]
)
def test_six_decibels_may_be_lost_behind_the_aerial(length_m: float, verdict: Verdict) -> None:
    """0.3486 dB a metre and 1 dB: 5.36, 5.88 and 6.05 dB."""
    finding = _finding("RCV-04", box=_aerial(length_m))

    assert finding.value == pytest.approx(0.355 * math.sqrt(433.92 / 450.0) * length_m + 1.0)
    assert finding.verdict is verdict


def test_only_coax_that_loses_less_is_offered() -> None:
    """25 m: 9.7 dB, and 25 x 0.163 x root (433.92 / 450) + 1 = 5.0 dB; the same coax again mends nothing."""
    (offered,) = _finding("RCV-04", box=_aerial(25.0)).remedies

    assert offered.does == "rg213 instead"
    assert offered.effect == "5.0 dB instead of 9.7 dB"


def test_coax_that_saves_less_than_half_a_decibel_is_not_offered() -> None:
    """2.5 m: 1.87 dB against 1.40 dB; 3 m: 2.05 dB against 1.48 dB."""
    for length_m, number in ((2.5, 0), (3.0, 1)):
        loss_db = 0.355 * math.sqrt(433.92 / 450.0) * length_m + 1.0
        case = larkfen(box=_aerial(length_m))
        radio = surroundings.radio_of(case)
        box = case.job.premises["larkfen"].receivers["R1"]

        assert len(surroundings._better_coax(radio, "larkfen", "R1", box, loss_db)) == number


def test_the_slot_of_a_housing_is_said_in_millimetres_with_its_doubt() -> None:
    """A slot of 100 mm, and resonances of 10 dB."""
    finding = _finding("RCV-01", box={"housing": "steel", "slot": "100 mm"})

    assert "longest slot of 100 mm" in finding.because
    assert "by 10 dB and more" in finding.because
