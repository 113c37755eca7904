"""Presses through a pad, and what they say beside the prediction."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from farpress.core.proving.attenuated import (
    PRIOR_SPREAD_DB,
    PadResult,
    dixon_mood,
    margin_fit,
    next_pad_db,
    pad_share,
    pad_trials_needed,
)
from farpress.core.proving.evidence import margin_belief
from farpress.errors import InputError, OutOfRange

REGULAR = [
    PadResult(2, 1, 0),
    PadResult(4, 4, 0),
    PadResult(6, 8, 3),
    PadResult(8, 3, 8),
    PadResult(10, 0, 3),
]
ONE_LEVEL = [PadResult(6, 7, 0), PadResult(8, 8, 7), PadResult(10, 0, 8)]


def test_an_ordinary_series_stays_as_it_is() -> None:
    """Frozen: 7.000 and 1.4825 dB by Dixon and Mood, 7.00565 and 1.45230 dB by likelihood, -13.071324."""
    quick, best = dixon_mood(results=REGULAR, step_db=2.0), margin_fit(results=REGULAR)

    assert (quick.margin_db, quick.v) == pytest.approx((7.0, 0.42857), abs=1e-5)
    assert quick.spread_db == pytest.approx(1.48253, abs=1e-5)
    assert (best.margin_db, best.spread_db) == pytest.approx((7.00565, 1.45230), abs=1e-3)
    assert best.log_likelihood == pytest.approx(-13.071324, abs=1e-6)


def test_overlap_at_one_pad_only_shows_no_spread() -> None:
    """Both methods say so; the margin is still found, the spread is taken as given."""
    quick, best = dixon_mood(results=ONE_LEVEL, step_db=2.0), margin_fit(results=ONE_LEVEL)

    assert quick.margin_db == pytest.approx(8.0667, abs=1e-4)
    assert quick.spread_db is None
    assert not best.is_spread_known
    assert best.spread_db == PRIOR_SPREAD_DB
    assert best.margin_db == pytest.approx(8.067, abs=0.01)


@pytest.mark.parametrize(
    ("results", "bound"), [([PadResult(6, 8, 0)], "at least"), ([PadResult(6, 0, 5)], "at most")]
)
def test_all_heard_or_all_lost_gives_a_limit(results: list[PadResult], bound: str) -> None:
    """The margin at which that happens once in twenty."""
    fit = margin_fit(results=results)
    each = pad_share(margin_db=fit.margin_db, spread_db=fit.spread_db, pad_db=6.0)

    assert fit.bound == bound
    assert (each if bound == "at least" else 1.0 - each) ** sum(results[0][1:]) == pytest.approx(
        0.05, rel=1e-6
    )


@pytest.mark.long
def test_two_thousand_up_and_down_series_find_the_margin() -> None:
    """Margin 8 dB, spread 2 dB, 30 presses: the mean of 400 series lies within a quarter of a decibel; the
    spread comes out low.
    """
    rng = np.random.default_rng(11)
    margins, spreads = [], []
    for _ in range(400):
        pads: list[float] = []
        heard: list[bool] = []
        for _ in range(30):
            pads.append(next_pad_db(pads_db=pads, heard=heard, step_db=2.0, first_db=4.0))
            heard.append(bool(rng.random() < pad_share(margin_db=8.0, spread_db=2.0, pad_db=pads[-1])))
        results = [
            PadResult(
                pad,
                sum(h for p, h in zip(pads, heard) if p == pad),
                sum(not h for p, h in zip(pads, heard) if p == pad),
            )
            for pad in sorted(set(pads))
        ]
        fit = margin_fit(results=results)
        margins.append(fit.margin_db)
        spreads += [fit.spread_db] if fit.is_spread_known else []

    assert np.mean(margins) == pytest.approx(8.0, abs=0.25)
    assert np.std(margins) == pytest.approx(0.5, abs=0.2)
    assert 1.3 < np.mean(spreads) < 2.1


def test_a_pad_stands_for_presses() -> None:
    """59 presses without, 8 through 6 dB where presses differ by 5 dB, fewer where they differ less."""
    wanted = {"failure_share": 0.05, "confidence": 0.95}

    assert pad_trials_needed(**wanted, pad_db=0.0, spread_db=5.0) == 59
    assert pad_trials_needed(**wanted, pad_db=6.0, spread_db=5.0) == 8
    assert pad_trials_needed(**wanted, pad_db=6.0, spread_db=3.0) < 8


@given(pad=st.floats(0.0, 20.0), spread=st.floats(1.0, 8.0), share=st.floats(0.01, 0.4))
def test_the_pad_plan_keeps_its_confidence(pad: float, spread: float, share: float) -> None:
    """A place that loses just so much would pass no more often than one less the confidence."""
    from scipy.special import ndtri

    number = pad_trials_needed(failure_share=share, confidence=0.95, pad_db=pad, spread_db=spread)
    through = pad_share(margin_db=float(ndtri(1.0 - share)) * spread, spread_db=spread, pad_db=pad)

    assert through**number <= 0.05 * (1 + 1e-6)
    assert number == 1 or through ** (number - 1) > 0.05 * (1 - 1e-6)


def test_heard_presses_lift_the_margin_and_lost_ones_lower_it() -> None:
    """The prediction alone, then with presses: the belief moves the right way and gets surer."""
    base = {"margin_db": 4.0, "margin_sd_db": 7.0, "press_sd_db": 3.0, "presses": 2, "wanted_share": 0.95}
    alone, good, bad = (
        margin_belief(**base, results=results)
        for results in ([PadResult(0.0, 0, 0)], [PadResult(0.0, 14, 0)], [PadResult(0.0, 3, 5)])
    )

    assert bad.margin_db < alone.margin_db < good.margin_db
    assert bad.margin_sd_db < alone.margin_sd_db
    assert bad.kept_chance < 0.05 < alone.kept_chance < good.kept_chance
    assert alone.margin_db == pytest.approx(4.0, abs=1e-6)


def test_a_foreign_burst_explains_a_lost_press_with_a_good_margin() -> None:
    """With a fifth of the time taken by others, one lost press in twenty moves the margin far less."""
    base = {
        "margin_db": 20.0,
        "margin_sd_db": 7.0,
        "press_sd_db": 3.0,
        "presses": 2,
        "wanted_share": 0.9,
        "results": [PadResult(0.0, 16, 4)],
    }

    assert margin_belief(**base, clear_share=0.8).margin_db > margin_belief(**base).margin_db + 8.0


@pytest.mark.parametrize("results", [[], [PadResult(3, 0, 0)]])
def test_without_presses_nothing_is_learned(results: list[PadResult]) -> None:
    """It says so."""
    with pytest.raises(InputError, match="no press"):
        margin_fit(results=results)


def test_pads_off_the_steps_are_refused() -> None:
    """Dixon and Mood's formula needs equal steps; a negative pad is none."""
    with pytest.raises(InputError, match="2 dB apart"):
        dixon_mood(results=[PadResult(2, 1, 1), PadResult(5, 0, 2), PadResult(4, 4, 1)], step_db=2.0)
    with pytest.raises(OutOfRange):
        margin_fit(results=[PadResult(-1, 1, 1)])
    assert math.isinf(margin_fit(results=[PadResult(6, 8, 0)]).margin_se_db)
