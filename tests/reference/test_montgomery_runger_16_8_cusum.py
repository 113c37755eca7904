"""Montgomery, Runger, Applied Statistics and Probability for Engineers, table 16-8, cumulative sum.

Read on 2026-11-25 in a stored copy: both columns of sums for 20 concentrations, target 99,
K = 1, H = 10. The concentrations of table 16-7 are from memory; each of them follows from
the printed sums wherever one of the two is not zero.
"""

from __future__ import annotations

from farpress.core.upkeep.cusum import cusum, cusum_run_length, cusum_signal
from helpers.printed import Printed

CONCENTRATIONS = [
    102.0,
    94.8,
    98.3,
    98.4,
    102.0,
    98.5,
    99.0,
    97.7,
    100.0,
    98.1,
    101.3,
    98.7,
    101.1,
    98.4,
    97.0,
    96.7,
    100.3,
    101.4,
    97.2,
    101.0,
]
UPPER = [
    "2.0",
    "0.0",
    "0.0",
    "0.0",
    "2.0",
    "0.5",
    "0.0",
    "0.0",
    "0.0",
    "0.0",
    "1.3",
    "0.0",
    "1.1",
    "0.0",
    "0.0",
    "0.0",
    "0.3",
    "1.7",
    "0.0",
    "1.0",
]
LOWER = [
    "0.0",
    "3.2",
    "2.9",
    "2.5",
    "0.0",
    "0.0",
    "0.0",
    "0.3",
    "0.0",
    "0.0",
    "0.0",
    "0.0",
    "0.0",
    "0.0",
    "1.0",
    "2.3",
    "0.0",
    "0.0",
    "0.8",
    "0.0",
]


def test_all_forty_sums_are_those_of_the_table() -> None:
    """Upwards and downwards, reading by reading."""
    steps = cusum(readings=CONCENTRATIONS, target=99.0, slack=1.0)

    assert all(Printed(high).agrees_with(step.high) for high, step in zip(UPPER, steps))
    assert all(Printed(low).agrees_with(step.low) for low, step in zip(LOWER, steps))


def test_the_process_of_the_table_gives_no_signal() -> None:
    """Neither sum exceeds 10."""
    assert cusum_signal(readings=CONCENTRATIONS, target=99.0, slack=1.0, limit=10.0) is None


def test_the_run_lengths_are_those_usually_tabled() -> None:
    """168 and 8.38 readings for h = 4, 465 and 10.4 for h = 5, k = 0.5; table from memory, so no printed
    number.
    """
    assert abs(cusum_run_length(shift=0.0, slack=0.5, limit=4.0, two_sided=True) - 168.0) < 1.0
    assert abs(cusum_run_length(shift=1.0, slack=0.5, limit=4.0) - 8.38) < 0.01
    assert abs(cusum_run_length(shift=0.0, slack=0.5, limit=5.0, two_sided=True) - 465.0) < 1.0
    assert abs(cusum_run_length(shift=1.0, slack=0.5, limit=5.0) - 10.4) < 0.05
