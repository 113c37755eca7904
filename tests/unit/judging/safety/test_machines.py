"""Machines that radio can start: seen or refused, and what takes their power away."""

from __future__ import annotations

from typing import Any

import pytest

from farpress.domain.finding import Finding, Stake, Verdict
from farpress.domain.kinds import DEVICE_KINDS
from farpress.judging.safety import machines
from helpers.findings import codes_of, finding_of
from helpers.logic_case import a_case

HOLDS, THIN, UNKNOWN, FAILS = Verdict.HOLDS, Verdict.THIN, Verdict.UNKNOWN, Verdict.FAILS
FROM_HERE: tuple[dict[str, Any], ...] = ({"to": "pair", "function": "f1", "from": "here"},)


def judged(
    kind: str, *, logic: str = "on", output: dict[str, Any] | None = None, **more: Any
) -> list[Finding]:
    """One such thing on one output."""
    sheet = {"device": kind, "inputs": {"in": {"logic": logic}}, "travel_s": 10.0, **more.pop("sheet", {})}
    return list(
        machines.judge(
            a_case(
                {"1": {"kind": "toggle", "works": "it.in", **(output or {})}}, devices={"it": sheet}, **more
            )
        )
    )


@pytest.mark.parametrize("kind", [kind.name for kind in DEVICE_KINDS.values() if kind.hurts])
@pytest.mark.parametrize(
    ("sees", "promises", "verdict"),
    [((), FROM_HERE, FAILS), (("it",), FROM_HERE, THIN), (("it",), (), UNKNOWN)],
)
def test_safe_12_what_hurts_is_started_where_it_is_seen_whole(
    kind: str, sees: tuple[str, ...], promises: tuple[dict[str, Any], ...], verdict: Verdict
) -> None:
    """Unseen nobody may accept it; seen it is a start by radio all the same; from nowhere it is asked."""
    held = {"kind": "follow"}
    finding = finding_of(judged(kind, output=held, sees=sees, promises=promises), "SAFE-12")

    assert (finding.verdict, finding.bars, finding.stake) == (verdict, verdict is FAILS, Stake.HARM)


@pytest.mark.parametrize(("logic", "kinds"), [("stop", {}), ("on", {"1": "stop"})])
def test_safe_12_what_only_stops_starts_nothing(logic: str, kinds: dict[str, str]) -> None:
    """By its input, or by every function that presses it."""
    assert "SAFE-12" not in {finding.code for finding in judged("pump", logic=logic, kinds=kinds)}


@pytest.mark.parametrize(("harmless", "codes"), [(None, {"SAFE-12"}), (True, set())])
def test_safe_12_another_kind_of_thing_is_asked_about(harmless: bool | None, codes: set[str]) -> None:
    """Until somebody says that it hurts nobody."""
    for kind in ("other", "contactor"):
        found = judged(kind, sheet={"harmless": harmless}, sees=("it",), promises=FROM_HERE)

        assert codes_of(found, "unknown") == codes
        assert {finding.code for finding in found} == codes


@pytest.mark.parametrize(("sees", "verdict"), [((), FAILS), (("it",), THIN)])
def test_safe_12_what_is_given_as_not_harmless_is_started_where_it_is_seen(
    sees: tuple[str, ...], verdict: Verdict
) -> None:
    """Once somebody said so nothing is asked any more: it is refused unseen, as a machine is."""
    for kind in ("other", "contactor"):
        found = judged(kind, sheet={"harmless": False}, sees=sees, promises=FROM_HERE)

        assert finding_of(found, "SAFE-12").verdict is verdict


@pytest.mark.parametrize(
    ("says", "harmless", "codes"),
    [
        ("starts the circular saw", None, {"SAFE-12"}),
        ("Kreissäge", None, {"SAFE-12"}),
        ("circular saw", True, set()),
        ("light over the bench", None, set()),
    ],
)
def test_safe_12_a_lamp_that_is_called_a_saw_is_asked_about(
    says: str, harmless: bool | None, codes: set[str]
) -> None:
    """What people write about its function is read, whatever kind they chose."""
    functions = {"f1": {"output": "house/R1/1", "says": says}}
    found = judged("lamp", sheet={"harmless": harmless}, functions=functions)

    assert {finding.code for finding in found if finding.verdict is UNKNOWN} == codes


@pytest.mark.parametrize(
    ("isolator", "verdict"), [("lockable", HOLDS), ("not lockable", FAILS), ("none", FAILS), (None, UNKNOWN)]
)
def test_safe_13_an_isolator_that_can_be_locked_takes_the_power_away(
    isolator: str | None, verdict: Verdict
) -> None:
    """A fob never does; a stop by radio asks for it as well."""
    finding = finding_of(judged("energiser", logic="stop", sheet={"isolator": isolator}), "SAFE-13")

    assert (finding.verdict, finding.bars) == (verdict, verdict is FAILS)
    assert bool(finding.asks) == (verdict is UNKNOWN)


@pytest.mark.parametrize(
    ("sheet", "fob", "groups", "asked"),
    [
        ({}, {}, None, ""),
        ({"travel_s": None}, {}, None, "travel"),
        ({}, {"cut_off_s": None}, None, "stop by themselves"),
        ({}, {}, {"pair": {"count": 2, "buttons": {}}}, "have a button"),
    ],
)
def test_safe_12_whether_a_fob_can_hold_a_load_all_the_way_must_be_known(
    sheet: dict[str, Any], fob: dict[str, Any], groups: dict[str, Any] | None, asked: str
) -> None:
    """Leaving out the travel, the fob's time or whose fob it is makes it unknown, never thin."""
    found = judged(
        "winch",
        output={"kind": "follow"},
        sheet=sheet,
        fob=fob,
        groups=groups,
        sees=("it",),
        promises=FROM_HERE,
    )
    finding = finding_of(found, "SAFE-12")

    assert finding.verdict is (UNKNOWN if asked else THIN)
    assert asked in " ".join(ask.says for ask in finding.asks)


def test_lamps_and_gates_are_judged_elsewhere() -> None:
    """Leaves have their own refusals, a lamp hurts nobody."""
    assert judged("lamp") == []
    assert judged("sliding gate", logic="start") == []


@pytest.mark.parametrize(
    ("kind", "output", "inputs", "verdict"),
    [
        ("winch", {"kind": "follow"}, {"wants": "maintained"}, THIN),
        ("winch", {"kind": "pulse", "for_s": 60.0}, {"wants": "maintained"}, FAILS),
        ("winch", {"kind": "latch"}, {"wants": "maintained"}, FAILS),
        ("winch", {"kind": "follow"}, {"logic": "start", "wants": "pulse"}, FAILS),
        ("pump", {"kind": "pulse", "for_s": 60.0}, {"wants": "maintained"}, THIN),
    ],
)
def test_safe_12_a_hanging_load_stops_when_the_button_is_let_go(
    kind: str, output: dict[str, Any], inputs: dict[str, Any], verdict: Verdict
) -> None:
    """Essential requirements for machinery, lifting: hold-to-run only (from memory); in full view too."""
    sheet = {"inputs": {"in": {"logic": "up", **inputs}}}
    finding = finding_of(
        judged(kind, output=output, sheet=sheet, sees=("it",), promises=FROM_HERE), "SAFE-12"
    )

    assert (finding.verdict, finding.bars) == (verdict, verdict is FAILS)
