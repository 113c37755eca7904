"""The noise diary: hours and beats."""

from __future__ import annotations

from datetime import datetime, timedelta

import numpy as np
import pytest

from farpress.core.faults.diary import burst_period, failures_by_hour, hours_uneven_chance
from farpress.errors import InputError, OutOfRange
from farpress.faults.noise_diary import Noted, noise_diary, noted_from_csv


@pytest.mark.parametrize("period", [47.0, 31.5, 60.0, 612.0])
@pytest.mark.parametrize("jitter", [0.0, 1.0])
def test_a_beat_is_found_among_noise(period: float, jitter: float) -> None:
    """A weather station every 47 s, half of its bursts missed, a few strangers between; the beat itself, not
    its half.
    """
    rng = np.random.default_rng(2)
    beats = np.arange(60) * period
    heard = beats[rng.random(60) < 0.5]
    times = np.concatenate([heard + jitter * rng.normal(size=len(heard)), rng.uniform(0.0, 60 * period, 5)])
    found = burst_period(times_s=times.tolist(), shortest_s=5.0, longest_s=7200.0)

    assert found is not None
    assert found.period_s == pytest.approx(period, rel=0.01)
    assert found.accident_chance < 1e-4


@pytest.mark.long
def test_random_bursts_have_no_beat() -> None:
    """In 60 diaries of chance, hardly one is taken for regular at one in a hundred."""
    rng = np.random.default_rng(9)
    alarms = 0
    for _ in range(60):
        found = burst_period(times_s=rng.uniform(0.0, 3600.0, 25).tolist(), shortest_s=5.0, longest_s=1200.0)
        alarms += found is not None and found.accident_chance < 0.01

    assert alarms <= 3


def test_failures_at_seven_stand_out() -> None:
    """Sixty presses over two weeks, those from seven to eight fail."""
    rng = np.random.default_rng(4)
    start = datetime(2026, 11, 2)
    noted = [
        Noted(
            start + timedelta(days=int(rng.integers(14)), hours=float(hour) + rng.random()),
            "failed" if hour == 7 and rng.random() < 0.8 else "worked",
        )
        for hour in rng.integers(6, 20, 120)
    ]
    diary = noise_diary(noted)

    assert diary.worst == (7,)
    assert "07:00 to 08:00" in diary.says[0]


def test_failures_at_any_hour_do_not() -> None:
    """A tenth fails, whenever it is."""
    rng = np.random.default_rng(4)
    hours = rng.integers(6, 20, 120).tolist()

    assert hours_uneven_chance(hours=hours, failed=(rng.random(120) < 0.1).tolist()) > 0.01
    assert [one.tries for one in failures_by_hour(hours=[7, 7, 9], failed=[True, False, False])] == [2, 1]


def test_few_bursts_and_silly_periods() -> None:
    """Four bursts are too few; a search without bounds is refused."""
    assert burst_period(times_s=[0, 47, 94, 141], shortest_s=5.0, longest_s=100.0) is None
    with pytest.raises(OutOfRange, match="number of periods"):
        burst_period(times_s=[0, 1e6, 2e6, 3e6, 4e6, 5e6], shortest_s=0.01, longest_s=1e6)


def test_a_paper_diary_is_read_or_all_its_slips_are_told() -> None:
    """Semicolons and times of day are fine; two slips, two messages, with rows."""
    assert [one.what for one in noted_from_csv("time;what\n07:05:12;failed\n2026-11-25 08:00;worked\n")] == [
        "failed",
        "worked",
    ]
    with pytest.raises(InputError) as told:
        noted_from_csv("time,what\nyesterday,failed\n07:00,maybe\n")
    assert "row 2" in str(told.value)
    assert "row 3" in str(told.value)
    with pytest.raises(InputError, match="columns 'time' and 'what'"):
        noted_from_csv("a,b\n1,2\n")
    assert noise_diary([]).says == ("No press is noted yet.",)
