"""One long press seen as several: against enumeration, simulation and laws."""

from __future__ import annotations

from itertools import pairwise, product

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from farpress.core.rehearsal.runs import press_seen_as, presses_seen_mean, share_without_run
from farpress.errors import OutOfRange


def _seen(heard: tuple[bool, ...], k: int) -> int:
    places = [i for i, one in enumerate(heard) if one]
    return 0 if not places else 1 + sum(b - a - 1 >= k for a, b in pairwise(places))


@pytest.mark.parametrize("p", [0.1, 0.5, 0.9])
@pytest.mark.parametrize("k", [0, 1, 2, 3, 9])
@pytest.mark.parametrize("n", [1, 2, 5, 9])
def test_the_recursion_equals_going_through_all_outcomes(n: int, k: int, p: float) -> None:
    """All 2^n patterns of heard and lost telegrams, each with its chance."""
    none = one = even = mean = 0.0
    for heard in product((True, False), repeat=n):
        chance, seen = p ** sum(heard) * (1 - p) ** (n - sum(heard)), _seen(heard, k)
        none += chance * (seen == 0)
        one += chance * (seen == 1)
        even += chance * (seen % 2 == 0)
        mean += chance * seen
    ours = press_seen_as(telegrams=n, heard_share=p, losses_to_split=k)

    assert ours == pytest.approx((none, one, 1 - none - one, even), abs=1e-12)
    assert presses_seen_mean(telegrams=n, heard_share=p, losses_to_split=k) == pytest.approx(mean, abs=1e-12)


@pytest.mark.parametrize(("n", "p", "k"), [(10, 0.7, 3), (30, 0.9, 3), (50, 0.8, 2), (20, 0.6, 4)])
def test_a_simulation_gives_the_same(n: int, p: float, k: int) -> None:
    """20 000 long presses with a fixed seed, within four standard errors."""
    heard = np.random.default_rng(20261125).random((20_000, n)) < p
    several = np.mean([_seen(tuple(row), k) >= 2 for row in heard])
    ours = press_seen_as(telegrams=n, heard_share=p, losses_to_split=k).several

    assert abs(several - ours) < 4 * np.sqrt(ours * (1 - ours) / 20_000)


@given(n=st.integers(1, 60), p=st.floats(0.0, 1.0), k=st.integers(1, 8))
def test_runs_anywhere_bound_a_split(n: int, p: float, k: int) -> None:
    """A split needs a run of losses, so it is no likelier than a run; all chances are chances."""
    seen = press_seen_as(telegrams=n, heard_share=p, losses_to_split=k)

    assert seen.several <= 1 - share_without_run(trials=n, event_share=1 - p, run=k) + 1e-9
    assert all(-1e-9 <= chance <= 1 + 1e-9 for chance in seen)


def test_a_count_given_as_milliseconds_is_refused() -> None:
    """The message says what was given and what to do."""
    with pytest.raises(OutOfRange, match="number of telegrams"):
        press_seen_as(telegrams=30_000_000, heard_share=0.9, losses_to_split=3)
