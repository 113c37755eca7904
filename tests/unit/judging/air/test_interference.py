"""What runs at times and fills the channel, against the level at a place: read first, predicted else.

A workshop with a welder: -85 dBm of noise, and 10 dB over it, are -75 dBm needed.
"""

from __future__ import annotations

from typing import Any

import pytest

from farpress.case.case import Case
from farpress.domain.finding import Finding, Stake, Verdict
from farpress.judging.air import interference
from helpers.radio_case import larkfen

HOLDS, THIN, UNKNOWN, FAILS = Verdict.HOLDS, Verdict.THIN, Verdict.UNKNOWN, Verdict.FAILS
PROMISE = {"to": "family", "function": "open gate", "from": "kitchen"}


def house(level: str | None, welder: dict[str, Any], *, over: float | None = 10.0, **job: Any) -> Case:
    """One promise from the kitchen, perhaps with a level read there."""
    readings = [{"receiver": "larkfen/R1", "place": "kitchen", "level": level}] if level else []
    return larkfen(
        premises={"interference": {"welder": welder}},
        receiver={"over_noise_db": over},
        promises=[PROMISE],
        readings=readings,
        **job,
    )


def judged(level: str | None = "-70 dBm", **given: Any) -> Finding:
    """AIR-09 of it."""
    welder = given.pop("welder", {"noise": "-85 dBm", "when": "on Fridays"})
    (found,) = interference.judge(house(level, welder, **given))
    return found


@pytest.mark.parametrize(
    ("level", "verdict"), [("-75.1 dBm", FAILS), ("-75 dBm", THIN), ("-72.1 dBm", THIN), ("-71.9 dBm", HOLDS)]
)
def test_air_09_a_level_read_against_noise_and_what_is_needed_over_it(level: str, verdict: Verdict) -> None:
    """-85 + 10 = -75 dBm; thin within the 3 dB of a reading."""
    found = judged(level)

    assert (found.verdict, found.limit) == (verdict, pytest.approx(-75.0))
    assert "(on Fridays)" in found.says


def test_a_reading_stands_before_the_prediction_and_says_how_far_it_is_off() -> None:
    """However well the model means it."""
    told = judged("-95 dBm")

    assert told.value == pytest.approx(-95.0)
    assert "the reading counts" in told.says
    assert "dBm are predicted" in judged(None).says


@pytest.mark.parametrize(
    ("welder", "over", "asks"), [({}, 10.0, 1), ({"noise": "-85 dBm"}, None, 1), ({}, None, 2)]
)
def test_without_the_noise_or_what_is_needed_over_it_it_is_asked(
    welder: dict[str, Any], over: float | None, asks: int
) -> None:
    """Never taken for quiet."""
    found = judged("-40 dBm", welder=welder, over=over)

    assert (found.verdict, len(found.asks)) == (UNKNOWN, asks)


def test_a_call_for_help_that_fails_can_hurt_and_is_told_a_wire_first() -> None:
    """What else is promised is a promise."""
    call = {"functions": {"open gate": {"output": "larkfen/R1/1", "kind": "call"}}}
    found = judged("-90 dBm", **call)

    assert (found.verdict, found.stake) == (FAILS, Stake.HARM)
    assert found.remedies[0].does.startswith("A wired call unit")
    assert judged("-90 dBm").stake is Stake.PROMISE


def test_only_the_receivers_that_it_disturbs_are_judged() -> None:
    """Named under 'at'; without names all of them."""
    assert not list(interference.judge(house(None, {"noise": "-85 dBm", "at": ["R9"]})))
    assert not list(interference.judge(larkfen()))
