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
        readings=readings,
        **{"promises": [PROMISE], **job},
    )


def judged(level: str | None = "-70 dBm", **given: Any) -> Finding:
    """AIR-09 of it."""
    welder = given.pop("welder", {"noise": "-85 dBm", "when": "on Fridays"})
    (found,) = interference.judge(house(level, welder, **given))
    return found


@pytest.mark.parametrize(
    ("level", "verdict"),
    [("-90 dBm", FAILS), ("-75 dBm", FAILS), ("-68 dBm", FAILS), ("-66 dBm", THIN), ("-60 dBm", HOLDS)],
)
def test_air_09_a_promise_is_kept_over_the_noise_as_surely_as_promised(level: str, verdict: Verdict) -> None:
    """-85 + 10 = -75 dBm: a level just there is heard by half of the presses, and 95 % were promised."""
    found = judged(level)

    assert (found.verdict, found.limit) == (verdict, pytest.approx(95.0))
    assert "(on Fridays)" in found.says


def test_air_09_a_level_just_on_what_is_needed_is_heard_in_half_of_single_presses_or_a_little_more() -> None:
    """Half of all presses lie over the median; that a press sends several telegrams helps a little."""
    found = judged("-75 dBm", promises=[{**PROMISE, "within": "1 presses"}])

    assert found.value is not None
    assert 50.0 <= found.value < 70.0


def test_air_09_a_noise_below_the_receivers_own_changes_nothing() -> None:
    """At -150 dBm it is heard as in quiet, and not as if the receiver heard more than it can."""
    quiet = judged(None, welder={"noise": "-150 dBm"})
    loud = judged(None, welder={"noise": "-140 dBm"})

    assert quiet.value == loud.value


def test_a_reading_stands_before_the_prediction_and_says_how_far_it_is_off() -> None:
    """However well the model means it."""
    told = judged("-95 dBm")

    assert "-95 dBm were read" in told.says
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


@pytest.mark.parametrize(
    ("bursts", "verdict"), [("0 %", HOLDS), ("4 %", HOLDS), ("6 %", FAILS), ("30 %", FAILS)]
)
def test_air_09_the_share_of_bursts_of_an_hour_is_held_against_the_promise(
    bursts: str, verdict: Verdict
) -> None:
    """A level far over the noise: what is lost is what the bursts of that hour take."""
    evening = {"noise": "-120 dBm", "hours": "17:00-20:00", "days": ["monday", "friday"], "bursts": bursts}
    found = judged("-40 dBm", welder=evening, promises=[{**PROMISE, "at_least": "95 %", "within": "1 press"}])

    assert found.verdict in ({verdict} if verdict is FAILS else {HOLDS, THIN})
    assert "(Monday, Friday, 17:00-20:00)" in found.says
    assert found.value == pytest.approx(100.0 - float(bursts.split()[0]), abs=0.2)


def test_air_09_bursts_of_an_hour_are_asked_where_only_its_noise_was_measured() -> None:
    """An hour that is told needs both; without, the same word as with the worst share or unknown."""
    found = judged("-40 dBm", welder={"noise": "-120 dBm", "hours": "17:00-20:00"})

    assert found.verdict is UNKNOWN
    assert any("from 17:00-20:00" in ask.says for ask in found.asks)


def test_air_09_an_hour_is_never_better_than_what_was_measured_of_all_hours() -> None:
    """8 % measured of the day; an hour told as free of bursts changes nothing of it."""
    evening = {"noise": "-120 dBm", "hours": "03:00-04:00", "bursts": "0 %"}
    case = larkfen(
        premises={"interference": {"night": evening}, "noise_bursts": "8 %"},
        receiver={"over_noise_db": 10.0},
        readings=[{"receiver": "larkfen/R1", "place": "kitchen", "level": "-40 dBm"}],
        promises=[{**PROMISE, "within": "1 press"}],
    )
    (found,) = interference.judge(case)

    assert found.value == pytest.approx(92.0, abs=0.2)


@pytest.mark.parametrize("hours", ["17-20", "25:00-26:00", "evening"])
def test_hours_that_are_no_hours_are_refused(hours: str) -> None:
    """As all else that a job file holds."""
    with pytest.raises(ValueError, match="hours"):
        house(None, {"noise": "-85 dBm", "hours": hours})
