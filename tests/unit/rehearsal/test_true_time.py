"""Presses just before a time ends, inputs that take their time, leaves of odd times: none is lost."""

from __future__ import annotations

from typing import Any

import pytest

from farpress.case.case import Case
from farpress.domain.finding import Verdict
from farpress.rehearsal.play import play
from farpress.rehearsal.rules import RuleResult, rehearse
from helpers.logic_case import a_case

_ODD_GATE = {
    "device": "sliding gate",
    "travel_s": 17.9,
    "travel_back_s": 16.7,
    "closes_after_s": 33.1,
    "safeguards": (),
    "safeguards_tested": True,
    "inputs": {
        "open": {"logic": "open only", "wants": "pulse"},
        "partial": {"logic": "partial open", "wants": "pulse"},
        "close": {"logic": "close", "wants": "pulse"},
        "stop": {"logic": "stop", "wants": "pulse"},
    },
}


def _first(case: Case) -> RuleResult:
    return rehearse(case, rules=(1,))[0]


def _on_longer_than(limit_s: float) -> RuleResult:
    pulse = {"kind": "pulse", "for_s": 600.0, "retrigger": True, "works": "lamp.on"}
    rule = {"never": "on longer than", "of": ("f1",), "for_s": limit_s}
    return _first(a_case({"1": pulse}, rules=(rule,)))


@pytest.mark.parametrize("limit_s", [900.0, 960.0, 1190.0])
def test_a_press_just_before_a_time_ends_exists(limit_s: float) -> None:
    """Ten minutes, begun anew just before they end: two presses break every limit below twenty, and the
    player breaks it with the story as it is told.
    """
    result = _on_longer_than(limit_s)

    assert result.verdict is Verdict.FAILS
    assert result.is_shortest
    assert result.story is not None
    assert result.story.replayed
    assert result.story.steps[0].at_s == 0.0
    assert len(result.story.steps) == 2
    assert limit_s - 600.0 < result.story.steps[1].at_s < 600.0
    assert result.story.ends_s == limit_s


def test_twenty_minutes_are_the_end_of_two_times_ten() -> None:
    """A limit that two presses reach and do not pass takes a third."""
    pulse = {"kind": "pulse", "for_s": 600.0, "retrigger": True, "works": "lamp.on"}
    result = _first(
        a_case({"1": pulse}, rules=({"never": "on longer than", "of": ("f1",), "for_s": 1200.0},))
    )

    assert result.story is not None
    assert len(result.story.steps) == 3


def _panel(response_s: float, **sheet: Any) -> Case:
    inputs = {
        name: {"reads": f"{name} pulse", "wants": "pulse", "response_s": response_s}
        for name in ("set", "unset")
    }
    return a_case(
        {
            "1": {"kind": "pulse", "for_s": response_s + 1.0, "works": "panel.set"},
            "2": {"kind": "pulse", "for_s": response_s + 1.0, "works": "panel.unset"},
        },
        panel={"exit_s": 20.0, "entry_s": 30.0, "detectors": "entry route only", "inputs": inputs, **sheet},
        rules=({"never": "alarm despite unsetting", "of": ("f1", "f2")},),
    )


def test_a_response_time_is_a_delay() -> None:
    """An input that needs three seconds takes a press in the last two seconds of the entry time too late."""
    result = _first(_panel(3.0))

    assert result.verdict is Verdict.FAILS
    assert result.story is not None
    assert result.story.replayed
    way_in, unset = (next(s.at_s for s in result.story.steps if word in s.event) for word in ("entry", "f2"))
    assert way_in + 27.0 <= unset < way_in + 30.0
    assert result.story.ends_s == way_in + 30.0


def test_the_player_delays_too() -> None:
    """Pressed at 67 s, the panel is unset at 70 s and not before."""
    timeline = play(
        _panel(3.0, entry_s=60.0), "0 s: pair press f1; 40 s: entry of panel; 67 s: pair press f2; 80 s: wait"
    )

    (panel,) = (track for track in timeline.tracks if track.name.endswith("panel"))
    entry = next(span for span in panel.spans if span.state == "entry time")
    assert (entry.from_s, entry.to_s) == (40.0, 70.0)


def test_a_response_time_that_nobody_notices_is_told_and_fails_nothing() -> None:
    """With 0.4 s the rule holds, and what is taken for granted is written beside it."""
    result = _first(_panel(0.4))

    assert result.verdict is Verdict.HOLDS
    assert any("400 ms" in taken for taken in result.taken)


@pytest.mark.parametrize("is_noticed", [False, True])
def test_a_drive_of_odd_times_and_four_inputs_is_settled(is_noticed: bool) -> None:
    """17.9 s, 16.7 s and 33.1 s: broken by one press and somebody who walks, if nothing notices them."""
    gate = _ODD_GATE | {"safeguards": ("loop",) if is_noticed else ()}
    outputs = {
        str(number): {"kind": "pulse", "for_s": 0.5, "works": f"gate.{name}"}
        for number, name in enumerate(("open", "partial", "close", "stop"), 1)
    }
    result = _first(
        a_case(outputs, devices={"gate": gate}, rules=({"never": "closes while occupied", "of": ("f1",)},))
    )

    assert result.verdict is (Verdict.HOLDS if is_noticed else Verdict.FAILS)
    assert result.finished or result.story is not None
    assert result.states < 50_000
    assert result.story is None or (result.story.replayed and len(result.story.steps) == 2)
