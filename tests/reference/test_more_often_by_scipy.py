"""Fisher's exact test, one-sided, against scipy.stats.fisher_exact."""

from __future__ import annotations

import pytest
from scipy.stats import fisher_exact

from farpress.core.faults.diary import more_often_chance
from farpress.errors import OutOfRange


@pytest.mark.parametrize(
    ("failed", "tries", "others_failed", "others"),
    [(3, 4, 1, 4), (9, 12, 1, 40), (0, 5, 3, 9), (5, 5, 0, 7), (2, 30, 2, 30), (7, 7, 9, 9)],
)
def test_the_chance_is_that_of_fisher(failed: int, tries: int, others_failed: int, others: int) -> None:
    """To the last digits, also where all or none failed."""
    table = [[failed, tries - failed], [others_failed, others - others_failed]]
    expected = fisher_exact(table, alternative="greater").pvalue
    found = more_often_chance(failed=failed, tries=tries, others_failed=others_failed, others=others)

    assert found == pytest.approx(expected, rel=1e-10)


def test_no_more_can_fail_than_are_tried() -> None:
    """Nor fewer than none."""
    with pytest.raises(OutOfRange):
        more_often_chance(failed=3, tries=2, others_failed=0, others=4)
