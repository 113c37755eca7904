"""Outputs that begin or end later than the press."""

from __future__ import annotations

from typing import Any

import pytest

from farpress.case.driven import driven_of
from farpress.case.leaf import run_on
from farpress.domain.finding import Finding, Verdict
from farpress.judging.output import settable
from farpress.judging.output.later import judge_later
from farpress.papers.builders.words import mode_words
from helpers.findings import finding_of
from helpers.logic_case import GATE, LAMP, a_case

HOLDS, THIN, UNKNOWN, FAILS = Verdict.HOLDS, Verdict.THIN, Verdict.UNKNOWN, Verdict.FAILS
GARAGE_UP = {"device": "garage door", "inputs": {"up": {"logic": "up"}, "stop": {"logic": "stop"}}}


def _found(output: dict[str, Any], sheet: dict[str, Any], works: str = "it.up") -> list[Finding]:
    return list(judge_later(a_case({"1": {"works": works, **output}}, devices={"it": sheet})))


@pytest.mark.parametrize(
    ("delay", "warns", "verdict"),
    [(2.0, None, HOLDS), (2.1, None, UNKNOWN), (2.1, False, FAILS), (2.0, False, HOLDS), (30.0, True, THIN)],
)
def test_out_51_what_moves_starts_while_it_is_looked_at(
    delay: float, warns: bool | None, verdict: Verdict
) -> None:
    """Or something warns of it; whether it does is asked."""
    given = {"kind": "pulse", "for_s": 1.0, "delay_s": delay, "warns": warns}
    found = finding_of(_found(given, GARAGE_UP), "OUT-51")
    assert found.verdict is verdict


@pytest.mark.parametrize(
    ("sheet", "works", "verdict"),
    [
        (GARAGE_UP, "it.up", FAILS),
        (GARAGE_UP, "it.stop", None),
        ({"device": "contactor", "inputs": {"up": {"logic": "on"}}}, "it.up", UNKNOWN),
        ({"device": "lamp", "inputs": {"up": {"logic": "on"}}}, "it.up", None),
    ],
)
def test_out_52_letting_go_ends_what_moves(
    sheet: dict[str, Any], works: str, verdict: Verdict | None
) -> None:
    """A light or a fan may go on; of what feeds more it is asked."""
    found = [one for one in _found({"kind": "follow", "stays_s": 5.0}, sheet, works) if one.code == "OUT-52"]
    assert [finding.verdict for finding in found] == [verdict] * (verdict is not None)
    assert all(finding.bars for finding in found if finding.verdict is FAILS)


@pytest.mark.parametrize(
    ("delay", "longest", "verdict"),
    [
        (10.0, 60.0, HOLDS),
        (60.0, 60.0, HOLDS),
        (60.1, 60.0, FAILS),
        (10.0, 0.0, FAILS),
        (10.0, None, UNKNOWN),
        (None, None, None),
        (0.0, 0.0, None),
    ],
)
def test_out_53_a_receiver_can_be_set_to_it(
    delay: float | None, longest: float | None, verdict: Verdict | None
) -> None:
    """Begin or end, whichever is later."""
    for key in ("delay_s", "stays_s"):
        output = {"kind": "toggle", "works": "lamp.on", key: delay}
        case = a_case({"1": output}, devices={"lamp": LAMP}, receiver={"delay_max_s": longest})
        found = [finding for finding in settable.judge(case) if finding.code == "OUT-53"]
        assert [finding.verdict for finding in found] == [verdict] * (verdict is not None)


def test_a_time_after_letting_go_is_way_that_a_leaf_runs_on() -> None:
    """0.18 m/s for 0.4 s of drop-out, 0.1 s to stop and 5 s more: 0.99 m, by hand."""
    case = a_case({"1": {"kind": "follow", "works": "gate.open", "stays_s": 5.0}}, devices={"gate": GATE})
    (output,) = case.outputs()
    (driven,) = driven_of(case, output)
    assert run_on(case, output, driven).way_m == pytest.approx(0.99)


def test_papers_say_when_it_begins_and_ends() -> None:
    """In the settings schedule, where somebody sets it."""
    (output,) = a_case(
        {"1": {"kind": "toggle", "works": "lamp.on", "delay_s": 10.0, "stays_s": 180.0}},
        devices={"lamp": LAMP},
    ).outputs()
    words = mode_words(output.output)
    assert "begins 10 s after the press" in words
    assert "ends 3 min after it is let go or switched off" in words
