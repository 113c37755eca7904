"""Two leaves that must never be open together: their travel counts, and what makes one wait."""

from __future__ import annotations

from farpress.case.case import Case
from farpress.domain.finding import Verdict
from farpress.rehearsal.play import play
from farpress.rehearsal.rules import rehearse
from helpers.logic_case import a_case
from helpers.rehearsal_jobs import SHORT_GATE


def _lock(kept: str | None) -> Case:
    gates = {
        name: SHORT_GATE | ({"waits_for": (other,), "waits_by": kept} if kept else {})
        for name, other in (("outer", "inner"), ("inner", "outer"))
    }
    return a_case(
        {
            "1": {"kind": "pulse", "for_s": 1.0, "works": "outer.open"},
            "2": {"kind": "pulse", "for_s": 1.0, "works": "inner.start"},
        },
        devices=gates,
        rules=({"never": "both on", "of": ("f1", "f2")},),
    )


def test_leaves_are_open_long_after_their_pulses() -> None:
    """A pulse of 1 s each, the second when the first is over: both leaves are open."""
    (result,) = rehearse(_lock(None), rules=(1,))

    assert result.verdict is Verdict.FAILS
    assert "inner and outer both stand open or move" in result.forbids or "outer and inner" in result.forbids
    assert result.story is not None
    assert len(result.story.steps) == 2


def test_end_contacts_keep_them_apart() -> None:
    """Neither opens while the other does not stand closed: searched to the end."""
    (result,) = rehearse(_lock("end contacts"), rules=(1,))

    assert result.verdict is Verdict.HOLDS
    assert result.finished


def test_people_keep_nothing_apart() -> None:
    """What only people see to, a press story breaks."""
    assert rehearse(_lock("people"), rules=(1,))[0].verdict is Verdict.FAILS


def test_the_player_keeps_the_second_gate_closed() -> None:
    """Pressed while the first one is open the second stays shut; pressed later it opens."""
    case = _lock("end contacts")
    early = play(case, "0 s: pair press f1; 3 s: pair press f2; 5 s: wait")
    late = play(case, "0 s: pair press f1; 20 s: pair press f2; 22 s: wait")

    spans = [
        [span.state for track in timeline.tracks if track.name.endswith("inner") for span in track.spans]
        for timeline in (early, late)
    ]
    assert spans[0] == []
    assert "opening" in spans[1]


def test_a_rule_about_what_cannot_happen_does_not_hold_silently() -> None:
    """One button on two outputs that keep each other off: nothing comes on, and the rule says so."""
    lock = {"kind": "pulse", "for_s": 1.0, "interlock_pause_s": 0.5}
    case = a_case(
        {
            "1": {**lock, "works": "shutter.up", "interlock": "2"},
            "2": {**lock, "works": "shutter.down", "interlock": "1"},
        },
        functions={"f1": {"outputs": ("house/R1/1", "house/R1/2")}},
        rules=({"never": "on longer than", "of": ("house/R1/1",), "for_s": 5.0},),
    )

    (result,) = rehearse(case, rules=(1,))

    assert result.verdict is Verdict.UNKNOWN
    assert result.is_empty
    assert "Nothing could break it" in result.says
    assert "leave the rule as it is" in result.because
