"""More reach wanted from one place, and forbidden from another, at one receiver."""

from __future__ import annotations

from typing import Any

import pytest

from farpress.domain.finding import Finding, Verdict
from farpress.judging.air import opposed
from helpers.radio_case import larkfen

OPEN: dict[str, Any] = {"walls": [], "levels": {}, "slope": []}


def _found(
    promised_m: float, forbidden_m: float, *, at_least: str = "95 %", rules: bool = True
) -> list[Finding]:
    """A receiver in the open; somebody promised at one distance, nobody to be heard from another."""
    house = {
        **OPEN,
        "places": {"far": {"at": [promised_m, 0]}, "cottage": {"at": [0, forbidden_m]}},
        "receivers": {"R1": {"at": [0, 0, 2.5], "outputs": {"1": {"kind": "pulse", "works": "gate.open"}}}},
        "devices": {"gate": {"at": [1, 1]}},
    }
    promise = {"to": "family", "function": "open gate", "from": "far", "at_least": at_least}
    rule = {"never": "works from", "of": ["open gate"], "from": ["cottage"]}
    case = larkfen(premises=house, promises=[promise], rules=[rule] if rules else [])
    return list(opposed.judge(case))


def test_safe_48_what_brings_the_far_one_in_brings_the_cottage_in() -> None:
    """Twice as far off, the cottage is heard nearly always once the promise is kept."""
    (finding,) = _found(400.0, 600.0)

    assert finding.verdict is Verdict.FAILS
    assert "dB more at R1" in finding.says
    assert (finding.value or 0.0) > 20.0


def test_safe_48_the_further_the_place_the_less_it_is_heard() -> None:
    """A place at twenty times the distance stays out of it."""
    near, far = (_found(400.0, metres)[0].value or 0.0 for metres in (600.0, 9_900.0))

    assert far < 1.0 < near
    assert _found(400.0, 9_900.0)[0].verdict is Verdict.HOLDS


@pytest.mark.parametrize("more", [{"promised_m": 20.0}, {"rules": False}])
def test_safe_48_where_nothing_is_wanted_nothing_is_opposed(more: dict[str, Any]) -> None:
    """A promise that is kept, or no place at which it must not work."""
    assert not _found(**{"promised_m": 400.0, "forbidden_m": 600.0, **more})
