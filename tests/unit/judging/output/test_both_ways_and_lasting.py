"""One input that opens and shuts by turns; and how long something shall go on after a press.

A riding school: its arena gate, and sprinklers that are to run for half an hour.
"""

from __future__ import annotations

from typing import Any

import pytest

from farpress.domain.finding import Finding, Stake, Verdict
from farpress.judging.output import both_ways, lasting, suits
from helpers.findings import finding_of
from helpers.logic_case import a_case

HOLDS, THIN, UNKNOWN, FAILS = Verdict.HOLDS, Verdict.THIN, Verdict.UNKNOWN, Verdict.FAILS
PULSE: dict[str, Any] = {"kind": "pulse", "for_s": 0.5, "works": "arena.start"}


def gate(turns: bool | None, guards: tuple[str, ...] | None, **sheet: Any) -> Finding:
    """OUT-13 of a gate with a step-by-step input."""
    inputs = {"start": {"logic": "start", "closes_by_second_press": turns}, "way in": {"logic": "open only"}}
    arena = {"device": "swing gate", "safeguards": guards, "inputs": inputs, **sheet}
    (found,) = both_ways.judge(a_case({"1": PULSE}, devices={"arena": arena}))
    return found


@pytest.mark.parametrize(
    ("turns", "guards", "verdict"),
    [
        (True, (), FAILS),
        (True, ("beams",), FAILS),
        (True, ("beams", "edge"), HOLDS),
        (True, None, UNKNOWN),
        (None, (), UNKNOWN),
        (False, (), HOLDS),
    ],
)
def test_out_13_the_same_press_opens_and_shuts(
    turns: bool | None, guards: tuple[str, ...] | None, verdict: Verdict
) -> None:
    """It fails where nothing keeps the leaf from whoever is in its way."""
    found = gate(turns, guards)

    assert (found.verdict, found.stake) == (verdict, Stake.HARM)


def test_out_13_tells_the_timer_and_leads_to_the_input_that_only_opens() -> None:
    """The change is one line of the job."""
    found = gate(True, (), closes_after_s=20.0)

    assert "closes by itself after 20 s as well" in found.says
    assert found.remedies[0].changes[0].value == "arena.way in"


def test_out_13_is_for_leaves_that_can_crush() -> None:
    """A lamp with a start input hurts nobody."""
    lamp = {"device": "lamp", "inputs": {"start": {"logic": "start", "closes_by_second_press": True}}}

    assert not list(both_ways.judge(a_case({"1": PULSE}, devices={"arena": lamp})))


def sprinkler(output: dict[str, Any], longest_s: float | None, lasts_s: float = 1800.0) -> Finding:
    """OUT-14 of sprinklers that shall run for half an hour."""
    case = a_case(
        {"1": {"works": "valve.on", **output}},
        functions={"water": {"output": "house/R1/1", "kind": "water", "lasts_s": lasts_s}},
        receiver={"pulse_max_s": longest_s},
    )
    (found,) = lasting.judge(case)
    return found


@pytest.mark.parametrize(
    ("output", "longest_s", "verdict"),
    [
        ({"kind": "pulse", "for_s": 1800.0}, 3600.0, HOLDS),
        ({"kind": "pulse", "for_s": 1799.0}, 3600.0, FAILS),
        ({"kind": "pulse", "for_s": 600.0}, 1799.0, FAILS),
        ({"kind": "toggle"}, 3600.0, FAILS),
        ({"kind": "toggle"}, None, UNKNOWN),
        ({"kind": "follow"}, 3600.0, FAILS),
    ],
)
def test_out_14_what_shall_last_is_ended_by_a_timer_that_can_be_set_so(
    output: dict[str, Any], longest_s: float | None, verdict: Verdict
) -> None:
    """A toggle ends by another press only; a held button by letting go."""
    assert sprinkler(output, longest_s).verdict is verdict


def test_out_14_offers_a_pulse_only_where_the_receiver_can_be_set_to_it() -> None:
    """Else a controller with a run time of its own."""
    can = sprinkler({"kind": "toggle"}, 3600.0)
    cannot = sprinkler({"kind": "toggle"}, 600.0)

    assert can.remedies[0].does == "A pulse of 30 min"
    assert [remedy.does.startswith("A controller") for remedy in cannot.remedies] == [True]
    assert (cannot.value, cannot.limit) == (1800.0, 600.0)


@pytest.mark.parametrize(("kinds", "is_pair"), [({"1": "up", "2": "down"}, True), ({"1": "open"}, False)])
def test_out_06_a_pair_is_known_by_the_functions_that_press_it(kinds: dict[str, str], is_pair: bool) -> None:
    """A motor whose inputs nobody describes: up and down are what the buttons are for."""
    outputs = {str(n): {"kind": "follow", "works": f"hoist door.{n}"} for n in (1, 2)}
    found = suits.judge(a_case(outputs, kinds=kinds, devices={"hoist door": {"device": "shutter"}}))
    codes = [one.code for one in found]

    assert ("OUT-06" in codes) is is_pair


def test_rule_02_a_magnet_over_a_break_contact_locks_by_itself() -> None:
    """No setting of the receiver helps: with the relay off the contact is closed."""
    from farpress.judging.rules import searched

    magnet = {"device": "magnetic lock", "supply": "dc", "escape_route": False}
    case = a_case(
        {"1": {"kind": "toggle", "works": "ward.release", "contact": "normally closed"}},
        devices={"ward": magnet},
        rules=({"never": "works after power return", "of": ("f1",)},),
    )
    found = finding_of(searched.judge(case), "RULE-02")

    assert found.verdict is FAILS
    assert "locks by itself" in found.says
    assert not any(remedy.changes for remedy in found.remedies)
