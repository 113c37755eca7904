"""Telegrams of others against a press: ALOHA of the textbooks, a brute count of breaks, and the words."""

from __future__ import annotations

import random
from typing import Any

import numpy as np
import pytest

from farpress.core.reach.contention import breaks_in_press, telegram_hit_share
from farpress.domain.finding import Finding, Verdict
from farpress.domain.refs import PlanRef
from farpress.judging.air import held_through, promises
from farpress.reach.channel import hit_share
from helpers.findings import finding_of
from helpers.radio_case import larkfen

PROBES: dict[str, Any] = {"telegram": "40 ms", "every": "5 s", "senders": 12}


@pytest.mark.parametrize("senders", [1, 5, 20])
def test_equal_telegrams_are_hit_as_in_pure_aloha(senders: int) -> None:
    """Abramson, The ALOHA system, 1970: of a load G the share exp(-2 G) comes through."""
    hit = telegram_hit_share(others=[(0.1, 2.0, senders)], telegram_s=0.1)
    assert 1.0 - hit == pytest.approx(np.exp(-2.0 * senders * 0.05))


@pytest.mark.parametrize(("lost", "dropout_s"), [(0.23, 0.30), (0.5, 0.40), (0.1, 0.15)])
def test_breaks_are_those_counted_in_holds_played_telegram_by_telegram(lost: float, dropout_s: float) -> None:
    """A hold of an hour, each telegram lost by a draw: a gap longer than the drop-out is a break."""
    drawn, repeat, last, breaks = random.Random(7), 0.12, 0.0, 0
    for number in range(1, 30_000):
        if drawn.random() >= lost:
            breaks += number * repeat - last > dropout_s
            last = number * repeat
    told = breaks_in_press(press_s=30_000 * repeat, repeat_s=repeat, dropout_s=dropout_s, lost_share=lost)
    assert told == pytest.approx(breaks, rel=0.08)


def judged(kind: str, interference: dict[str, Any], *, dropout_s: float | None = 0.30) -> list[Finding]:
    """AIR-11 of an output of a kind, near what runs there."""
    return list(
        held_through.judge(
            larkfen(
                premises={"interference": {"probes": interference}},
                receiver={"dropout_s": dropout_s},
                box={"outputs": {"1": {"kind": kind, "works": "gate.open"}}},
            )
        )
    )


@pytest.mark.parametrize(
    ("kind", "probes", "verdict"),
    [
        ("follow", PROBES, Verdict.FAILS),
        ("toggle", PROBES, Verdict.FAILS),
        ("follow", {**PROBES, "every": "1 h"}, Verdict.HOLDS),
        ("follow", {"telegram": "40 ms"}, Verdict.UNKNOWN),
        ("pulse", PROBES, None),
        ("follow", {"noise": "-80 dBm"}, None),
        ("follow", {**PROBES, "at": ["R9"]}, None),
    ],
)
def test_air_11_a_hold_breaks_and_a_toggle_turns_back(
    kind: str, probes: dict[str, Any], verdict: Verdict | None
) -> None:
    """Twelve probes meet a fifth of the telegrams; a pulse begins with the first that comes through."""
    found = judged(kind, probes)
    assert {finding.verdict for finding in found} == ({verdict} if verdict is not None else set())


def test_air_11_without_the_drop_out_it_is_asked() -> None:
    """Missing is never better."""
    found = judged("follow", PROBES, dropout_s=None)
    assert {finding.verdict for finding in found} == {Verdict.UNKNOWN}
    assert "drop-out" in found[0].asks[0].says


def test_what_nobody_counted_is_not_known_and_what_is_not_there_meets_nothing() -> None:
    """None, and not 0, where a time is missing."""
    half = larkfen(premises={"interference": {"probes": {"every": "5 s"}}})
    assert hit_share(larkfen(), "larkfen", "R1", 0.06) == 0.0
    assert hit_share(half, "larkfen", "R1", 0.06) is None


def test_air_11_is_caused_by_what_sends() -> None:
    """So that it stands beside nothing else of the receiver, with its own way out."""
    assert judged("follow", PROBES)[0].cause == PlanRef("larkfen/probes")


@pytest.mark.parametrize("left_out", ["telegram", "every"])
def test_air_01_how_others_send_left_out_is_asked_and_makes_no_press_surer(left_out: str) -> None:
    """A promise that fails beside them fails without their times; one that would hold is asked."""
    wish = [{"to": "family", "function": "open gate", "from": "kitchen", "within": "1 presses"}]

    def kept(probes: dict[str, Any]) -> Finding:
        case = larkfen(premises={"interference": {"probes": probes}}, promises=wish)
        return finding_of(list(promises.judge(case)), "AIR-01")

    crowd = {**PROBES, "senders": 2000}
    less = kept({key: value for key, value in crowd.items() if key != left_out})

    assert kept(crowd).verdict is Verdict.FAILS
    assert less.verdict in (Verdict.UNKNOWN, Verdict.FAILS)
    assert any("sends by itself" in ask.says for ask in less.asks)
