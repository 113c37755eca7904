"""Calls that must last until somebody is there, and places that have an alarm of their own."""

from __future__ import annotations

from typing import Any

import pytest

from farpress.domain.finding import Finding, Verdict
from farpress.domain.job import Promise
from farpress.judging.safety import calls_kept
from helpers.findings import finding_of
from helpers.logic_case import a_case


def judged(
    output: dict[str, Any], function: dict[str, Any] | None = None, place: dict[str, Any] | None = None
) -> list[Finding]:
    """Findings about a lamp that calls, promised from one place."""
    promise = Promise.model_validate({"to": "pair", "function": "f1", "from": "here"})
    functions = {"f1": {"output": "house/R1/1", "kind": "call", **(function or {})}}
    case = a_case(
        {"1": {"works": "lamp.on", **output}},
        functions=functions,
        promises=(promise,),  # type: ignore[arg-type]
    )
    if place is not None:
        there = case.job.premises["house"].places
        there["here"] = there["here"].model_copy(update=place)
    return list(calls_kept.judge(case))


@pytest.mark.parametrize(
    ("length", "within", "verdict"),
    [
        (599.0, 600.0, Verdict.FAILS),
        (600.0, 600.0, Verdict.HOLDS),
        (601.0, 600.0, Verdict.HOLDS),
        (1.0, None, Verdict.UNKNOWN),
    ],
)
def test_safe_62_a_call_lasts_until_somebody_is_there(
    length: float, within: float | None, verdict: Verdict
) -> None:
    """Ten minutes until the warden is there want a lamp of ten minutes."""
    pulse = {"kind": "pulse", "for_s": length}
    finding = finding_of(judged(pulse, {"answered_within_s": within}), "SAFE-62")
    assert finding.verdict is verdict
    assert bool(finding.asks) is (verdict is Verdict.UNKNOWN)


@pytest.mark.parametrize(
    ("kind", "verdict"), [("toggle", Verdict.HOLDS), ("latch", Verdict.HOLDS), ("follow", Verdict.FAILS)]
)
def test_safe_62_what_keeps_its_state_lasts_and_what_is_held_does_not(kind: str, verdict: Verdict) -> None:
    """Who ends a toggle is another check's question."""
    assert finding_of(judged({"kind": kind}), "SAFE-62").verdict is verdict


def test_safe_62_of_several_calls_the_slowest_answer_counts() -> None:
    """Two functions on one lamp: 10 min and 1 min."""
    functions = {
        name: {"output": "house/R1/1", "kind": "call", "answered_within_s": within}
        for name, within in (("f1", 600.0), ("f2", 60.0))
    }
    case = a_case({"1": {"kind": "pulse", "for_s": 100.0, "works": "lamp.on"}}, functions=functions)
    finding = finding_of(calls_kept.judge(case), "SAFE-62")
    assert (finding.verdict, finding.limit) == (Verdict.FAILS, 600.0)


@pytest.mark.parametrize(
    ("shut_in", "also_by", "verdict"),
    [
        ("lift", None, Verdict.FAILS),
        ("cold room", None, Verdict.FAILS),
        ("lift", "the lift's own alarm", Verdict.THIN),
    ],
)
def test_safe_63_a_lift_has_an_alarm_of_its_own(shut_in: str, also_by: str | None, verdict: Verdict) -> None:
    """EN 81-28 and EN 378-1, from memory."""
    finding = finding_of(judged({"kind": "toggle"}, {"also_by": also_by}, {"shut_in": shut_in}), "SAFE-63")
    assert finding.verdict is verdict


def test_safe_63_is_asked_where_the_name_says_so_and_nowhere_else() -> None:
    """A place called here is any place; one that was asked is settled."""
    assert "SAFE-63" not in {it.code for it in judged({"kind": "toggle"})}
    assert "SAFE-63" not in {it.code for it in judged({"kind": "toggle"}, None, {"shut_in": "nothing"})}
    promise = Promise.model_validate({"to": "pair", "function": "f1", "from": "goods lift"})
    case = a_case(
        {"1": {"kind": "toggle", "works": "lamp.on"}},
        kinds={"1": "call"},
        promises=(promise,),  # type: ignore[arg-type]
    )
    places = case.job.premises["house"].places
    places["goods lift"] = places["here"]
    places["lift lobby"] = places["here"]
    lobby = Promise.model_validate({"to": "pair", "function": "f1", "from": "lift lobby"})
    beside = case.with_job(case.job.model_copy(update={"promises": (lobby,)}))
    assert "SAFE-63" not in {it.code for it in calls_kept.judge(beside)}
    asked = finding_of(calls_kept.judge(case), "SAFE-63")
    assert asked.verdict is Verdict.UNKNOWN
    assert asked.asks
