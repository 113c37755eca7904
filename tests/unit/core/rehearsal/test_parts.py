"""How outputs, devices and panel behave in time, one event after the other."""

from __future__ import annotations

import pytest

from farpress.core.rehearsal import contacts, driven, outputs, panels, watches
from farpress.core.rehearsal.model import ModelEvent, StateModel, Variable, join
from farpress.core.rehearsal.press import losses_that_split
from farpress.core.rehearsal.ready import make_ready
from farpress.core.rehearsal.running import Runner
from farpress.core.rehearsal.search import search_all
from farpress.errors import InputError


class _Played:
    """A model played by hand; `shows` are conditions looked at after each event."""

    def __init__(self, parts: list[StateModel], **shows: str) -> None:
        self.network = make_ready(join([*parts, StateModel(bad=shows)]), slicing=False, moments_ms=[200])
        self.runner, self.state, self.bits = Runner(self.network), self.network.starts, 0

    def do(self, *events: str) -> _Played:
        for event in events:
            taken = self.runner.step(self.state, event)
            assert taken is not None, f"{event} cannot happen"
            self.state, self.bits = taken
        return self

    def wait(self, seconds: float) -> _Played:
        assert round(seconds * 1000) % self.network.tick_ms == 0
        return self.do(*["tick"] * (round(seconds * 1000) // self.network.tick_ms))

    def can(self, event: str) -> bool:
        return self.runner.step(self.state, event) is not None

    def __getattr__(self, name: str) -> bool:
        return bool(self.bits >> tuple(self.network.bad).index(name) & 1)


def _output(part: StateModel) -> _Played:
    return _Played(
        [outputs.power(), outputs.press("press", ["o"], says="pressed"), part, outputs.relay("o")], on="o_on"
    )


def test_a_pulse_that_is_not_retriggerable_ignores_a_further_press() -> None:
    """Common practice, no source: it ends when the first press said."""
    played = _output(outputs.pulse_output("o", for_ms=4000, retrigger=False)).do("press")
    assert played.on
    assert played.wait(3).do("press").on
    assert not played.wait(1).on


def test_a_retriggered_pulse_starts_its_time_anew() -> None:
    """Common practice, no source: a re-trigger restarts the time."""
    played = _output(outputs.pulse_output("o", for_ms=4000, retrigger=True)).do("press")
    assert played.wait(3).do("press").wait(3).on
    assert not played.wait(1).on


@pytest.mark.parametrize(("resumes", "after"), [(False, False), (True, True)])
def test_a_pulse_through_a_power_cut(resumes: bool, after: bool) -> None:
    """Lost, or resumed with the rest of its time."""
    played = _output(outputs.pulse_output("o", for_ms=4000, retrigger=False, resumes=resumes)).do(
        "press", "power_off"
    )
    assert not played.on
    assert played.wait(8).do("power_on").on is after


@pytest.mark.parametrize(("retrigger", "later"), [(False, 0.0), (True, 2.0)])
def test_a_late_pulse_begins_some_time_after_the_press(retrigger: bool, later: float) -> None:
    """3 s after it, for 4 s; a further press within the delay starts it anew or does nothing."""
    late = outputs.late_pulse_output("o", delay_ms=3000, for_ms=4000, retrigger=retrigger)
    played = _output(late).do("press")
    assert not played.on
    played.wait(2).do("press")
    assert not played.wait(later).on
    assert played.wait(1).on
    assert played.wait(3).on
    assert not played.wait(1).on


def test_a_late_pulse_is_lost_in_a_power_cut() -> None:
    """Before it began, and with nothing after the power is back."""
    late = outputs.late_pulse_output("o", delay_ms=3000, for_ms=4000, retrigger=False)
    played = _output(late).do("press").wait(1).do("power_off").wait(1).do("power_on")
    assert not any(played.wait(1).on for _ in range(6))


def test_a_delay_before_on_passes_only_what_lasts_longer() -> None:
    """A toggle switched back within 3 s never comes on; else it comes on after them."""
    parts = [outputs.toggle_output("o", keeps=False), outputs.delayed("o", on_ms=3000)]
    played = _output(join(parts)).do("press").wait(2).do("press")
    assert not any(played.wait(1).on for _ in range(4))
    assert not played.do("press").wait(2).on
    assert played.wait(1).on
    assert not played.do("press").on


def test_a_delay_before_off_keeps_on_what_was_on() -> None:
    """Off 4 s after it is switched off; a press meanwhile keeps it on; a power cut ends it."""
    parts = [outputs.toggle_output("o", keeps=False), outputs.delayed("o", off_ms=4000)]
    played = _output(join(parts)).do("press", "press")
    assert played.wait(3).on
    assert not played.wait(1).on
    assert played.do("press", "press").wait(3).do("press").wait(4).on
    assert not played.do("press", "power_off").on
    assert not played.do("power_on").on


@pytest.mark.parametrize(("keeps", "after"), [(False, False), (True, True)])
def test_a_toggle_flips_with_each_press_and_stands_as_said_after_a_cut(keeps: bool, after: bool) -> None:
    """On, off, on; then through a power cut."""
    played = _output(outputs.toggle_output("o", keeps=keeps))
    assert [played.do("press").on for _ in range(3)] == [True, False, True]
    assert not played.do("power_off").on
    assert played.do("power_on").on is after


def test_a_toggle_of_unknown_memory_is_tried_both_ways() -> None:
    """The return of the power may bring it back or not."""
    parts = [
        outputs.power(forgetful=["o_s"]),
        outputs.press("press", ["o"], says=""),
        outputs.toggle_output("o", keeps=True),
        outputs.relay("o"),
    ]
    assert _Played(parts, on="o_on").do("press", "power_off", "power_on").on
    assert not _Played(parts, on="o_on").do("press", "power_off", "power_on_forgotten").on


def test_one_button_sets_another_resets() -> None:
    """Pressing the same again changes nothing; reset wins over set in one press."""
    latch = outputs.latch_output("o", keeps=False)
    both = StateModel(
        (),
        (
            ModelEvent("reset", "o_reset = 1", "power"),
            ModelEvent("both", "o_start = 1\no_reset = 1", "power"),
        ),
    )
    played = _Played(
        [outputs.power(), outputs.press("press", ["o"], says=""), both, latch, outputs.relay("o")], on="o_on"
    )
    assert [played.do(event).on for event in ("press", "press", "reset", "reset", "press", "both")] == [
        True,
        True,
        False,
        False,
        True,
        False,
    ]


def _held(cut_off_ms: int | None = None) -> _Played:
    return _Played(
        [
            outputs.power(),
            outputs.thumb("t", says_press="", says_release="", cut_off_ms=cut_off_ms),
            outputs.follow_output("o", ["t"], dropout_ms=400),
            outputs.relay("o"),
        ],
        on="o_on",
        new="o_start",
    )


def test_a_follow_output_runs_on_for_the_drop_out_time() -> None:
    """Released after the last telegram plus 0.4 s."""
    played = _held().do("t_press").wait(2)
    assert played.on
    assert played.do("t_release").on
    assert not played.wait(0.4).on


def test_a_held_output_ends_with_the_cut_off_of_the_fob() -> None:
    """Common practice, no source: about 30 s; then the drop-out time, and a new press is needed."""
    played = _held(cut_off_ms=30_000).do("t_press")
    assert played.wait(30).on
    assert not played.wait(0.4).on
    assert not played.wait(20).on
    assert played.do("t_release", "t_press").on


def test_a_pause_shorter_than_the_drop_out_is_one_press() -> None:
    """Two presses merge: no new start is seen; after the drop-out time one is."""
    played = _Played(
        [
            outputs.power(),
            outputs.thumb("t", says_press="", says_release=""),
            outputs.follow_output("o", ["t"], dropout_ms=400),
            outputs.relay("o"),
        ],
        new="o_start",
    )
    assert played.do("t_press").new
    assert not played.do("t_release").wait(0.2).do("t_press").new
    assert played.do("t_release").wait(0.4).do("t_press").new


def test_a_fob_held_through_a_power_cut_is_heard_again() -> None:
    """Telegrams go on, so the output is on again once the receiver is."""
    assert _held().do("t_press", "power_off", "power_on").on


def test_an_interlock_keeps_both_off_for_its_pause_from_relay_off() -> None:
    """Off first, then 0.6 s counted from the relay, not from the thumb."""
    played = _Played(
        [
            outputs.power(),
            *(outputs.thumb(t, says_press="", says_release="") for t in "uv"),
            outputs.follow_output("a", ["u"], dropout_ms=400),
            outputs.follow_output("b", ["v"], dropout_ms=400),
            outputs.interlock("a", "b", pause_ms=600),
        ],
        a="a_on",
        b="b_on",
    )
    played.do("u_press").wait(1).do("v_press")
    assert not played.a | played.b
    played.do("u_release").wait(0.4)
    assert not played.a | played.b
    assert played.wait(0.2).b


def test_step_by_step_goes_open_stop_close_stop() -> None:
    """Each start edge is the next of the ring; a maintained contact is one edge only."""
    played = _leaf({"i": "start"}, closes_after_ms=None)
    assert [(played.do("press"), played.mode())[1] for _ in range(1)] == [1]
    played.wait(2)
    assert [(played.do("release").do("press"), played.mode())[1] for _ in range(4)] == [2, 3, 0, 1]


class _Leaf(_Played):
    def mode(self) -> int:
        return self.runner.probe(self.state, {"mode": "d_mode"})["mode"]

    def position(self) -> int:
        return self.runner.probe(self.state, {"pos": "d_pos"})["pos"]


def _leaf(
    inputs: dict[str, str],
    *,
    presence: bool = False,
    closes_after_ms: int | None = 10_000,
    back_ms: int = 6000,
    partial_ms: int | None = None,
) -> _Leaf:
    switches = StateModel((), (ModelEvent("press", "k = 1", "not k"), ModelEvent("release", "k = 0", "k")))

    return _Leaf(
        [
            StateModel((Variable("k"),)),
            switches,
            outputs.power(),
            *(contacts.contact(i, "k") for i in inputs),
            driven.leaf(
                "d",
                inputs,
                opening_ms=6000,
                closing_ms=back_ms,
                closes_after_ms=closes_after_ms,
                presence=presence,
                partial_ms=partial_ms,
            ),
        ],
        under="d_mode == 3 and d_occ",
    )


def test_open_only_with_timed_closing() -> None:
    """Ignored while opening; the time open begins again with a press; a closing leaf opens again."""
    played = _leaf({"i": "open only"})
    assert played.do("press").mode() == 1
    assert played.wait(2).do("release", "press").mode() == 1
    assert played.wait(4).mode() == 2
    played.wait(8).do("release", "press")
    assert played.wait(8).mode() == 2
    assert played.wait(2).mode() == 3
    assert played.wait(2).do("release", "press").mode() == 1


def test_a_loop_holds_it_open_and_turns_it_round() -> None:
    """Occupied: the time open waits; closing reverses at once."""
    played = _leaf({"i": "open only"}, presence=True)
    played.do("press").wait(6).do("d_enter").wait(30)
    assert played.mode() == 2
    played.do("d_leave").wait(10)
    assert played.mode() == 3
    assert played.can("d_enter")
    assert played.do("d_enter").mode() == 2
    assert not played.under


def test_partial_opening_stops_half_way_and_opens_fully_later() -> None:
    """Half of the travel is taken; a full command goes on from there."""
    played = _leaf({"i": "partial open"}, closes_after_ms=None)
    assert played.do("press").wait(6).position() == 15
    assert played.mode() == 2


def test_a_power_cut_stops_the_leaf_and_it_waits() -> None:
    """It stands; timed closing begins again only after a command."""
    played = _leaf({"i": "open only"}).do("press").wait(3).do("power_off")
    assert played.mode() == 2
    assert played.do("power_on").wait(60).mode() == 2


def test_closing_may_take_longer_than_opening() -> None:
    """6 s up, 8 s down: the position runs in steps that fit both."""
    played = _leaf({"i": "start"}, closes_after_ms=None, back_ms=8000).do("press").wait(6)
    assert played.mode() == 2
    played.do("release", "press")
    assert played.wait(6).mode() == 3
    assert played.wait(2).mode() == 0


def _panel(kind: str, exit_ms: int = 30_000, window_ms: int = 40_000) -> _Played:
    return _Played(
        [
            outputs.power(),
            *(outputs.press(f"press_{o}", [o], says="") for o in "ab"),
            *(outputs.momentary_output(o) for o in "ab"),
            *(outputs.relay(o) for o in "ab"),
            contacts.edge("i", "a_on"),
            contacts.edge("j", "b_on"),
            panels.panel(
                "p",
                {"i": kind} if kind == "toggling pulse" else {"i": "set pulse", "j": "unset pulse"},
                exit_ms=exit_ms,
                keypad=True,
                entry_ms=30_000,
            ),
            panels.acknowledgement("p", ("a_start", "b_start"), window_ms=window_ms),
        ],
        set="p_st",
        leaving="p_going and not p_st",
        one="p_code == 1",
        two="p_code == 2",
        three="p_code == 3",
    )


def test_a_toggling_panel_sets_after_the_exit_time_and_a_second_press_ends_it() -> None:
    """Set after 30 s; pressed again meanwhile it stays unset."""
    played = _panel("toggling pulse").do("press_a")
    assert played.leaving
    assert played.wait(30).set
    assert not played.do("press_a").set
    assert not played.do("press_a").do("press_a").wait(30).set


def test_separate_pulses_do_no_harm_when_repeated() -> None:
    """Set again while set, unset while unset: nothing changes."""
    played = _panel("set pulse", exit_ms=0)
    assert [played.do(event).set for event in ("press_a", "press_a", "press_b", "press_b")] == [
        True,
        True,
        False,
        False,
    ]


def test_acknowledgement_is_one_two_and_four_pulses_inside_the_window() -> None:
    """Common practice, no source: 1 set, 2 unset, 4 unset with an alarm cleared, within 4 s."""
    assert list(panels.ACKNOWLEDGED.values()) == [1, 2, 4]
    played = _panel("set pulse", exit_ms=0, window_ms=4000)
    assert played.do("press_a").one
    assert played.do("press_b").two
    assert played.do("press_a").do("p_alarm").do("press_b").three


def _also(kind: str, entry_ms: int = 30_000) -> _Played:
    """A panel with a set input and one of another kind."""
    return _Played(
        [
            outputs.power(),
            *(outputs.press(f"press_{o}", [o], says="") for o in "ab"),
            *(outputs.momentary_output(o) for o in "ab"),
            *(outputs.relay(o) for o in "ab"),
            contacts.edge("i", "a_on"),
            contacts.edge("j", "b_on"),
            panels.panel("p", {"i": "set pulse", "j": kind}, exit_ms=0, keypad=True, entry_ms=entry_ms),
        ],
        set="p_st",
        alarm="p_al",
        entering="p_entering",
    )


def test_a_clearing_pulse_takes_the_alarm_back_and_leaves_the_panel_set() -> None:
    """Unsetting is another command."""
    played = _also("clear pulse").do("press_a", "p_alarm")
    assert played.alarm
    played.do("press_b")
    assert (played.alarm, played.set) == (False, True)


@pytest.mark.parametrize(("entry_ms", "begins"), [(30_000, True), (0, False)])
def test_a_pulse_begins_the_entry_time_where_there_is_one(entry_ms: int, begins: bool) -> None:
    """Only while set; it ends in an alarm like any other."""
    assert not _also("entry pulse", entry_ms).do("press_b").entering
    played = _also("entry pulse", entry_ms).do("press_a", "press_b")
    assert played.entering is begins
    if begins:
        assert played.wait(30).alarm


def test_a_part_set_is_taken_for_a_set() -> None:
    """What it leaves out is judged, not played."""
    assert _also("part set pulse").do("press_b").set


@pytest.mark.parametrize(("window_s", "told"), [(30, True), (29, False)])
def test_the_window_is_closed_at_its_end(window_s: int, told: bool) -> None:
    """A change exactly at its end is acknowledged; a second later it is not."""
    assert _panel("toggling pulse", window_ms=window_s * 1000).do("press_a").wait(30).one is told


def test_a_long_press_is_seen_as_two_after_as_many_losses_as_the_formula_says() -> None:
    """Telegrams one by one: heard, k lost, heard."""
    k = losses_that_split(dropout_s=0.4, repeat_s=0.1)
    model = join(
        [
            outputs.telegrams("f", ["o"], repeat_ms=100, cut_off_ms=2000, losses_to_split=k),
            outputs.power(lost=False),
            outputs.toggle_output("o", keeps=True),
            StateModel(bad={"twice": "f_seen == 2"}),
        ]
    )

    story = search_all(make_ready(model)).stories["twice"]

    assert story == ("hold", "tick_heard", *["tick_lost"] * k, "tick_heard")
    assert k == 3


@pytest.mark.parametrize(
    ("make", "says"),
    [
        (lambda: outputs.pulse_output("R1/1", for_ms=0, retrigger=False), "a pulse of no length is none"),
        (lambda: outputs.follow_output("R1/1", ["t"], dropout_ms=0), "longer than 0"),
        (
            lambda: driven.leaf(
                "d",
                {"i": "open only"},
                opening_ms=0,
                closing_ms=5,
                closes_after_ms=None,
                presence=False,
                says="gate",
            ),
            "Time one opening",
        ),
        (
            lambda: driven.leaf(
                "d", {"i": "on"}, opening_ms=9, closing_ms=5, closes_after_ms=None, presence=False
            ),
            "open only",
        ),
        (lambda: panels.panel("p", {"i": "zone"}, exit_ms=0, keypad=False), "toggling pulse"),
    ],
)
def test_impossible_parts_say_what_to_do(make, says: str) -> None:
    """A zero pulse, a travel of no time, an input with no meaning."""
    with pytest.raises(InputError, match=says):
        make()


def test_a_watch_for_the_reversal_pause_counts_standstill() -> None:
    """Up, 0.4 s still, down: too soon for 0.5 s, in time for 0.4 s."""

    def found(pause_ms: int) -> bool:
        parts = [
            outputs.power(lost=False),
            *(outputs.thumb(t, says_press="", says_release="") for t in "uv"),
            *(outputs.follow_output(o, [t], dropout_ms=200) for o, t in ("au", "bv")),
            outputs.interlock("a", "b", pause_ms=400),
            driven.motor("d", "a_on", "b_on"),
            watches.reversed_too_soon("bad", "d_m", pause_ms=pause_ms),
        ]
        return bool(search_all(make_ready(join(parts))).stories)

    assert found(500)
    assert not found(400)


def test_relays_interlocked_by_wiring_let_the_first_one_stay() -> None:
    """The second waits while the first is on, and comes on at once when it drops; never both."""
    thumbs = [outputs.thumb(name, says_press="", says_release="") for name in ("t", "u")]
    parts = [
        outputs.power(),
        *thumbs,
        outputs.follow_output("a", ["t"], dropout_ms=400),
        outputs.follow_output("b", ["u"], dropout_ms=400),
        outputs.wired_interlock("a", "b"),
    ]
    first, second = _Played(parts, on="a_on"), _Played(parts, on="b_on")
    assert first.do("t_press").on
    first.do("u_press")
    second.do("t_press", "u_press")
    assert first.on
    assert not second.on
    for played in (first, second):
        played.do("t_release").wait(0.4)
    assert not first.on
    assert second.on


def test_an_input_takes_nothing_within_its_lock_out() -> None:
    """Three seconds after a closing that counted the next one counts; before, none does, and none lengthens
    it.
    """
    count = StateModel(
        (Variable("n", 9), Variable("finer", "HALF")),
        (),
        (),
        ("if i_rise:\n    n = n + 1\nfiner = 0",),
        {"HALF": 500},
    )
    played = _Played(
        [
            outputs.power(),
            outputs.press("press", ["o"], says=""),
            outputs.momentary_output("o"),
            outputs.relay("o"),
            contacts.edge("i", "o_on", lockout_ms=3000),
            count,
        ],
        on="n == 2",
    )
    played.do("press").wait(1.5).do("press").wait(1.0).do("press")
    assert not played.on
    assert played.wait(0.5).do("press").on


@pytest.mark.parametrize("partial_ms", [2000, 4600, 6000])
def test_a_partial_opening_goes_as_far_as_its_drive_says(partial_ms: int) -> None:
    """Still opening a tick before its time, still from then on, so far on its way."""
    played = (
        _leaf({"i": "partial open"}, closes_after_ms=None, partial_ms=partial_ms)
        .do("press")
        .wait(partial_ms / 1000 - 0.2)
    )
    assert played.mode() == 1
    assert played.wait(0.2).mode() == 2
    assert played.position() == partial_ms // played.network.tick_ms


@pytest.mark.parametrize("partial_ms", [0, 6100])
def test_a_partial_opening_outside_the_travel_is_refused(partial_ms: int) -> None:
    """It says both times and what to do."""
    with pytest.raises(InputError, match=rf"partial opening.*{partial_ms} ms of a travel of.*watch"):
        _leaf({"i": "partial open"}, closes_after_ms=None, partial_ms=partial_ms)


def _way_in(*, others: bool = True, entry_ms: int = 20_000) -> _Played:
    return _Played(
        [
            outputs.power(),
            *(outputs.press(f"press_{o}", [o], says="") for o in "ab"),
            *(outputs.momentary_output(o) for o in "ab"),
            *(outputs.relay(o) for o in "ab"),
            contacts.edge("i", "a_on"),
            contacts.edge("j", "b_on"),
            panels.panel(
                "p",
                {"i": "set pulse", "j": "unset pulse"},
                exit_ms=0,
                keypad=False,
                entry_ms=entry_ms,
                others=others,
            ),
            panels.acknowledgement("p", ("a_start", "b_start"), window_ms=4000),
        ],
        set="p_st",
        entering="p_entering",
        alarm="p_al",
        late="p_late",
        two="p_code == 2",
        three="p_code == 3",
    )


def test_the_way_in_opened_while_set_begins_the_entry_time() -> None:
    """Nothing while unset; while set 20 s, then the alarm as they end, told by four pulses to who unsets
    then.
    """
    with pytest.raises(AssertionError):
        _way_in().do("p_entry")
    played = _way_in().do("press_a").do("p_entry")
    assert played.entering
    assert not played.wait(19).alarm
    assert played.wait(1).late
    assert played.alarm
    assert not played.entering
    assert played.do("press_b").three


def test_unset_within_the_entry_time_means_no_alarm() -> None:
    """At its very end too, the press coming first; afterwards nothing runs."""
    for after_s in (0, 10, 19):
        played = _way_in().do("press_a").do("p_entry").wait(after_s).do("press_b")
        assert played.two
        assert not played.entering
        assert not played.wait(60).alarm


def test_only_detectors_off_the_way_in_raise_an_alarm_at_once() -> None:
    """Where there are none, an alarm comes through the entry time only; where nothing waits, at once."""
    assert _way_in().do("press_a").do("p_alarm").alarm
    assert _way_in().do("press_a").do("p_entry").do("p_alarm").alarm
    assert "p_alarm" not in _way_in(others=False).runner.events
    assert "p_entry" not in _way_in(entry_ms=0).runner.events
