"""The rules that have a number, at it and beside it; signatures; what is asked; whom nobody may overrule."""

from __future__ import annotations

from typing import Any

import pytest

from farpress.domain.finding import Finding, Verdict
from farpress.domain.refs import FunctionRef, OutputRef, RuleRef
from farpress.judging.check import AT_MOST, Answer
from farpress.judging.rules import built, every, searched
from farpress.judging.rules.kinds import CHECK_OF
from farpress.judging.rules.repeated import LONGEST_PULSE_S
from farpress.judging.rules.ruling import Ruling
from farpress.judging.rules.searched import finding_of
from farpress.rehearsal.rules import RuleResult
from helpers.logic_case import GATE, STRIKE, a_case

HOLDS, THIN, UNKNOWN, FAILS = Verdict.HOLDS, Verdict.THIN, Verdict.UNKNOWN, Verdict.FAILS
OPENS: dict[str, Any] = {"kind": "pulse", "for_s": 3.0, "works": "gate.open"}
LIGHTS: dict[str, Any] = {"kind": "pulse", "for_s": 3.0, "works": "lamp.on"}
SIGNED = "M. Ostrovane, 2026-11-02"


def _ruled(rule: dict[str, Any], output: dict[str, Any], **more: Any) -> Finding:
    (finding,) = built.judge(a_case({"1": output}, rules=({"of": ("f1",), **rule},), **more))
    return finding


@pytest.mark.parametrize(("for_s", "verdict"), [(2.9, HOLDS), (3.0, HOLDS), (3.1, FAILS), (None, UNKNOWN)])
def test_a_pulse_may_be_as_long_as_the_rule_says(for_s: float | None, verdict: Verdict) -> None:
    """A time that a customer asks for has its reserve in it: the limit itself holds."""
    finding = _ruled({"never": "on longer than", "for_s": 3.0}, {**LIGHTS, "for_s": for_s})

    assert (finding.verdict, finding.limit) == (verdict, 3.0)
    assert finding.margin == (None if for_s is None else pytest.approx(3.0 - for_s))
    assert bool(finding.asks) is (verdict is UNKNOWN)


@pytest.mark.parametrize(("for_s", "most"), [(1.0, 4.0), (2.0, 4.0), (3.0, 6.0)])
def test_a_time_that_starts_anew_is_longer_than_any_limit(for_s: float, most: float) -> None:
    """The least number of presses that passes three seconds is told: four of 1 s, two of 2 s, two of 3 s."""
    finding = _ruled({"never": "on longer than", "for_s": 3.0}, {**LIGHTS, "for_s": for_s, "retrigger": True})

    assert (finding.verdict, finding.value) == (FAILS, most)
    assert f"keep it on for {most:g} s" in finding.says


@pytest.mark.parametrize(
    ("closes_after", "works", "told"),
    [
        (None, "gate.open", "nothing ends it but another press"),
        (45.0, "gate.open", "after 45 s, and a further press begins that time anew"),
        (45.0, "gate.start", "45 s after it is open, and a press on the way stops it"),
    ],
)
def test_a_leaf_that_a_pulse_opened_is_open_long_after_the_pulse(
    closes_after: float | None, works: str, told: str
) -> None:
    """As the model of the rehearsal moves it: no press story ends of itself, however long the rule allows."""
    gate = {"gate": {**GATE, "closes_after_s": closes_after}}
    finding = _ruled({"never": "on longer than", "for_s": 3600.0}, {**OPENS, "works": works}, devices=gate)

    assert finding.verdict is FAILS
    assert told in finding.says
    assert finding.remedies


@pytest.mark.parametrize("works", ["gate.stop", "lamp.on"])
def test_what_shuts_or_is_on_with_its_contact_is_left_to_the_contact(works: str) -> None:
    """Half a second is half a second."""
    finding = _ruled({"never": "on longer than", "for_s": 3.0}, {**OPENS, "for_s": 0.5, "works": works})

    assert (finding.verdict, finding.value) == (HOLDS, 0.5)


def test_a_rule_about_an_output_is_about_its_contact() -> None:
    """Named as an output: the relay is on for half a second, whatever stands open after it."""
    finding = _ruled({"never": "on longer than", "of": ("house/R1/1",), "for_s": 3.0}, OPENS)

    assert finding.verdict is HOLDS


@pytest.mark.parametrize(
    ("cut_off", "dropout", "verdict"),
    [
        (29.6, 0.4, HOLDS),
        (29.7, 0.4, FAILS),
        (29.6, None, UNKNOWN),
        (30.1, None, FAILS),
        (None, 0.4, UNKNOWN),
    ],
)
def test_a_held_output_stays_on_until_the_receiver_notices(
    cut_off: float | None, dropout: float | None, verdict: Verdict
) -> None:
    """30 s at most: the fob's cut-off and the receiver's dropout together; too long stays too long."""
    finding = _ruled(
        {"never": "on longer than", "for_s": 30.0},
        {"kind": "follow", "works": "shutter.up"},
        fob={"cut_off_s": cut_off},
        receiver={"dropout_s": dropout},
    )

    assert finding.verdict is verdict


@pytest.mark.parametrize(
    ("longest", "for_s", "verdict"),
    [
        (None, LONGEST_PULSE_S, HOLDS),
        (None, LONGEST_PULSE_S + 0.1, FAILS),
        (1.0, 1.0, HOLDS),
        (1.0, 1.1, FAILS),
    ],
)
def test_a_start_input_is_pressed_not_held(longest: float | None, for_s: float, verdict: Verdict) -> None:
    """Two seconds where the sheet says nothing: common practice."""
    start = {**GATE["inputs"]["start"], "max_pulse_s": longest}
    gate = {"gate": {**GATE, "inputs": {"start": start}}}
    finding = _ruled(
        {"never": "held on a start input"},
        {"kind": "pulse", "for_s": for_s, "works": "gate.start"},
        devices=gate,
    )

    assert LONGEST_PULSE_S == 2.0
    assert (finding.verdict, finding.limit) == (verdict, longest or 2.0)
    assert finding.margin == pytest.approx((longest or 2.0) - for_s)


@pytest.mark.parametrize(
    ("within", "allowed", "by", "verdict", "value"),
    [
        (3600.0, 3600.0, "slot", HOLDS, 3600.0),
        (3601.0, 3600.0, "slot", FAILS, 3601.0),
        (None, 3600.0, "slot", UNKNOWN, 360.0),
        (None, 359.0, "slot", FAILS, 360.0),
        (300.0, 359.0, "slot", FAILS, 360.0),
        (300.0, 360.0, "slot", HOLDS, 300.0),
        (3600.0, 3600.0, None, UNKNOWN, 3600.0),
        (3600.0, 3600.0, "fob in hand", FAILS, None),
    ],
)
def test_a_lost_fob_is_deleted_in_time(
    within: float | None, allowed: float, by: str | None, verdict: Verdict, value: float | None
) -> None:
    """What is agreed and the six minutes of work at a receiver both have to fit."""
    finding = _ruled(
        {"never": "lost fob known longer than", "for_s": allowed},
        OPENS,
        register={"delete_within_s": within},
        receiver={"deletes_by": by},
    )

    assert (finding.verdict, finding.value) == (verdict, value)


@pytest.mark.parametrize(("takes", "value"), [(None, 360.0), (180.0, 180.0), (59.0, 30.0)])
def test_the_work_of_one_deletion_is_what_the_job_says_it_is(takes: float | None, value: float) -> None:
    """Six minutes where nobody said; a minute is too short for it, and what can be had is told."""
    finding = _ruled(
        {"never": "lost fob known longer than", "for_s": 60.0},
        OPENS,
        register={"delete_within_s": 30.0, "delete_takes_s": takes},
        receiver={"deletes_by": "slot"},
    )

    assert (finding.verdict, finding.value) == (FAILS if value > 60.0 else HOLDS, value)
    assert bool(finding.remedies) is (value > 60.0)


@pytest.mark.parametrize(("by_hand", "verdict"), [(None, UNKNOWN), (True, HOLDS), (False, FAILS)])
def test_a_way_out_that_nobody_tried_stops_until_somebody_has(by_hand: bool | None, verdict: Verdict) -> None:
    """The question is one sentence for the customer; the cure is a way out by hand."""
    finding = _ruled(
        {"never": "needed to leave"}, OPENS, devices={"gate": {**GATE, "opens_by_hand": by_hand}}
    )

    assert (finding.verdict, finding.halts) == (verdict, verdict is UNKNOWN)
    assert all(len(ask.says) < 130 for ask in finding.asks)
    assert ("opens by hand at all times" in finding.remedies[0].does) if verdict is FAILS else True


@pytest.mark.parametrize(
    ("rule", "output", "verdict"),
    [
        ({"never": "on longer than", "for_s": 1.0}, OPENS, THIN),
        ({"never": "toggles"}, {"kind": "toggle", "works": "lamp.on"}, THIN),
        ({"never": "needed to leave"}, {"kind": "pulse", "for_s": 3.0, "works": "strike.release"}, FAILS),
    ],
)
def test_a_signature_accepts_what_may_be_accepted(
    rule: dict[str, Any], output: dict[str, Any], verdict: Verdict
) -> None:
    """A door that does not open by hand from inside is nobody's to accept."""
    shut = {"strike": {**STRIKE, "opens_by_hand": False}}
    finding = _ruled({**rule, "signed": SIGNED}, output, devices=shut)

    assert finding.verdict is verdict
    assert finding.bars is (verdict is FAILS)
    assert (SIGNED in finding.because) is (verdict is THIN)
    assert _ruled(rule, output, devices=shut).verdict is FAILS


def test_the_number_of_a_rule_belongs_to_what_a_finding_is() -> None:
    """Two equal rules are two findings."""
    rule = {"never": "toggles", "of": ("f1",)}
    findings = list(built.judge(a_case({"1": OPENS}, rules=(rule, rule))))

    assert len({finding.identity for finding in findings}) == 2
    assert [RuleRef(str(number)) in finding.subjects for number, finding in enumerate(findings, 1)] == [
        True,
        True,
    ]
    assert findings[0].cause == OutputRef("house/R1/1")


@pytest.mark.parametrize("check", CHECK_OF.values(), ids=lambda check: check.code)
def test_a_ruling_has_the_word_of_its_finding(check: Any) -> None:
    """What the search is told of a ruling is what its check makes of it, with questions and without."""
    rulings = [Ruling(answer, "so") for answer in Answer]
    if check.bound is AT_MOST:
        rulings += [Ruling(None, "so", value=value, limit=2.0) for value in (1.0, 1.9, 2.0, 2.1, None)]
    for ruling in (*rulings, Ruling(Answer.YES, "so", asks=("?",)), Ruling(Answer.NO, "so", asks=("?",))):
        case = a_case({"1": OPENS}, rules=({"never": "toggles", "of": ("f1",)},))
        finding = built.finding_of(built.Ruled(1, case.job.rules[0], check, ruling))

        assert finding.verdict is ruling.word(check)


def test_a_result_of_the_search_becomes_a_finding_here_alone() -> None:
    """With its press, and with what it is about where no rule of the job is."""
    result = RuleResult(
        None, "", "R1 input 1", FAILS, "so", code="RULE-17", kind="acknowledgement", functions=("f1",)
    )
    finding = finding_of(result)

    assert (finding.verdict, finding.about) == (FAILS, "R1 input 1")
    assert set(finding.subjects) == {FunctionRef("f1"), RuleRef("always acknowledgement")}
    assert "lamp or a short sound" in finding.remedies[0].does


@pytest.mark.parametrize(("for_s", "says"), [(0.5, "a pulse of 500 ms only"), (2.5, "holds gate.open")])
def test_a_start_input_is_held_by_a_pulse_longer_than_it_takes(for_s: float, says: str) -> None:
    """Two seconds where its sheet says nothing: common practice."""
    assert says in _ruled({"never": "held on a start input"}, {**OPENS, "for_s": for_s}).says


def test_a_toggle_that_loses_one_press_in_twenty_is_told_after_twenty() -> None:
    """(1 - 0.9^20) / 2 = 44 % of the times an odd number of twenty presses was not heard."""
    finding = _ruled({"never": "state out of step"}, {"kind": "toggle", "works": "siren.on"})

    assert "if 95% of presses are heard, after 20 presses belief and state differ in 44%" in finding.says
    assert finding.value == pytest.approx((1.0 - 0.9**20) / 2.0)


def test_searches_while_judging_are_bounded(monkeypatch: pytest.MonkeyPatch) -> None:
    """100 000 states in one search, 600 000 in all of them: about a second of a plain machine, our choice;
    what is larger is searched by hand, with a button of the desk or a command.
    """
    asked: list[dict[str, Any]] = []
    monkeypatch.setattr(searched, "rehearse", lambda case, **more: asked.append(more) or [])
    list(searched.judge(a_case({"1": OPENS}, rules=({"never": "both on", "of": ("f1", "f1")},))))

    assert [(more["budget"], more["together"]) for more in asked] == [(100_000, 600_000)]


@pytest.mark.parametrize(("lockout_s", "verdict"), [(3.0, HOLDS), (3.1, HOLDS), (2.9, FAILS), (None, FAILS)])
def test_an_input_that_takes_no_command_for_so_long_needs_no_second_press(
    lockout_s: float | None, verdict: Verdict
) -> None:
    """Three seconds are wanted."""
    start = {**GATE["inputs"]["start"], "lockout_s": lockout_s}
    finding = _ruled(
        {"never": "second press within", "for_s": 3.0},
        {"kind": "pulse", "for_s": 0.5, "works": "gate.start"},
        devices={"gate": {**GATE, "inputs": {"start": start}}},
    )

    assert finding.verdict is verdict
    if lockout_s is not None:
        assert (f"it takes no command for {lockout_s:g} s" in finding.says) is (verdict is HOLDS)


@pytest.mark.parametrize(("allowed", "verdict"), [(719.0, FAILS), (720.0, UNKNOWN)])
def test_a_fob_is_deleted_at_each_of_its_receivers(allowed: float, verdict: Verdict) -> None:
    """Six minutes at each of two; how soon somebody goes there is asked where the work alone would fit."""
    rule = {"never": "lost fob known longer than", "for_s": allowed}

    assert _ruled(rule, OPENS, premises=("home", "branch")).verdict is verdict


def test_a_rule_that_is_looked_at_keeps_its_own_words() -> None:
    """The first and the second of a job are two."""
    rules = ({"never": "toggles", "of": ("f1",)}, {"never": "on longer than", "of": ("f1",), "for_s": 3.0})
    case = a_case({"1": {**LIGHTS, "for_s": 2.0}}, rules=rules)

    for number, rule in enumerate(rules, start=1):
        (result,) = every._seen(case, number)
        assert (result.number, result.never, result.verdict) == (number, rule["never"], HOLDS)
