"""A level and a count of one reading: both count, and where they contradict each other it is told."""

from __future__ import annotations

from typing import Any

import pytest

from farpress.case.case import Case
from farpress.domain.finding import Finding, Verdict
from farpress.judging.air import counted, twice_told
from farpress.reach.radio_link import radio_of
from helpers.radio_case import larkfen

PROMISE = {
    "to": "family",
    "function": "open gate",
    "from": "kitchen",
    "at_least": "95 %",
    "within": "1 press",
}
STRONG, WEAK = "-70 dBm", "-125 dBm"


def house(**given: Any) -> Case:
    """One promise from the kitchen and one reading there."""
    return larkfen(
        promises=[PROMISE],
        readings=[{"receiver": "larkfen/R1", "place": "kitchen", **given}] if given else [],
    )


def told(**given: Any) -> Finding:
    """AIR-90 of that reading."""
    (found,) = twice_told.judge(house(**given))
    return found


def added_db(**given: Any) -> float:
    """What the reading adds to the level from the kitchen."""
    case = house(**given)
    place = case.job.premises["larkfen"].places["kitchen"]
    link = radio_of(case).link(
        group="family", premises="larkfen", receiver="R1", place=place, place_path="larkfen/kitchen"
    )
    return sum(line.adds_db for line in link.lines if line.part.value == "readings")


@pytest.mark.parametrize(
    ("level", "heard", "verdict"),
    [
        (STRONG, 20, Verdict.HOLDS),
        (STRONG, 18, Verdict.HOLDS),
        (STRONG, 8, Verdict.UNKNOWN),
        (WEAK, 0, Verdict.HOLDS),
        (WEAK, 20, Verdict.UNKNOWN),
    ],
)
def test_air_90_level_against_count(level: str, heard: int, verdict: Verdict) -> None:
    """The interval of the count holds the share of the level, or it does not."""
    found = told(level=level, heard=heard, of=20)

    assert found.verdict is verdict
    assert bool(found.asks) is (verdict is Verdict.UNKNOWN)
    assert ("contradict" in found.says) is (verdict is Verdict.UNKNOWN)


def test_air_90_turns_where_the_interval_of_the_count_ends() -> None:
    """One press fewer than the least count whose interval holds the level's share is a contradiction."""
    verdicts = [told(level=STRONG, heard=heard, of=20).verdict for heard in range(21)]
    case = house(level=STRONG, heard=20, of=20)
    (compared,) = radio_of(case).readings("larkfen", "R1")
    assert compared.against is not None
    share = compared.against.level_share
    held = [counted.counted_share(heard=heard, tried=20, presses=1) for heard in range(21)]

    assert [verdict is Verdict.HOLDS for verdict in verdicts] == [
        count.low <= share <= count.high for count in held
    ]
    assert {Verdict.HOLDS, Verdict.UNKNOWN} == set(verdicts)


@pytest.mark.parametrize("given", [{"level": STRONG}, {"heard": 8, "of": 20}])
def test_one_of_the_two_alone_is_not_held_against_anything(given: dict[str, Any]) -> None:
    """Nothing is told where there is only a level, or only a count."""
    assert list(twice_told.judge(house(**given))) == []


@pytest.mark.parametrize(("level", "heard"), [(STRONG, 8), (WEAK, 20)])
def test_what_contradicts_is_not_averaged(level: str, heard: int) -> None:
    """The prediction is that of the one of the two that says less, to the digit."""
    alone = added_db(level=level), added_db(heard=heard, of=20)

    assert added_db(level=level, heard=heard, of=20) == min(alone)


def test_a_count_that_agrees_moves_the_prediction_beside_its_level() -> None:
    """Level and count both count: not what the level alone says, nor the count alone."""
    both = added_db(level="-104 dBm", heard=9, of=20)

    assert told(level="-104 dBm", heard=9, of=20).verdict is Verdict.HOLDS
    assert both not in (added_db(level="-104 dBm"), added_db(heard=9, of=20))


def test_a_pad_weakens_what_is_counted_and_read_alike() -> None:
    """Behind a pad of 30 dB the same level and count agree or contradict as without."""
    for heard in (8, 20):
        plain = told(level=STRONG, heard=heard, of=20)
        assert told(level=STRONG, heard=heard, of=20, pad="30 dB").verdict is plain.verdict
