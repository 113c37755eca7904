"""Feller, An Introduction to Probability Theory and Its Applications, vol. I, XIII.7, success runs.

The book was not readable; its section is named as others cite it (pages 322 to 326), and
the recurrence was read on 2026-11-25 in a copy of a public page on runs. What is held
against the code is the exact count of coin sequences, made here.
"""

from __future__ import annotations

from fractions import Fraction
from itertools import product

import pytest

from farpress.core.rehearsal.runs import share_without_run
from helpers.printed import Printed


def test_ten_tosses_without_two_heads_in_a_row() -> None:
    """144 of the 1 024 sequences: 0.140625."""
    assert Printed("0.140625").agrees_with(share_without_run(trials=10, event_share=0.5, run=2))


@pytest.mark.parametrize(("trials", "run"), [(1, 1), (5, 3), (8, 2), (12, 4), (3, 5)])
def test_the_recurrence_counts_sequences(trials: int, run: int) -> None:
    """Equal to counting all sequences of a fair coin."""
    without = sum("1" * run not in "".join(tosses) for tosses in product("01", repeat=trials))

    assert share_without_run(trials=trials, event_share=0.5, run=run) == float(Fraction(without, 2**trials))
