"""Wishes for what can hurt, before an output is drawn; protection that recloses; a horn with two meanings."""

from __future__ import annotations

from typing import Any

import pytest

from farpress.domain.finding import Finding, Verdict
from farpress.judging.air.advice import is_call
from farpress.judging.safety import calls_answered, in_danger, recloses, wished
from helpers.findings import finding_of
from helpers.logic_case import LAMP, SIREN, a_case

HOLDS, THIN, UNKNOWN, FAILS = Verdict.HOLDS, Verdict.THIN, Verdict.UNKNOWN, Verdict.FAILS
FROM_HERE: tuple[dict[str, Any], ...] = ({"to": "pair", "function": "go", "from": "here"},)
WINCH = {
    "device": "winch",
    "speed_m_per_s": 0.075,
    "way_m": 40.0,
    "stops_after_s": 0.3,
    "inputs": {"in": {"logic": "up"}, "stop": {"logic": "stop"}},
}


def _case(sheet: dict[str, Any], works: str = "it.in", kind: str | None = None, **more: Any) -> Any:
    return a_case({}, devices={"it": sheet}, functions={"go": {"works": works, "kind": kind}}, **more)


def _judged(sheet: dict[str, Any], **more: Any) -> Finding:
    return finding_of(wished.judge(_case(sheet, **more)), "SAFE-50")


def test_safe_50_a_long_way_is_told_in_holds_and_in_the_way_it_runs_on() -> None:
    """40 m at 75 mm/s are 533 s, 18 holds of 30 s; 0.4 s and 0.3 s at 75 mm/s are 52 mm: by hand."""
    found = _judged(WINCH)

    assert (found.verdict, found.bars) == (FAILS, True)
    for figure in ("30 s of 533 s", "18 presses", "52 mm"):
        assert figure in found.because


@pytest.mark.parametrize(
    ("way_m", "sees", "promises", "verdict"),
    [
        (2.24, ("it",), FROM_HERE, THIN),
        (2.25, ("it",), FROM_HERE, THIN),
        (2.26, ("it",), FROM_HERE, FAILS),
        (2.0, (), FROM_HERE, FAILS),
        (2.0, (), (), UNKNOWN),
    ],
)
def test_safe_50_a_load_is_held_whole_and_seen_or_refused(
    way_m: float, sees: tuple[str, ...], promises: tuple[dict[str, Any], ...], verdict: Verdict
) -> None:
    """30 s at 75 mm/s are 2.25 m."""
    assert _judged({**WINCH, "way_m": way_m}, sees=sees, promises=promises).verdict is verdict


def test_safe_50_what_was_found_on_it_is_no_reservation() -> None:
    """Seen whole, with a worn rope: refused."""
    sheet = {**WINCH, "way_m": 2.0, "defects": ("worn rope",)}
    assert _judged(sheet, sees=("it",), promises=FROM_HERE).verdict is FAILS


@pytest.mark.parametrize(("harmless", "verdict"), [(None, UNKNOWN), (True, None), (False, FAILS)])
def test_safe_50_another_kind_of_thing_is_asked(harmless: bool | None, verdict: Verdict | None) -> None:
    """Until somebody says what it does to whoever is at it."""
    sheet = {"device": "other", "harmless": harmless, "inputs": {"in": {"logic": "on"}}}
    found = list(wished.judge(_case(sheet, promises=FROM_HERE)))
    assert [finding.verdict for finding in found] == [verdict] * (verdict is not None)


@pytest.mark.parametrize(
    ("sheet", "works", "kind"), [(WINCH, "it.stop", None), (WINCH, "it.in", "stop"), (LAMP, "it.on", "light")]
)
def test_safe_50_what_stops_or_hurts_nobody_may_be_wished(
    sheet: dict[str, Any], works: str, kind: str | None
) -> None:
    """Silence."""
    assert not list(wished.judge(_case(sheet, works=works, kind=kind)))


@pytest.mark.parametrize(
    ("sheet", "verdict"),
    [
        ({"recloses": True}, FAILS),
        ({"recloses": False, "harmless": False}, HOLDS),
        ({"harmless": False}, UNKNOWN),
        ({"harmless": True}, None),
        ({}, None),
    ],
)
def test_safe_54_what_tripped_stays_off(sheet: dict[str, Any], verdict: Verdict | None) -> None:
    """Of what feeds something that is not harmless it is asked."""
    posts = {"device": "contactor", "inputs": {"on": {"logic": "on"}}, **sheet}
    case = a_case({"1": {"kind": "toggle", "works": "posts.on"}}, devices={"posts": posts})
    assert [finding.verdict for finding in recloses.judge(case)] == [verdict] * (verdict is not None)


@pytest.mark.parametrize(("second", "verdict"), [("horn.on", FAILS), ("bell.on", HOLDS), (None, HOLDS)])
def test_safe_41_one_horn_for_two_purposes_is_taken_for_the_other(
    second: str | None, verdict: Verdict
) -> None:
    """Whatever somebody wrote of what it is mistaken for."""
    functions: dict[str, dict[str, Any]] = {
        "help": {"works": "horn.on", "kind": "sound", "in_danger": True, "mistaken_for": ()}
    }
    if second:
        functions["pause"] = {"works": second, "kind": "sound"}
    case = a_case({}, devices={"horn": SIREN, "bell": SIREN}, functions=functions)
    assert finding_of(in_danger.judge(case), "SAFE-41").verdict is verdict


@pytest.mark.parametrize(("water", "told"), [("salt", True), ("fresh", True), (None, False)])
def test_safe_41_by_the_water_ships_have_blasts_of_their_own(water: str | None, told: bool) -> None:
    """COLREG, rule 34, from memory."""
    functions = {"help": {"works": "horn.on", "kind": "sound", "in_danger": True, "mistaken_for": ()}}
    case = a_case({}, devices={"horn": SIREN}, functions=functions, house={"water": water})
    assert ("signals of ships" in finding_of(in_danger.judge(case), "SAFE-41").because) is told


@pytest.mark.parametrize(("kind", "called"), [("platform", False), ("call", True), ("sounder", True)])
def test_a_lift_that_is_called_is_no_call_for_help(kind: str, called: bool) -> None:
    """It comes by itself; whoever hears a lamp or a bell has to come."""
    case = a_case(
        {"1": {"kind": "pulse", "for_s": 1.0, "works": "it.in"}},
        kinds={"1": "call"},
        devices={"it": {"device": kind, "inputs": {"in": {"logic": "start"}}}},
    )
    assert [is_call(case, output) for output in case.outputs()] == [called]
    assert bool(list(calls_answered.judge(case))) is called
