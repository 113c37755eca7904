"""Rules of a job searched, stories played, the table of a power cut, chances."""

from __future__ import annotations

from pathlib import Path
from xml.etree import ElementTree

import pytest

from farpress.case.case import Case
from farpress.case.door import open_job
from farpress.core.rehearsal.barrier import share_another_press
from farpress.core.rehearsal.model import join, make_ready
from farpress.core.rehearsal.parity import share_out_of_step
from farpress.core.rehearsal.search import search_all
from farpress.domain.finding import Verdict
from farpress.domain.job import Rule
from farpress.errors import InputError
from farpress.rehearsal.chances import chances_of
from farpress.rehearsal.drawing import timeline_png, timeline_svg
from farpress.rehearsal.play import play
from farpress.rehearsal.power import power_cut_table
from farpress.rehearsal.rules import finding_of, rehearse, replay, time_text
from farpress.rehearsal.site import build_site, neighbours
from farpress.rehearsal.story import parse_story
from helpers.logic_case import GATE, a_case
from helpers.rehearsal_jobs import JOBS, MAGNET, check_of, job_of
from survey import ROOT

EXAMPLES = ("larkfen-house", "brindlemark", "tallowmere-court")


@pytest.fixture(scope="module", params=EXAMPLES)
def example(request: pytest.FixtureRequest) -> Case:
    """Each example job."""
    return open_job(ROOT / "examples" / request.param)


@pytest.fixture(scope="module")
def house() -> Case:
    """The family house."""
    return open_job(ROOT / "examples" / "larkfen-house")


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


@pytest.mark.parametrize(
    "name", [name for name, (job, _, _) in JOBS.items() if "gate" in job.get("devices", {})]
)
def test_a_leaf_without_times_does_at_least_what_one_with_times_does(name: str) -> None:
    """Where it breaks no rule, none is broken with the true times either."""
    case = job_of(name)
    check = check_of(case)
    loose = build_site(case, neighbours(case, check.seeds), lengths=check.lengths, exact=False, timeless=True)
    watch = check.watch(loose)
    assert not isinstance(watch, str)

    found = search_all(make_ready(join([loose.model, watch])))

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


# stories


def test_a_story_is_read(house: Case) -> None:
    """Moments, people, buttons, lengths, the power, the panel."""
    read = parse_story(
        house,
        "1 min 30 s: keypad; 0 s: parents hold 1 for 3 s; 4 s: power off; 5 s: power on; 6 s: Tavi Ostrovane"
        " press wicket; 7 s: lost for 500 ms; 8 s: under gate",
    )

    assert [(one.at_s, one.kind) for one in read] == [
        (0.0, "press"),
        (4.0, "power off"),
        (5.0, "power on"),
        (6.0, "press"),
        (7.0, "lost"),
        (8.0, "under"),
        (90.0, "keypad"),
    ]
    assert (read[0].functions, read[0].for_s) == (("open gate",), 3.0)
    assert read[3].functions == ("wicket",)


@pytest.mark.parametrize(
    ("story", "says"),
    [
        ("0 s: parnts press 1", "Did you mean 'parents'"),
        ("parents press 1", "no moment"),
        ("0: parents press 1", "no unit"),
        ("0 s: parents press 9", "on the fob are 1 (open gate)"),
        ("0 s: parents press garden water", "has no button"),
        ("0 s: parents fly home", "family press 2"),
        ("0 s: under hatch", "no device 'hatch'"),
        ("", "story is empty"),
        ("-3 s: power off", "-3"),
    ],
)
def test_a_story_that_cannot_be_read_teaches(house: Case, story: str, says: str) -> None:
    """What was given, what is known, what was probably meant."""
    with pytest.raises(InputError) as caught:
        parse_story(house, story)

    assert says in str(caught.value)


def test_all_faults_of_a_story_are_told_at_once(house: Case) -> None:
    """Three wrong parts, three sentences."""
    with pytest.raises(InputError) as caught:
        parse_story(house, "0 s: nobody press 1; 2: keypad; foo; 3 s: power off")

    assert len(str(caught.value).splitlines()) == 3


def test_a_held_press_is_played_with_its_run_on(house: Case) -> None:
    """Held 3 s, drop-out 0.4 s: up until 3.4 s."""
    timeline = play(house, "0 s: mirela at home hold 2 for 3 s")

    shutters = next(track for track in timeline.tracks if track.name == "larkfen/terrace-shutters")
    assert [(span.from_s, round(span.to_s, 3), span.state) for span in shutters.spans] == [(0.0, 3.4, "up")]


def test_telegrams_lost_for_longer_than_the_drop_out_make_two_presses(house: Case) -> None:
    """The garage door goes open, then stops: one press of the thumb, two of the receiver."""
    timeline = play(house, "0 s: parents hold 2 for 3 s; 1 s: lost for 0.5 s")
    whole = play(house, "0 s: parents hold 2 for 3 s; 1 s: lost for 0.3 s")

    doors = [
        next(track for track in one.tracks if track.name == "larkfen/garage-door")
        for one in (timeline, whole)
    ]
    assert [span.state for span in doors[0].spans] == ["opening", "still, partly open"]
    assert round(doors[0].spans[0].to_s, 3) == 1.5
    assert round(doors[1].spans[0].to_s, 3) == 16.0


def test_a_fob_that_gives_up_ends_a_long_hold(house: Case) -> None:
    """Held for a minute, on for 30.4 s."""
    timeline = play(house, "0 s: mirela at home hold 2 for 60 s")

    assert (
        round(next(track for track in timeline.tracks if track.name == "larkfen/R3/1").spans[0].to_s, 3)
        == 30.4
    )


def test_a_broken_rule_is_named_by_the_player() -> None:
    """The story of the search, told by hand, breaks the same rule."""
    timeline = play(job_of("shutter without interlock"), "0 s: pair hold 1 for 2 s; 1 s: pair hold 2 for 2 s")

    assert (1, "both on") in {(one.number, one.never) for one in timeline.broken}
    assert not play(
        job_of("shutter with interlock"), "0 s: pair hold 1 for 2 s; 1 s: pair hold 2 for 2 s"
    ).broken


def test_the_way_in_opened_in_a_story_begins_the_entry_time() -> None:
    """Unset after 10 s: no alarm; not unset: the alarm after 20 s. Told by hand, the search's story breaks
    the rule.
    """
    story = "0 s: pair press 1; 40 s: entry of panel"
    unset = play(job_of("entry time, set and unset apart"), f"{story}; 50 s: pair press 2; 100 s: wait")
    late = play(job_of("entry time, set and unset apart"), f"{story}; 100 s: wait")
    ignored = play(
        job_of("entry time, toggling level beside a keypad"),
        "0 s: keypad; 40 s: entry; 45 s: pair press 1; 70 s: wait",
    )

    states = [
        [
            (span.from_s, span.state)
            for span in next(track for track in one.tracks if track.name == "house/panel").spans
        ]
        for one in (unset, late)
    ]
    assert states[0] == [(0.0, "exit time"), (30.0, "set"), (40.0, "entry time")]
    assert states[1] == [(0.0, "exit time"), (30.0, "set"), (40.0, "entry time"), (60.0, "alarm")]
    assert "alarm despite unsetting" in {one.never for one in ignored.broken}
    assert not unset.broken


@pytest.mark.parametrize(
    ("sheet", "until_s"),
    [
        ({}, 12.0),
        ({"partial_opening_share": 0.4}, 9.6),
        ({"partial_travel_s": 7.5}, 7.5),
        ({"partial_opening_share": 1 / 3}, 8.0),
    ],
)
def test_a_partial_opening_is_played_as_far_as_the_drive_says(
    sheet: dict[str, float], until_s: float
) -> None:
    """Of 24 s: half where nothing is said, and the result says that this was taken."""
    gate = GATE | {"inputs": {"partial": {"logic": "partial open", "wants": "pulse"}}} | sheet
    timeline = play(
        a_case({"1": {"kind": "pulse", "for_s": 0.5, "works": "gate.partial"}}, devices={"gate": gate}),
        "0 s: pair press 1",
    )

    spans = next(track for track in timeline.tracks if track.name == "house/gate").spans
    assert (spans[0].state, round(spans[0].to_s, 3)) == ("opening", until_s)
    assert any("half of the travel" in one for one in timeline.taken) is (not sheet)


@pytest.mark.parametrize(
    "sheet", [{"partial_opening_share": 0.4, "partial_travel_s": 9.0}, {"partial_travel_s": 30.0}]
)
def test_a_partial_opening_that_contradicts_is_asked_about(sheet: dict[str, float]) -> None:
    """Given twice, or longer than the travel: the gate is left out, and what to do is said."""
    gate = GATE | {"inputs": {"partial": {"logic": "partial open", "wants": "pulse"}}} | sheet
    found = rehearse(
        a_case({"1": {"kind": "pulse", "for_s": 0.5, "works": "gate.partial"}}, devices={"gate": gate})
    )

    assert any("partial opening" in ask for one in found for ask in one.asks)


def _magnet(**output: object) -> Case:
    fed = {"fed": {"from": "main"}} if "load_from" in output else {}
    return a_case(
        {
            "1": {
                "kind": "pulse",
                "for_s": 5.0,
                "works": "magnet.release",
                "contact": "normally closed",
                **output,
            }
        },
        devices={"magnet": MAGNET},
        box=fed,
    )


def test_a_magnetic_lock_on_a_break_contact_is_released_by_the_press_and_by_a_power_cut() -> None:
    """Released for the 5 s of the pulse, and as long as its supply is away; the table says the same, and that
    is no movement by itself.
    """
    case = _magnet(load_from="main")
    lock = next(
        track
        for track in play(case, "0 s: pair press 1; 10 s: power off; 20 s: power on; 30 s: wait").tracks
        if track.name == "house/magnet"
    )
    row = next(row for row in power_cut_table(case) if row.path == "house/magnet")

    assert [(span.from_s, round(span.to_s, 3), span.state) for span in lock.spans[:2]] == [
        (5.0, 10.0, "locked"),
        (20.0, lock.spans[1].to_s, "locked"),
    ]
    assert (row.before, row.during, row.after, row.comes_on) == ("released", "released", "locked", False)
    assert (
        next(row for row in power_cut_table(_magnet()) if row.path == "house/magnet").during == "locked"
    )  # from another supply


def test_one_press_that_unsets_and_releases_a_magnetic_lock_needs_no_power_cut() -> None:
    """The lock opens as its contact opens, in the instant of the press: that is the story."""
    story = next(
        one.story for one in rehearse(job_of("one button unsets and releases a magnetic lock"), rules=(1,))
    )

    assert story is not None
    assert [step.event for step in story.steps][-1].endswith("_press")
    assert not any("power" in step.event for step in story.steps)


def test_a_job_without_any_timer_is_played_too() -> None:
    """A toggled lamp: on from 0 s to 5 s."""
    timeline = play(
        a_case({"1": {"kind": "toggle", "works": "lamp.on"}}), "0 s: pair press 1; 5 s: pair press 1"
    )

    lamp = next(track for track in timeline.tracks if track.name == "house/lamp")
    assert [(span.from_s, span.to_s) for span in lamp.spans] == [(0.0, 5.0)]


def test_presses_without_power_do_nothing(house: Case) -> None:
    """Told, and no track moves."""
    timeline = play(house, "0 s: power off; 1 s: parents press 1; 5 s: power on")

    assert not [span for track in timeline.tracks if track.name == "larkfen/R1/1" for span in track.spans]
    assert any("not heard" in mark.says for mark in timeline.marks)


def test_the_time_line_is_drawn(house: Case) -> None:
    """Well-formed SVG with every event and thing that changes in it; a PNG of the same."""
    timeline = play(house, "0 s: parents press 1; 10 s: tavi press 1; 50 s: power off; 52 s: power on")

    drawn = ElementTree.fromstring(timeline_svg(timeline))
    text = " ".join(drawn.itertext())
    assert all(
        word in text
        for word in ("larkfen/gate", "opening", "the power fails", "tavi: open gate walk pressed")
    )
    assert timeline_png(timeline)[:8] == b"\x89PNG\r\n\x1a\n"


def test_a_story_of_days_is_refused_politely(house: Case) -> None:
    """It says why, and what to leave out."""
    with pytest.raises(InputError, match="quiet hours"):
        play(house, "0 s: parents press 1; 30 d: tavi press 1")


# power, chances, words


def test_the_table_of_a_power_cut_reads_the_states_off_the_model() -> None:
    """Resumed, lost, forgotten or not, held."""
    case = a_case(
        {
            "1": {"kind": "pulse", "for_s": 20.0, "works": "valve.on", "after_power_return": "as before"},
            "2": {"kind": "pulse", "for_s": 0.5, "works": "gate.open"},
            "3": {"kind": "toggle", "works": "lamp.on", "after_power_return": "unknown"},
            "4": {"kind": "follow", "works": "shutter.up"},
        }
    )

    rows = {row.path: row for row in power_cut_table(case)}

    assert (rows["house/R1/1"].during, rows["house/R1/1"].after, rows["house/R1/1"].comes_on) == (
        "off",
        "on",
        True,
    )
    assert (rows["house/R1/2"].before, rows["house/R1/2"].after) == ("on", "off")
    assert (rows["house/R1/3"].after, rows["house/R1/3"].comes_on) == ("on or off", True)
    assert "three times" in rows["house/R1/3"].asks
    assert rows["house/valve"].after == "on"
    assert (rows["house/gate"].before, rows["house/gate"].during) == ("opening", "still, partly open")
    assert rows["house/shutter"].after == "still"


def test_the_chances_of_the_examples(example: Case) -> None:
    """Shares are shares; the formulas agree with the chains."""
    for one in chances_of(example):
        assert one.share is None or 0.0 <= one.share <= 1.0


def test_the_barrier_at_eight_in_the_morning() -> None:
    """180 arrivals in a quarter of an hour, 2.2 s of travel: 1 - exp(-0.2 x 2.2) within one tick's worth."""
    found = next(
        one
        for one in chances_of(open_job(ROOT / "examples" / "tallowmere-court"))
        if "somebody else's press" in one.says
    )

    assert found.share == pytest.approx(share_another_press(rate_per_s=0.2, within_s=2.2), abs=1e-9)


def test_out_of_step_by_the_chain_is_the_closed_form(house: Case) -> None:
    """(1 - (2p - 1)^20) / 2 with the heard share in the text."""
    found = next(one for one in chances_of(house) if "believes" in one.says)
    heard = float(found.because.split("heard in ")[1].split("%")[0]) / 100

    assert found.share == pytest.approx(share_out_of_step(presses=20, heard_share=heard), abs=0.01)


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
    by, beyond = rehearse(house, rules=(4, 8))

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
    (result,) = rehearse(case, rules=(1,))

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


def test_waiting_lets_the_clock_run() -> None:
    """A rule about hours is broken by waiting alone."""
    case = a_case(
        {"1": {"kind": "toggle", "works": "lamp.on"}},
        rules=({"never": "on longer than", "of": ("f1",), "for": "8 h"},),
    )

    assert not play(case, "0 s: pair press f1").broken
    assert play(case, "0 s: pair press f1; 8 h 1 s: wait").broken
