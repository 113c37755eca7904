"""Every check of an output's logic at its limit, on both sides of it, and where thin begins."""

from __future__ import annotations

from typing import Any

import pytest

from farpress.domain.finding import Finding, Stake, Verdict
from farpress.judging.output import suits
from farpress.judging.output.use import ANOTHER_PRESS_SHARE, SECOND_PRESS
from helpers.findings import finding_of
from helpers.logic_case import SHUTTER, VALVE, a_case

HOLDS, THIN, UNKNOWN, FAILS = Verdict.HOLDS, Verdict.THIN, Verdict.UNKNOWN, Verdict.FAILS
PULSE: dict[str, Any] = {"kind": "pulse", "for_s": 0.5}


def judged(outputs: dict[str, dict[str, Any]], **more: Any) -> list[Finding]:
    """Findings about the logic of a small house."""
    return list(suits.judge(a_case(outputs, **more)))


def gate(**needs: Any) -> dict[str, Any]:
    """A gate whose start input takes pulses of some length."""
    return {"gate": {"device": "sliding gate", "inputs": {"start": {"logic": "start", **needs}}}}


def pulse_of(for_s: float, **needs: Any) -> Finding:
    """OUT-01 of a pulse on such an input."""
    return finding_of(
        judged({"1": {"kind": "pulse", "for_s": for_s, "works": "gate.start"}}, devices=gate(**needs)),
        "OUT-01",
    )


@pytest.mark.parametrize(
    ("for_s", "verdict"), [(0.399, FAILS), (0.4, THIN), (0.439, THIN), (0.441, HOLDS), (1.9, HOLDS)]
)
def test_out_01_a_pulse_is_no_shorter_than_the_input_notices(for_s: float, verdict: Verdict) -> None:
    """Thin within a tenth of the shortest."""
    finding = pulse_of(for_s, min_pulse_s=0.4, max_pulse_s=10.0)

    assert finding.verdict is verdict
    assert finding.margin == pytest.approx(for_s - 0.4, abs=1e-9)
    assert ("will not see it" in finding.says) is (for_s < 0.4)


@pytest.mark.parametrize(("for_s", "verdict"), [(1.001, FAILS), (1.0, THIN), (0.901, THIN), (0.899, HOLDS)])
def test_out_01_a_pulse_is_no_longer_than_the_input_takes(for_s: float, verdict: Verdict) -> None:
    """Thin within a tenth of the longest."""
    assert pulse_of(for_s, max_pulse_s=1.0).verdict is verdict


@pytest.mark.parametrize(
    ("for_s", "verdict"),
    [(0.399, FAILS), (0.439, THIN), (0.6, HOLDS), (0.899, HOLDS), (0.901, THIN), (1.001, FAILS)],
)
def test_out_01_both_ends_of_a_band_count(for_s: float, verdict: Verdict) -> None:
    """From 0.4 to 1 s; the nearer end decides."""
    assert pulse_of(for_s, min_pulse_s=0.4, max_pulse_s=1.0).verdict is verdict


@pytest.mark.parametrize(
    ("for_s", "verdict"), [(0.5, HOLDS), (0.51, UNKNOWN), (2.0, UNKNOWN), (10.0, UNKNOWN)]
)
def test_out_01_how_long_a_start_contact_may_be_closed_is_asked_above_half_a_second(
    for_s: float, verdict: Verdict
) -> None:
    """Common practice, no source: 0.5 s is a pulse everywhere; one that takes 0.6 s fails at 0.7 s."""
    finding = pulse_of(for_s)

    assert pulse_of(0.7, max_pulse_s=0.6).verdict is FAILS
    assert finding.verdict is verdict
    if verdict is UNKNOWN:
        assert [change.value for change in finding.remedies[-1].changes] == ["500 ms"]


@pytest.mark.parametrize(("people", "verdict"), [(("Ana",), HOLDS), (("Ana", "Bo"), THIN), ((), UNKNOWN)])
def test_out_02_a_toggle_of_several_is_thin_at_worst(people: tuple[str, ...], verdict: Verdict) -> None:
    """Two who press three times in ten: 42 % against 5 %, our choice; their number is asked for."""
    groups = {"some": {"people": people, "buttons": {"1": "f1"}}}
    finding = finding_of(judged({"1": {"kind": "toggle", "works": "lamp.on"}}, groups=groups), "OUT-02")

    assert finding.verdict is verdict
    if verdict is THIN:
        assert (finding.value, finding.limit) == (pytest.approx(0.42), 0.05)


def test_out_02_an_input_that_nobody_read_may_turn_round() -> None:
    """Leaving out what a panel's input reads is no way round the refusal of a toggle."""
    panel = {"keypad": True, "inputs": {"flip": {}}}
    finding = finding_of(
        judged({"1": {**PULSE, "works": "panel.flip"}}, panel=panel, kinds={"1": "set"}), "OUT-02"
    )

    assert finding.verdict is UNKNOWN
    assert "panel.flip" in finding.asks[0].says


@pytest.mark.parametrize(("worst", "verdict"), [(29.01, FAILS), (29.0, THIN), (28.01, THIN), (27.99, HOLDS)])
def test_out_03_the_thumb_takes_a_second_and_is_known_to_a_second(worst: float, verdict: Verdict) -> None:
    """The fob gives up after 30 s: 29 s of travel and a second; thin within another second."""
    shutter = {"shutter": {**SHUTTER, "travel_worst_s": worst}}
    finding = finding_of(judged({"1": {"kind": "follow", "works": "shutter.up"}}, devices=shutter), "OUT-03")

    assert finding.verdict is verdict
    assert finding.doubt == pytest.approx(1.0)


@pytest.mark.parametrize(
    ("travel", "verdict"), [(25.22, FAILS), (25.21, THIN), (22.85, THIN), (22.84, HOLDS)]
)
def test_out_03_an_ordinary_travel_is_taken_fifteen_per_cent_longer(travel: float, verdict: Verdict) -> None:
    """25.217 x 1.15 + 1 = 30 s; thin within a tenth of the time needed: 22.846 x 1.15 + 1 = 30 / 1.1."""
    shutter = {"shutter": {**SHUTTER, "travel_s": travel, "travel_worst_s": None}}
    finding = finding_of(judged({"1": {"kind": "follow", "works": "shutter.up"}}, devices=shutter), "OUT-03")

    assert finding.verdict is verdict


def test_out_04_what_moves_bars_and_what_waters_does_not() -> None:
    """Nobody may accept a machine that starts by itself."""
    moved, watered = (
        finding_of(
            judged({"1": {"kind": "toggle", "works": works, "after_power_return": "as before"}}), "OUT-04"
        )
        for works in ("shutter.up", "valve.on")
    )

    assert (moved.verdict, moved.bars, moved.stake) == (FAILS, True, Stake.HARM)
    assert (watered.verdict, watered.bars, watered.stake) == (FAILS, False, Stake.PROMISE)


@pytest.mark.parametrize(("for_s", "verdict"), [(10.0, HOLDS), (10.1, UNKNOWN)])
def test_out_04_a_pulse_longer_than_ten_seconds_may_be_resumed(for_s: float, verdict: Verdict) -> None:
    """Our choice."""
    finding = finding_of(judged({"1": {"kind": "pulse", "for_s": for_s, "works": "valve.on"}}), "OUT-04")

    assert finding.verdict is verdict


@pytest.mark.parametrize(("for_s", "verdict"), [(1801.0, FAILS), (1800.0, HOLDS), (1.0, HOLDS)])
def test_out_05_a_timer_may_be_set_to_the_longest_run(for_s: float, verdict: Verdict) -> None:
    """30 min by the sheet of the valve."""
    finding = finding_of(judged({"1": {"kind": "pulse", "for_s": for_s, "works": "valve.on"}}), "OUT-05")

    assert finding.verdict is verdict


@pytest.mark.parametrize(("longest", "verdict"), [(30.3, FAILS), (30.4, HOLDS), (None, UNKNOWN)])
def test_out_05_a_held_press_lasts_as_long_as_the_fob_sends_and_the_radio_drops_out(
    longest: float | None, verdict: Verdict
) -> None:
    """30 s and 0.4 s."""
    valve = {"valve": {**VALVE, "longest_run_s": longest}}
    finding = finding_of(judged({"1": {"kind": "follow", "works": "valve.on"}}, devices=valve), "OUT-05")

    assert finding.verdict is verdict


def test_out_05_without_the_fobs_cut_off_nobody_knows_how_long_it_is_held() -> None:
    """It is asked for."""
    finding = finding_of(
        judged({"1": {"kind": "follow", "works": "valve.on"}}, fob={"cut_off_s": None}), "OUT-05"
    )

    assert finding.verdict is UNKNOWN


def test_out_05_an_unknown_longest_run_still_offers_to_end_the_time_by_itself() -> None:
    """One click takes the retriggering away, while the longest run is asked for."""
    output = {"kind": "pulse", "for_s": 60.0, "retrigger": True, "works": "valve.on"}
    finding = finding_of(judged({"1": output}, devices={"valve": {**VALVE, "longest_run_s": None}}), "OUT-05")
    (change,) = finding.remedies[-1].changes

    assert finding.verdict is UNKNOWN
    assert (change.path[-1], change.value) == ("retrigger", False)


def pair(pause: float, needed: float | None) -> Finding:
    """OUT-06 of two interlocked outputs with a pause."""
    outputs = {
        "1": {"kind": "follow", "works": "shutter.up", "interlock": "2", "interlock_pause_s": pause},
        "2": {"kind": "follow", "works": "shutter.down", "interlock": "1", "interlock_pause_s": pause},
    }
    return finding_of(judged(outputs, devices={"shutter": {**SHUTTER, "reversal_pause_s": needed}}), "OUT-06")


@pytest.mark.parametrize(
    ("pause", "needed", "verdict"),
    [
        (0.79, 0.8, FAILS),
        (0.8, 0.8, HOLDS),
        (0.49, None, FAILS),
        (0.5, None, THIN),
        (0.549, None, THIN),
        (0.551, None, HOLDS),
    ],
)
def test_out_06_a_pause_of_the_sheet_is_enough_and_a_usual_one_is_known_to_a_tenth(
    pause: float, needed: float | None, verdict: Verdict
) -> None:
    """0.5 s is usual: common practice, no source."""
    assert pair(pause, needed).verdict is verdict


@pytest.mark.parametrize(
    ("chance", "verdict"), [(0.0501, FAILS), (0.05, THIN), (0.0451, THIN), (0.0449, HOLDS)]
)
def test_out_07_another_press_in_a_twentieth_of_all_uses_is_too_many(chance: float, verdict: Verdict) -> None:
    """Our choice."""
    assert ANOTHER_PRESS_SHARE == 0.05
    assert SECOND_PRESS.word(chance) is verdict


@pytest.mark.parametrize(
    ("number", "sure", "verdict"), [(7, True, HOLDS), (8, True, FAILS), (7, None, HOLDS), (8, None, UNKNOWN)]
)
def test_out_07_counted_arrivals_meet_the_movement(number: int, sure: bool | None, verdict: Verdict) -> None:
    """6 s of movement in a quarter of an hour: 7 arrivals make 4.6 % (thin is below 5.5 %), 8 make 5.2 %."""
    arm = {
        "arm": {
            "device": "barrier",
            "travel_s": 6.0,
            "inputs": {"start": {"logic": "start", "closes_by_second_press": sure}},
        }
    }
    traffic = ({"place": "here", "function": "f1", "arrivals": {"07:00-07:15": number}},)
    finding = finding_of(
        judged({"1": {**PULSE, "works": "arm.start"}}, devices=arm, traffic=traffic), "OUT-07"
    )

    assert finding.verdict in ({HOLDS, THIN} if verdict is HOLDS else {verdict})


@pytest.mark.parametrize(("number", "verdict"), [(2, HOLDS), (3, FAILS)])
def test_out_07_it_stands_open_for_one_that_comes(number: int, verdict: Verdict) -> None:
    """6 s up, 5 s of passing, 5 s down in a quarter of an hour: 2 make 3.5 %, 3 make 5.2 %."""
    start = {"logic": "start", "closes_by_second_press": True}
    arm = {"device": "barrier", "travel_s": 6.0, "travel_back_s": 5.0, "inputs": {"start": start}}
    traffic = ({"place": "here", "function": "f1", "arrivals": {"07:00-07:15": number}, "passage_s": 5.0},)
    finding = finding_of(
        judged({"1": {**PULSE, "works": "arm.start"}}, devices={"arm": arm}, traffic=traffic), "OUT-07"
    )

    assert finding.value == pytest.approx(1.0 - 2.718281828 ** (-number / 900.0 * 16.0))
    assert finding.verdict is verdict


def test_out_07_a_travel_nobody_took_is_asked_for() -> None:
    """However few press it."""
    arm = {"arm": {"device": "barrier", "inputs": {"start": {"logic": "start"}}}}
    finding = finding_of(judged({"1": {**PULSE, "works": "arm.start"}}, devices=arm), "OUT-07")

    assert finding.verdict is UNKNOWN
    assert "travel time" in finding.asks[0].says


PUMP: dict[str, Any] = {"device": "pump", "inputs": {"on": {"logic": "on", "wants": "maintained"}}}
AS_BEFORE = {"1": {"kind": "toggle", "works": "thing.on", "after_power_return": "as before"}}


@pytest.mark.parametrize(
    ("sheet", "verdict", "bars"),
    [
        (PUMP, FAILS, True),
        ({**PUMP, "harmless": True}, FAILS, True),
        ({**PUMP, "device": "energiser"}, FAILS, True),
        ({**PUMP, "device": "other"}, UNKNOWN, False),
        ({**PUMP, "device": None}, UNKNOWN, False),
    ],
)
def test_out_04_what_hurts_without_moving_must_not_start_either(
    sheet: dict[str, Any], verdict: Verdict, bars: bool
) -> None:
    """Starting by a voluntary act only, for every machine; a thing nobody names may be one."""
    finding = finding_of(judged(AS_BEFORE, devices={"thing": sheet}), "OUT-04")

    assert (finding.verdict, finding.bars and finding.verdict is FAILS) == (verdict, bars)


@pytest.mark.parametrize("kind", ["other", None])
def test_what_nobody_calls_dangerous_is_harmless_only_if_it_is_written(kind: str | None) -> None:
    """Toggling it is asked about; where it is written that nobody can be hurt, it is a lamp like others."""
    sheet = {**PUMP, "device": kind}
    asked = finding_of(judged(AS_BEFORE, devices={"thing": sheet}), "OUT-02")
    harmless = judged(AS_BEFORE, devices={"thing": {**sheet, "harmless": True}})

    assert asked.verdict is UNKNOWN
    assert asked.asks
    assert "OUT-04" not in {one.code for one in harmless}
    assert finding_of(harmless, "OUT-02").verdict is THIN


@pytest.mark.parametrize(("kind", "is_offered"), [("shutter", True), ("winch", False)])
def test_out_03_no_timed_run_is_offered_for_a_hanging_load(kind: str, is_offered: bool) -> None:
    """It would go on when the button is let go."""
    sheet = {**SHUTTER, "device": kind, "travel_s": 45.0, "travel_worst_s": None}
    finding = finding_of(
        judged({"1": {"kind": "follow", "works": "thing.up"}}, devices={"thing": sheet}), "OUT-03"
    )

    assert finding.verdict is FAILS
    assert any("pulse" in remedy.does for remedy in finding.remedies) == is_offered


@pytest.mark.parametrize(
    ("changed", "verdict"),
    [
        ({"escape_route": True}, FAILS),
        ({"escape_route": None}, UNKNOWN),
        ({"escape_route": None, "opens_by_hand": True}, UNKNOWN),
        ({"escape_route": False}, THIN),
    ],
)
def test_out_02_a_lock_of_a_door_that_may_be_a_way_out_is_asked_about(
    changed: dict[str, Any], verdict: Verdict
) -> None:
    """Refused on an escape door; asked while nobody says whether it is one."""
    strike = {
        "device": "strike",
        "fails": "locked",
        "inputs": {"release": {"logic": "release", "wants": "maintained"}},
        **changed,
    }
    output = {"1": {"kind": "toggle", "works": "strike.release"}}

    assert finding_of(judged(output, devices={"strike": strike}), "OUT-02").verdict is verdict


def test_out_04_a_pulse_of_unknown_length_may_be_resumed() -> None:
    """A long one may; who leaves the length out is asked."""
    finding = finding_of(judged({"1": {"kind": "pulse", "works": "valve.on"}}), "OUT-04")

    assert finding.verdict is UNKNOWN


@pytest.mark.parametrize(("for_s", "verdict"), [(0.499, UNKNOWN), (0.5, HOLDS)])
@pytest.mark.parametrize("longest", [{}, {"max_pulse_s": 2.0}])
def test_out_01_a_short_pulse_is_asked_about_where_no_shortest_is_given(
    for_s: float, verdict: Verdict, longest: dict[str, float]
) -> None:
    """Half a second is taken by all; common practice, no source."""
    assert pulse_of(for_s, **longest).verdict is verdict
