"""EN 50131-6 edition 2: standby of supplies with a rechargeable battery (type A), by grade.

Read on 2026-11-25 in a distributor's note on the edition; a panel maker's manual has the same hours.
The recharge time of grades 3 and 4 is from memory and therefore not tested here.
"""

from __future__ import annotations

import pytest

from farpress.core.wiring.standby import demanded_recharge_s, demanded_standby_s
from farpress.errors import InputError
from helpers.printed import Printed


@pytest.mark.parametrize(
    ("grade", "signalled", "hours"),
    [
        (1, False, Printed("12")),
        (2, False, Printed("12")),
        (3, False, Printed("60")),
        (4, False, Printed("60")),
        (3, True, Printed("30")),
        (4, True, Printed("30")),
        (2, True, Printed("12")),
    ],
)
def test_standby_is_that_of_the_table(grade: int, signalled: bool, hours: Printed) -> None:
    """Grades 3 and 4 are halved where a mains fault is signalled."""
    assert hours.agrees_with(demanded_standby_s(grade=grade, fault_signalled=signalled) / 3600)


def test_grade_two_is_charged_again_in_three_days() -> None:
    """72 h, read in a panel maker's manual."""
    assert Printed("72").agrees_with(demanded_recharge_s(grade=2) / 3600)


def test_there_is_no_grade_five() -> None:
    """The text names what is allowed."""
    with pytest.raises(InputError, match="1, 2, 3 or 4"):
        demanded_standby_s(grade=5)
