"""Stories read and played, and drawn as a time line."""

from __future__ import annotations

from xml.etree import ElementTree

import pytest

from farpress.case.case import Case
from farpress.domain.premises import Fed
from farpress.errors import InputError
from farpress.rehearsal.drawing import timeline_png, timeline_svg
from farpress.rehearsal.play import play
from farpress.rehearsal.power import power_cut_table
from farpress.rehearsal.rules import rehearse
from farpress.rehearsal.story import parse_story
from helpers.logic_case import GATE, a_case
from helpers.rehearsal_jobs import MAGNET, job_of


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


def test_waiting_lets_the_clock_run() -> None:
    """A rule about hours is broken by waiting alone."""
    case = a_case(
        {"1": {"kind": "toggle", "works": "lamp.on"}},
        rules=({"never": "on longer than", "of": ("f1",), "for": "8 h"},),
    )

    assert not play(case, "0 s: pair press f1").broken
    assert play(case, "0 s: pair press f1; 8 h 1 s: wait").broken


def test_a_lock_on_a_break_contact_is_locked_before_anything_happens() -> None:
    """From the first moment on, not from the first tick; released with the receiver, locked after."""
    case = a_case(
        {
            "1": {
                "kind": "pulse",
                "for_s": 5.0,
                "works": "door.release",
                "contact": "normally closed",
                "load_from": "main",
            }
        },
        devices={"door": MAGNET},
        box={"fed": Fed(**{"from": "main"})},
    )
    timeline = play(case, "10 s: power off; 20 s: power on; 30 s: wait")

    (lock,) = (track for track in timeline.tracks if track.name == "house/door")
    assert [(span.from_s, span.to_s) for span in lock.spans] == [(0.0, 10.0), (20.0, timeline.ends_s)]
    assert timeline.ends_s >= 30.0
