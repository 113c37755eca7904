"""Rules of a job searched: broken ones with a story that breaks them, kept ones to the end."""

from __future__ import annotations

from pathlib import Path

import pytest

from farpress.case.case import Case
from farpress.core.rehearsal.ready import make_ready
from farpress.core.rehearsal.search import search_all
from farpress.domain.finding import Verdict
from farpress.domain.job import Rule
from farpress.judging.rules.every import every_rule
from farpress.judging.rules.searched import finding_of
from farpress.rehearsal.building import build_site
from farpress.rehearsal.play import play
from farpress.rehearsal.rules import rehearse, replay, time_text
from farpress.rehearsal.search import LOOSE
from farpress.rehearsal.site import neighbours
from farpress.rehearsal.things import Leaves
from helpers.logic_case import a_case
from helpers.rehearsal_jobs import JOBS, check_of, job_of


@pytest.mark.parametrize("name", JOBS)
def test_a_planted_fault_is_found_and_a_sound_job_is_proved(name: str) -> None:
    """Broken rules come with a story that the player breaks the rule with; the others were searched to the
    end.
    """
    case = job_of(name)

    (result,) = rehearse(case, rules=(1,))

    assert result.verdict is (Verdict.FAILS if JOBS[name][2] else Verdict.HOLDS), result.says
    if result.story is not None:
        check = check_of(case)
        exact = build_site(case, neighbours(case, check.seeds), lengths=True, exact=True)
        assert result.story.replayed
        assert replay(check, exact, result.story)
        assert (
            not replay(
                check, exact, type(result.story)(result.story.steps[:-1], 0.0, "", 0.0, replayed=False)
            )
            or len(result.story.steps) == 1
            or result.story.ends_s == 0.0
        )
    else:
        assert result.finished
        assert f"{result.states} states" in result.says


@pytest.mark.parametrize(
    ("name", "word"),
    [
        ("entry time, set and unset apart", Verdict.UNKNOWN),  # proved where the input acts at once
        ("entry time, toggling level beside a keypad", Verdict.FAILS),  # a story stays one
    ],
)
def test_without_the_time_an_input_takes_nothing_is_proved_and_what_breaks_stays(
    name: str, word: Verdict
) -> None:
    """Three seconds that nobody wrote down would be an alarm: leaving them out must not make it a proof."""
    panel = JOBS[name][0]["panel"]
    unsaid = {key: {"reads": entry["reads"]} for key, entry in panel["inputs"].items()}
    case = job_of(name, panel={**panel, "inputs": unsaid})

    (result,) = rehearse(case, rules=(1,))

    assert result.verdict is word, result.says
    assert any("takes effect, and write 'response'" in ask for ask in result.asks) is (
        word is Verdict.UNKNOWN
    )


@pytest.mark.long
def test_every_story_in_the_examples_breaks_its_rule_when_played(example: Case) -> None:
    """No result rests on a story that cannot happen, and all searches finish."""
    results = rehearse(example)

    assert any(result.searched for result in results)
    for result in results:
        if result.story is not None:
            assert result.story.replayed, result.says
        elif result.searched:
            assert result.finished, result.says


def test_the_cut_off_of_the_fob_is_counted_before_a_story_is_believed() -> None:
    """A held output cannot be on for 40 s in one press when the fob stops after 30 s: two presses are
    needed.
    """
    case = a_case(
        {"1": {"kind": "follow", "works": "valve.on"}},
        rules=({"never": "on longer than", "of": ("f1",), "for": "40 s"},),
    )

    (result,) = rehearse(case, rules=(1,))

    assert result.verdict is Verdict.FAILS
    assert result.story is not None
    assert [step.says.split(" by ")[0] for step in result.story.steps] == [
        "f1 pressed",
        "f1 let go",
        "f1 pressed",
    ]
    assert result.story.ends_s >= 40.0
    assert result.story.just_after
    assert "after 40 s: house/R1/1 is on for longer than 40 s" in result.story.text


def test_a_small_budget_is_told_and_never_called_safe() -> None:
    """How far it got, in words."""
    apart = {"kind": "pulse", "interlock_pause_s": 1.7}
    case = a_case(
        {"1": {**apart, "for_s": 61.3, "interlock": "2"}, "2": {**apart, "for_s": 59.9, "interlock": "1"}},
        rules=({"never": "both on", "of": ("f1", "f2")},),
    )

    (result,) = rehearse(case, rules=(1,), budget=1000)

    assert result.verdict is Verdict.UNKNOWN
    assert not result.finished
    assert "every story of up to" in result.says
    assert f"{result.states} states" in result.says


UNEVEN_GARAGE = {
    "device": "garage door",
    "travel_s": 14.3,
    "travel_back_s": 15.1,
    "closes_after_s": 120.0,
    "closes_after_power_return": True,
    "safeguards": ("beams",),
    "safeguards_tested": True,
    "inputs": {
        "start": {"logic": "start", "wants": "pulse", "closes_by_second_press": True},
        "open": {"logic": "open only", "wants": "pulse"},
    },
}


def _garage(rule: dict) -> Case:
    return a_case(
        {
            "1": {"kind": "pulse", "for_s": 0.7, "works": "garage.start"},
            "2": {"kind": "pulse", "for_s": 0.7, "works": "garage.open"},
        },
        devices={"garage": UNEVEN_GARAGE},
        rules=(rule,),
    )


def test_a_leaf_of_odd_times_is_proved_without_its_times() -> None:
    """14.3 s up, 15.1 s down, 120 s open: millions of states in tenths of a second, a few dozen without
    times.
    """
    (result,) = rehearse(_garage({"never": "closes while occupied", "of": ("f1",)}), rules=(1,))

    assert result.verdict is Verdict.HOLDS
    assert result.finished
    assert result.states < 1000


def test_a_story_in_a_large_model_is_led_by_the_order_of_events() -> None:
    """Open, power cut, 120 s later it closes by itself: found and played although the model is too large to
    search.
    """
    (result,) = rehearse(_garage({"never": "works after power return", "of": ("f2",)}), rules=(1,))

    assert result.verdict is Verdict.FAILS
    assert result.story is not None
    assert result.story.replayed
    assert result.story.ends_s >= 120.0
    assert [step.event for step in result.story.steps][-2:] == ["power_off", "power_on"]


@pytest.mark.parametrize("leaves", LOOSE)
@pytest.mark.parametrize(
    "name", [name for name, (job, _, _) in JOBS.items() if "gate" in job.get("devices", {})]
)
def test_a_loose_leaf_does_at_least_what_one_with_positions_does(name: str, leaves: Leaves) -> None:
    """Where it breaks no rule, none is broken with the true positions either."""
    case = job_of(name)
    check = check_of(case)
    loose = build_site(case, neighbours(case, check.seeds), lengths=check.lengths, exact=False, leaves=leaves)
    watched = check.watched(loose)
    assert not isinstance(watched, str)

    found = search_all(make_ready(watched, closed=True))

    assert found.stories or (found.finished and not JOBS[name][2])


@pytest.mark.parametrize(
    ("outputs", "more", "rule", "asks"),
    [
        (
            {"1": {"kind": "pulse", "works": "gate.open"}},
            {},
            {"never": "closes while occupied", "of": ("f1",)},
            "for: 0.5 s",
        ),
        (
            {"1": {"kind": "pulse", "for_s": 0.0, "works": "lamp.on"}},
            {},
            {"never": "toggles", "of": ("f1",)},
            "lasts 0 s, which is none",
        ),
        (
            {"1": {"kind": "pulse", "for_s": 0.5, "works": "gate.open"}},
            {"devices": {"gate": {"device": "sliding gate", "inputs": {"open": {"logic": "open only"}}}}},
            {"never": "closes while occupied", "of": ("f1",)},
            "time one opening",
        ),
        (
            {
                "1": {"kind": "follow", "works": "shutter.up"},
                "2": {"kind": "follow", "works": "shutter.down"},
            },
            {"receiver": {"dropout_s": None}},
            {"never": "both on", "of": ("f1", "f2")},
            "dropout",
        ),
        (
            {"1": {"kind": "toggle", "works": "lamp.on"}},
            {"receiver": {"toggle_after_power_return": None}},
            {"never": "works after power return", "of": ("f1",)},
            "three times",
        ),
        (
            {
                "1": {"kind": "follow", "works": "shutter.up", "interlock": "2"},
                "2": {"kind": "follow", "works": "shutter.down", "interlock": "1"},
            },
            {},
            {"never": "both on", "of": ("f1", "nothing")},
            "nothing",
        ),
    ],
)
def test_what_is_missing_is_asked_and_the_rest_is_searched(
    outputs: dict, more: dict, rule: dict, asks: str
) -> None:
    """Missing or impossible data: an open result that says what to ask; the other rule is still judged."""
    lamp = {"9": {"kind": "pulse", "for_s": 2.0, "works": "valve.on"}}
    case = a_case(
        {**outputs, **lamp}, rules=(rule, {"never": "on longer than", "of": ("f9",), "for": "2 s"}), **more
    )

    results = rehearse(case, rules=(1, 2))

    assert results[0].verdict is Verdict.UNKNOWN
    assert asks in f"{results[0].says} {results[0].because} {' '.join(results[0].asks)}"
    assert results[-1].verdict is Verdict.HOLDS


def test_a_rule_that_can_never_matter_says_so() -> None:
    """A held start input where nothing has one."""
    case = a_case(
        {"1": {"kind": "pulse", "for_s": 2.0, "works": "lamp.on"}},
        rules=({"never": "held on a start input", "of": ("f1",)},),
    )

    (result,) = rehearse(case, rules=(1,))

    assert result.verdict is Verdict.UNKNOWN
    assert "never matter" in result.says


def test_a_signed_rule_is_thin() -> None:
    """Who accepted it stands in the result."""
    case = a_case(
        {"1": {"kind": "toggle", "works": "lamp.on"}},
        rules=({"never": "toggles", "of": ("f1",), "signed": "Ana, 2026-11-02"},),
    )

    (result,) = rehearse(case, rules=(1,))

    assert result.verdict is Verdict.THIN
    assert "Ana, 2026-11-02" in finding_of(result).because


@pytest.mark.parametrize(("form", "is_told"), [("changeover", False), ("normally open", True)])
def test_a_motor_that_two_changeovers_turn_round_stands_with_both_on(form: str, is_told: bool) -> None:
    """Both of its cores lie on plus: nothing runs and nothing is shorted; make contacts do not do that."""
    vents = {
        "device": "window",
        "reverses": "polarity",
        "supply": "dc",
        "inputs": {"open": {"logic": "up"}, "shut": {"logic": "down"}},
    }
    case = a_case(
        {
            "1": {"kind": "pulse", "for_s": 60.0, "works": "vents.open", "load_from": "main"},
            "2": {"kind": "pulse", "for_s": 60.0, "works": "vents.shut", "load_from": "main"},
        },
        devices={"vents": vents},
        receiver={"contact_form": form},
        house={"supplies": {"main": {"supply": "dc"}}},
    )
    texts = " ".join(result.forbids for result in rehearse(case) if result.verdict is Verdict.FAILS)

    assert ("both directions of vents are on together" in texts) is is_told


def test_what_never_may_be_is_searched_without_a_rule() -> None:
    """A shutter without interlock, a toggled valve: found though the job has no rule."""
    case = a_case(
        {
            "1": {"kind": "follow", "works": "shutter.up"},
            "2": {"kind": "follow", "works": "shutter.down"},
            "3": {"kind": "toggle", "works": "valve.on", "after_power_return": "as before"},
        }
    )

    found = {(result.forbids, result.verdict) for result in rehearse(case) if result.verdict is Verdict.FAILS}

    texts = " ".join(forbids for forbids, _ in found)
    assert "both directions of shutter are on together" in texts
    assert "house/R1/3 works by itself after the power returns" in texts
    assert "a press of house/R1/3 ends or turns" in texts


def test_acknowledgement_needs_a_window_longer_than_the_exit_time() -> None:
    """Window 5 s, exit 30 s: a set by fob is never acknowledged; 60 s: it is."""

    def verdict(window_s: float) -> Verdict:
        case = a_case(
            {"1": {"kind": "pulse", "for_s": 1.0, "works": "panel.flip"}},
            panel={"exit_s": 30.0, "keypad": True, "outputs": {"set": {}}},
            receiver={"acknowledge_within_s": window_s},
            box={"inputs": {"1": {"reads": "panel.set"}}},
        )
        return next(
            result.verdict for result in rehearse(case) if result.about == "house/R1: acknowledgement"
        )

    assert verdict(5.0) is Verdict.FAILS
    assert verdict(60.0) is Verdict.HOLDS


def test_moments_are_written_as_people_say_them() -> None:
    """Seconds up to two minutes, then minutes, then hours."""
    assert [time_text(one) for one in (0.0, 0.4, 90.0, 150.0, 3600.0, 4530.5)] == [
        "0 s",
        "0.4 s",
        "90 s",
        "2 min 30 s",
        "1 h",
        "1 h 15 min 30.5 s",
    ]


def test_rules_about_who_holds_what_are_left_to_looking(house: Case) -> None:
    """Said, not searched: with the verdict of looking, and open where the radio reach decides."""
    by, beyond = every_rule(house, rules=(4, 8))

    assert not by.searched
    assert not beyond.searched
    assert (by.verdict, by.about) == (Verdict.HOLDS, "ilse")
    assert "Settled without a search" in by.says
    assert beyond.verdict is Verdict.UNKNOWN


def test_a_rule_broken_by_who_holds_what_fails_without_a_story() -> None:
    """A group with the button it must not have."""
    case = a_case(
        {"1": {"kind": "pulse", "for_s": 1.0, "works": "gate.open"}},
        rules=({"never": "works by", "of": ("f1",), "by": ("pair",)},),
    )
    (result,) = every_rule(case, rules=(1,))

    assert result.verdict is Verdict.FAILS
    assert result.story is None


def test_rule_texts_need_no_folder(tmp_path: Path) -> None:
    """A job made by a program is rehearsed like one from a file."""
    case = a_case({"1": {"kind": "toggle", "works": "lamp.on"}}, rules=({"never": "toggles", "of": ("f1",)},))

    assert isinstance(case.job.rules[0], Rule)
    assert case.folder is None
    assert rehearse(case)[0].verdict is Verdict.FAILS


def test_two_fobs_within_the_drop_out_time_are_two_presses() -> None:
    """The same fob twice within 0.4 s is seen once; somebody else of the group is seen anew."""
    case = a_case({"1": {"kind": "toggle", "works": "lamp.on"}})

    def spans(second: str) -> list[tuple[float, float]]:
        line = play(case, f"0 s: pair press f1; 0.6 s: {second} press f1; 5 s: wait")
        return [
            (one.from_s, one.to_s)
            for track in line.tracks
            if track.name == "house/R1/1"
            for one in track.spans
        ]

    assert len(spans("pair")) == 1
    assert spans("pair")[0][1] > 4.0
    assert spans("somebody else of pair") == [(0.0, 0.6)]


def test_the_counts_of_acknowledgement_are_those_of_the_receiver() -> None:
    """One pulse for set and two for unset where its sheet is silent, else what the sheet says."""
    outputs = {
        "1": {"kind": "pulse", "for_s": 1.0, "works": "panel.set"},
        "2": {"kind": "pulse", "for_s": 1.0, "works": "panel.unset"},
    }

    def pulses(**sheet: object) -> list[str]:
        case = a_case(
            outputs,
            panel={"exit_s": 0.0},
            receiver={"acknowledge_within_s": 4.0, **sheet},
            box={"inputs": {"1": {"reads": "panel.set"}}},
        )
        line = play(case, "0 s: pair press f1; 10 s: pair press f2")
        return [
            span.state
            for track in line.tracks
            if track.name == "house/panel acknowledged"
            for span in track.spans
        ]

    assert pulses() == ["1 pulse", "2 pulses"]
    assert pulses(acknowledge_pulses=(3, 1, 5)) == ["3 pulses", "1 pulse"]
