"""One long press with losses in bursts: against enumeration, a matrix, simulation and the independent
case.
"""

from __future__ import annotations

from itertools import pairwise, product

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from farpress.core.rehearsal.bursts import press_seen_in_bursts
from farpress.core.rehearsal.runs import press_seen_as
from farpress.errors import OutOfRange


def _seen(heard: tuple[bool, ...], k: int) -> int:
    places = [i for i, one in enumerate(heard) if one]
    return 0 if not places else 1 + sum(b - a - 1 >= k for a, b in pairwise(places))


def _steps(p: float, burst: float) -> tuple[float, float]:
    """Chances good → bad and bad → good of the two-state channel."""
    ends = 1.0 / burst
    return ends * (1.0 - p) / p, ends


@pytest.mark.parametrize(("p", "burst"), [(0.9, 1.0), (0.9, 5.0), (0.6, 2.5), (0.2, 4.0)])
@pytest.mark.parametrize("k", [0, 1, 2, 3, 9])
@pytest.mark.parametrize("n", [1, 2, 5, 9])
def test_the_recursion_equals_going_through_all_patterns(n: int, k: int, p: float, burst: float) -> None:
    """All 2^n patterns of a two-state channel that starts as it is on average."""
    begins, ends = _steps(p, burst)
    none = one = even = 0.0
    for heard in product((True, False), repeat=n):
        chance = p if heard[0] else 1.0 - p
        for before, after in pairwise(heard):
            leaves = begins if before else ends
            chance *= leaves if before != after else 1.0 - leaves
        seen = _seen(heard, k)
        none += chance * (seen == 0)
        one += chance * (seen == 1)
        even += chance * (seen % 2 == 0)

    ours = press_seen_in_bursts(telegrams=n, heard_share=p, burst_telegrams=burst, losses_to_split=k)

    assert ours == pytest.approx((none, one, 1 - none - one, even), abs=1e-12)


@given(n=st.integers(1, 60), p=st.floats(0.05, 1.0), k=st.integers(0, 8))
def test_bursts_of_one_over_p_are_independent_losses(n: int, p: float, k: int) -> None:
    """Then the channel forgets from telegram to telegram."""
    alone = press_seen_as(telegrams=n, heard_share=p, losses_to_split=k)
    bursts = press_seen_in_bursts(
        telegrams=n, heard_share=p, burst_telegrams=max(1.0 / p, (1 - p) / p), losses_to_split=k
    )

    assert bursts == pytest.approx(alone, abs=1e-9)


@pytest.mark.parametrize(("n", "p", "burst", "k"), [(20, 0.9, 5.0, 3), (50, 0.8, 3.0, 2), (300, 0.7, 8.0, 4)])
def test_a_matrix_of_channel_and_gap_gives_the_same(n: int, p: float, burst: float, k: int) -> None:
    """States (channel, lost in a row, presses seen up to 2) as a plain transition matrix, to the n-th
    power.
    """
    begins, ends = _steps(p, burst)
    size = 2 * (k + 2) * 3  # gap k + 1 stands for "nothing heard yet"

    def at(bad: int, gap: int, seen: int) -> int:
        return (bad * (k + 2) + gap) * 3 + seen

    matrix = np.zeros((size, size))
    for bad in (0, 1):
        for gap in range(k + 2):
            for seen in range(3):
                to_bad = (1.0 - ends) if bad else begins
                lost = gap if gap == k + 1 else min(gap + 1, k)
                matrix[at(bad, gap, seen), at(1, lost, seen)] = to_bad
                more = min(seen + (gap >= k), 2)
                matrix[at(bad, gap, seen), at(0, 0, more)] += 1.0 - to_bad
    # one step before the first telegram the channel is as it is on average, and stays so
    start = np.zeros(size)
    start[at(0, k + 1, 0)], start[at(1, k + 1, 0)] = p, 1.0 - p
    spread = (start @ np.linalg.matrix_power(matrix, n)).reshape(2, k + 2, 3).sum(axis=(0, 1))

    ours = press_seen_in_bursts(telegrams=n, heard_share=p, burst_telegrams=burst, losses_to_split=k)

    assert ours[:3] == pytest.approx(spread, abs=1e-10)


def test_a_simulation_gives_the_same() -> None:
    """40 000 presses of 20 telegrams with a fixed seed, within four standard errors."""
    random, n, p, burst, k = np.random.default_rng(20261125), 20, 0.9, 5.0, 3
    begins, ends = _steps(p, burst)
    good = random.random(40_000) < p
    patterns = []
    for _ in range(n):
        patterns.append(good)
        draw = random.random(40_000)
        good = np.where(good, draw >= begins, draw < ends)
    several = np.mean([_seen(tuple(row), k) >= 2 for row in np.array(patterns).T])

    ours = press_seen_in_bursts(telegrams=n, heard_share=p, burst_telegrams=burst, losses_to_split=k).several

    assert abs(several - ours) < 4 * np.sqrt(ours * (1 - ours) / 40_000)


@pytest.mark.parametrize(("n", "p", "burst", "k"), [(20, 0.9, 5.0, 3), (50, 0.8, 3.0, 2)])
def test_the_mean_is_the_number_of_beginnings(n: int, p: float, burst: float, k: int) -> None:
    """A press begins at a heard telegram with the last k, or all so far, lost: a sum of products, no
    recursion.
    """
    _, ends = _steps(p, burst)
    mean = p + sum((1 - p) * (1 - ends) ** (min(k, i - 1) - 1) * ends for i in range(2, n + 1))
    random = np.random.default_rng(7)
    begins, _ = _steps(p, burst)
    drawn = []
    for _ in range(4000):
        good, row = random.random() < p, []
        for _ in range(n):
            row.append(good)
            good = random.random() >= begins if good else random.random() < ends
        drawn.append(_seen(tuple(row), k))

    assert abs(np.mean(drawn) - mean) < 4 * np.std(drawn) / np.sqrt(4000)
    assert (
        press_seen_in_bursts(telegrams=n, heard_share=p, burst_telegrams=burst, losses_to_split=k).several
        <= mean - 1 + (1 - p) + 1e-9
    )


def test_bursts_too_short_for_so_many_losses_are_refused() -> None:
    """With three telegrams of four lost a burst has at least three."""
    with pytest.raises(OutOfRange, match="burst_telegrams"):
        press_seen_in_bursts(telegrams=10, heard_share=0.25, burst_telegrams=2.0, losses_to_split=3)


def test_bursts_may_be_worse_or_better_than_losses_one_by_one() -> None:
    """Few losses in bursts split more presses; many losses split fewer."""

    def several(p: float, burst: float) -> float:
        return press_seen_in_bursts(
            telegrams=20, heard_share=p, burst_telegrams=burst, losses_to_split=3
        ).several

    assert several(0.95, 5.0) > several(0.95, 1 / 0.95)
    assert several(0.5, 20.0) < several(0.5, 2.0)
