"""Two-button latches: judged, named in words, rehearsed, tried on site."""

from __future__ import annotations

from dataclasses import replace

import pytest

from farpress.case.behaviour import after_power_return
from farpress.case.case import Case
from farpress.domain.finding import Verdict
from farpress.judging.output import suits as output
from farpress.judging.panel import coupling as panel
from farpress.papers.builders.words import mode_words
from farpress.proving.checks import checks
from farpress.rehearsal.play import play
from farpress.rehearsal.power import power_cut_table
from farpress.rehearsal.rules import rehearse
from helpers.findings import finding_of
from helpers.logic_case import a_case

ON_OFF = {
    "light on": {"output": "house/R1/1", "kind": "light", "switches": "on"},
    "light off": {"output": "house/R1/1", "kind": "light", "switches": "off"},
}


def _case(functions: dict | None = None, works: str = "lamp.on", **more) -> Case:
    return a_case(
        {"1": {"kind": "latch", "works": works, **more.pop("output", {})}},
        functions=functions or ON_OFF,
        **more,
    )


def _found(case: Case, code: str):
    return finding_of(list(output.judge(case)), code)


def test_two_buttons_each_with_its_way_hold() -> None:
    """The last press decides, and a latch suits what is worked as long as the contact is closed."""
    assert _found(_case(), "OUT-09").verdict is Verdict.HOLDS
    assert _found(_case(), "OUT-01").verdict is Verdict.HOLDS


@pytest.mark.parametrize(
    ("functions", "more", "verdict", "says"),
    [
        ({"light on": ON_OFF["light on"]}, {}, Verdict.FAILS, "no function switches it off"),
        ({"light off": ON_OFF["light off"]}, {}, Verdict.FAILS, "no function switches it on"),
        ({"light": {"output": "house/R1/1"}}, {}, Verdict.UNKNOWN, "is not said"),
        (
            None,
            {"groups": {"pair": {"people": ("Ana",), "buttons": {"1": ("light on", "light off")}}}},
            Verdict.FAILS,
            "on and off",
        ),
        (
            None,
            {
                "groups": {
                    "pair": {"people": ("Ana",), "buttons": {"1": "light on", "2": "light off"}},
                    "guest": {"people": ("Bo",), "buttons": {"1": "light on"}},
                }
            },
            Verdict.THIN,
            "guest",
        ),
    ],
)
def test_a_latch_that_lacks_something_says_what(
    functions: dict | None, more: dict, verdict: Verdict, says: str
) -> None:
    """Missing button, missing word, both on one press, people with one button only."""
    found = _found(_case(functions, **more), "OUT-09")

    assert found.verdict is verdict
    assert says in found.says


def test_switches_on_another_kind_of_output_is_asked_about() -> None:
    """'switches' means nothing for a toggle; the remedy takes it out."""
    found = _found(
        a_case(
            {"1": {"kind": "toggle", "works": "lamp.on"}},
            functions={"light": {"output": "house/R1/1", "switches": "on"}},
        ),
        "OUT-09",
    )

    assert found.verdict is Verdict.UNKNOWN
    assert found.remedies[1].changes[0].path == ("functions", "light", "switches")


def test_a_latch_on_a_start_input_is_a_held_contact() -> None:
    """It stays closed until another button opens it."""
    found = _found(_case(works="gate.start"), "OUT-01")

    assert found.verdict is Verdict.FAILS
    assert "another button" in found.says


def test_a_latch_suits_a_level_input_without_keypad_only() -> None:
    """Set and unset are then commands of their own; a keypad puts contact and panel apart all the same."""

    def verdict(keypad: bool) -> Verdict:
        return finding_of(
            [
                one
                for one in panel.judge(_case(works="panel.level", panel={"keypad": keypad}))
                if one.code == "PAN-02"
            ],
            "PAN-02",
        ).verdict

    assert verdict(keypad=False) is Verdict.HOLDS
    assert verdict(keypad=True) is Verdict.FAILS


def test_it_is_played_with_its_two_buttons() -> None:
    """On, on, off, off: it comes on once and goes off once."""
    line = play(
        _case(),
        "0 s: pair press light on; 2 s: pair press light on; 4 s: pair press light off; 6 s: pair press"
        " light off",
    )
    (span,) = next(track for track in line.tracks if track.name == "house/R1/1").spans

    assert (span.from_s, span.to_s) == (0.0, 4.0)


def test_it_ends_its_partner_of_an_interlock() -> None:
    """Up latched, then down: up goes off at once, down comes on after the pause."""
    functions = {
        name: {"output": f"house/R1/{number}", "switches": way}
        for name, number, way in (
            ("up", 1, "on"),
            ("stop up", 1, "off"),
            ("down", 2, "on"),
            ("stop down", 2, "off"),
        )
    }
    outputs = {
        "1": {"kind": "latch", "works": "shutter.up", "interlock": "2", "interlock_pause_s": 0.5},
        "2": {"kind": "latch", "works": "shutter.down", "interlock": "1", "interlock_pause_s": 0.5},
    }
    line = play(
        a_case(outputs, functions=functions),
        "0 s: pair press up; 3 s: pair press down; 5 s: pair press stop down",
    )
    spans = {track.name: [(one.from_s, one.to_s) for one in track.spans] for track in line.tracks}

    assert spans["house/R1/1"] == [(0.0, 3.0)]
    assert spans["house/R1/2"] == [(3.5, 5.0)]


@pytest.mark.parametrize(("back", "after"), [("off", "off"), ("as before", "on"), ("unknown", "on or off")])
def test_the_table_of_a_power_cut_puts_it_on_first(back: str, after: str) -> None:
    """The button that switches on is pressed, then the power fails; unknown is tried both ways."""
    row = power_cut_table(_case(output={"after_power_return": back}))[0]

    assert (row.before, row.during, row.after) == ("on", "off", after)
    assert row.what.startswith("two-button latch")


def test_without_a_word_it_comes_back_as_the_receiver_says() -> None:
    """A latch keeps a state like a toggle, so the receiver's sheet speaks for both."""
    assert after_power_return(_case(), next(_case().outputs())) == "off"
    assert (
        after_power_return(_case(receiver={"toggle_after_power_return": None}), next(_case().outputs()))
        == "unknown"
    )


def test_a_function_that_does_not_say_which_way_is_asked_and_left_out() -> None:
    """The rest is searched; nothing is called proved."""
    functions = {**ON_OFF, "light": {"output": "house/R1/1"}}
    (result,) = rehearse(_case(functions, rules=({"never": "toggles", "of": ("light on",)},)), rules=(1,))

    assert result.verdict is Verdict.UNKNOWN
    assert any("light switches house/R1/1" in ask for ask in result.asks)


def test_it_is_named_in_words_and_tried_on_site() -> None:
    """Papers call it a two-button latch; the proving plan presses both buttons twice."""
    case = _case()
    at = next(case.outputs())
    (test,) = [one for one in checks(case) if one.id.startswith("latch")]

    assert mode_words(at.output).startswith("two-button latch")
    assert "light on twice, then light off twice" in test.does


def test_it_may_run_without_end() -> None:
    """A valve with a longest run is not safe behind it."""
    assert _found(_case(works="valve.on"), "OUT-05").verdict is Verdict.FAILS


def test_other_kinds_stay_as_they_were() -> None:
    """A case without a latch has no finding about latches."""
    case = a_case({"1": {"kind": "toggle", "works": "lamp.on"}})

    assert not [one for one in output.judge(replace(case)) if one.code == "OUT-09"]
