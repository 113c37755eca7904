"""What goes back by itself when its contact opens: what opens it, and how long a press keeps it away."""

from __future__ import annotations

from typing import Any

import pytest

from farpress.domain.finding import Finding, Stake, Verdict
from farpress.judging.output import let_go, suits
from farpress.judging.rules import built
from helpers.findings import finding_of
from helpers.logic_case import a_case

HOLDS, THIN, UNKNOWN, FAILS = Verdict.HOLDS, Verdict.THIN, Verdict.UNKNOWN, Verdict.FAILS
HELD: dict[str, Any] = {"kind": "follow", "works": "post.free"}


def _post(opened: str | None, **sheet: Any) -> dict[str, Any]:
    free = {"logic": "open only", "wants": "maintained", "opened": opened}
    return {"post": {"device": "bollard", "travel_s": 4.0, "inputs": {"free": free}, **sheet}}


def _judged(output: dict[str, Any], devices: dict[str, Any], **more: Any) -> list[Finding]:
    return list(let_go.judge_let_go(a_case({"1": output}, devices=devices, **more)))


@pytest.mark.parametrize(
    ("output", "words"),
    [
        (
            {"kind": "follow"},
            ["a gap of 400 ms in what is heard", "30 s after the press began", "a cut core"],
        ),
        ({"kind": "pulse", "for_s": 20.0}, ["the end of the pulse of 20 s"]),
        ({"kind": "toggle"}, ["a second press, by whomever", "after which it stays off"]),
    ],
)
def test_out_30_everything_that_opens_the_contact_is_named(output: dict[str, Any], words: list[str]) -> None:
    """By the kind of its output, and by the power behind it; nobody may accept it."""
    finding = finding_of(_judged({**HELD, **output}, _post("goes back")), "OUT-30")

    assert (finding.verdict, finding.stake, finding.bars) == (FAILS, Stake.HARM, True)
    assert all(word in finding.says for word in words)


def test_out_30_a_break_contact_stays_closed_without_power() -> None:
    """A press opens it, and a cut core."""
    broken = {**HELD, "kind": "pulse", "for_s": 1.0, "contact": "normally closed"}
    finding = finding_of(_judged(broken, _post("goes back")), "OUT-30")

    assert finding.verdict is THIN
    assert "without power it stays closed" in finding.says


def test_out_30_the_battery_behind_the_receiver_is_named() -> None:
    """Supply, receiver and post are one chain."""
    house = {"supplies": {"sun": {"battery": {}}}}
    finding = finding_of(
        _judged(HELD, _post("goes back"), box={"fed": {"from_": "sun"}}, house=house), "OUT-30"
    )

    assert "the battery of sun at its end" in finding.says


@pytest.mark.parametrize(("opened", "codes"), [(None, {"OUT-30"}), ("stays", set()), ("stops", set())])
def test_out_30_what_is_not_said_is_asked(opened: str | None, codes: set[str]) -> None:
    """Of a post or barrier that a contact keeps away."""
    findings = _judged(HELD, _post(opened))

    assert {finding.code for finding in findings} == codes
    assert all(finding.verdict is UNKNOWN for finding in findings)


@pytest.mark.parametrize(
    ("device", "danger", "codes"),
    [("sounder", True, {"OUT-30"}), ("sounder", False, set()), ("shutter", True, set())],
)
def test_out_30_a_signal_in_danger_ends_with_its_contact(device: str, danger: bool, codes: set[str]) -> None:
    """A siren that the contact feeds needs no word for it; a motor stops where it is."""
    logic = {"logic": "up" if device == "shutter" else "on", "wants": "maintained"}
    devices = {"it": {"device": device, "inputs": {"in": logic}}}
    functions = {"f1": {"output": "house/R1/1", "in_danger": danger}}
    findings = _judged({"kind": "toggle", "works": "it.in"}, devices, functions=functions)

    assert {finding.code for finding in findings} == codes


def _passing(passage_s: float | None, **output: Any) -> Finding:
    arrivals = {"place": "here", "function": "f1", "arrivals": {"07:00-08:00": 5}, "passage_s": passage_s}
    return finding_of(_judged({**HELD, **output}, _post("goes back"), traffic=(arrivals,)), "OUT-31")


@pytest.mark.parametrize(
    ("passage_s", "verdict"), [(26.41, FAILS), (26.4, THIN), (26.39, THIN), (23.7, THIN), (23.6, HOLDS)]
)
def test_out_31_the_last_one_is_past_before_it_goes_back(passage_s: float, verdict: Verdict) -> None:
    """30 s of the fob and 0.4 s of the receiver, less 4 s of travel; thin within a tenth."""
    finding = _passing(passage_s)

    assert finding.verdict is verdict
    assert finding.margin == pytest.approx(26.4 - passage_s)


def test_out_31_a_pulse_is_held_against_the_same() -> None:
    """20 s against 4 s and 19.5 s."""
    assert _passing(19.5, kind="pulse", for_s=20.0).verdict is FAILS
    assert _passing(10.0, kind="pulse", for_s=20.0).verdict is HOLDS


def test_out_31_how_long_the_longest_needs_is_asked() -> None:
    """Nobody timed it."""
    finding = _passing(None)

    assert finding.verdict is UNKNOWN
    assert any("longest vehicle" in ask.says for ask in finding.asks)


@pytest.mark.parametrize(("tested", "verdict"), [(False, FAILS), (None, FAILS), (True, HOLDS)])
def test_rule_13_what_goes_back_closes_on_whoever_is_there(tested: bool | None, verdict: Verdict) -> None:
    """Unless what notices them was tried; the search of presses sees no lost telegram."""
    devices = _post("goes back", safeguards=("loop",), safeguards_tested=tested)
    rules = ({"never": "closes while occupied", "of": ("f1",)},)
    ruled = [*built.rulings(a_case({"1": HELD}, devices=devices, rules=rules))]

    assert [ruling.ruling.word(ruling.check) for ruling in ruled] == [verdict]


def test_it_is_judged_with_the_other_outputs() -> None:
    """The door of the room calls it."""
    assert {"OUT-30", "OUT-31"} <= {
        finding.code for finding in suits.judge(a_case({"1": HELD}, devices=_post("goes back")))
    }
