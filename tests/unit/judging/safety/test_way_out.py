"""A way out through a receiver is refused, or asked about."""

from __future__ import annotations

from typing import Any

import pytest

from farpress.domain.finding import Verdict
from farpress.judging.safety.way_out import judge
from helpers.wired_case import wired_case

THIN, UNKNOWN, FAILS = Verdict.THIN, Verdict.UNKNOWN, Verdict.FAILS


def words(
    works: str | None, escape: bool | None, *, device: str = "magnetic lock", reads: str = "E1.exit"
) -> list[Any]:
    """An exit button on input 2 of the receiver that releases a lock."""
    return [
        (finding.verdict, finding.bars)
        for finding in judge(
            wired_case(
                {
                    "receivers": {
                        "R2": {
                            "at": [0, 0],
                            "outputs": {"1": {"kind": "pulse", "for_s": 5.0, "works": "E1.in"}},
                            "inputs": {"2": {"reads": reads, "works": works}},
                        }
                    },
                    "devices": {"E1": {"device": device, "escape_route": escape}},
                    "panels": {"alarm": {}},
                }
            )
        )
    ]


@pytest.mark.parametrize(
    ("works", "escape", "found"),
    [
        ("1", True, [(FAILS, True)]),
        ("1", None, [(UNKNOWN, False)]),
        ("1", False, [(THIN, False)]),
        (None, True, [(UNKNOWN, False)]),
    ],
)
def test_safe_14_a_way_out_never_goes_through_a_receiver(
    works: str | None, escape: bool | None, found: list[Any]
) -> None:
    """Nobody may accept it on an escape route; what is not said is asked."""
    assert words(works, escape) == found


def test_safe_14_other_inputs_are_left_alone() -> None:
    """A panel's status, and a lamp that nobody leaves through."""
    assert words(None, True, reads="alarm.set") == []
    assert words("1", None, device="lamp") == []
