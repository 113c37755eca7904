"""Rules judged once: the search's verdict counts, its story is the why, what it cannot settle is left as it
was.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from farpress.case.case import Case
from farpress.case.door import open_job
from farpress.domain.finding import Finding, Verdict
from farpress.domain.parts import Part, RelaySheet
from farpress.judging.assess import assess
from farpress.judging.rules import built as rules
from farpress.judging.rules import searched as rules_searched
from farpress.rehearsal.rules import rehearse
from helpers.logic_case import GATE, SHUTTER, a_case
from helpers.project import EXAMPLES
from helpers.rehearsal_jobs import JOBS, job_of

PULSE = {"kind": "pulse", "for_s": 0.5}
PAIR = {"1": {"kind": "follow", "works": "shutter.up"}, "2": {"kind": "follow", "works": "shutter.down"}}
LOCKED = {
    "1": {**PAIR["1"], "interlock": "2", "interlock_pause_s": 0.6},
    "2": {**PAIR["2"], "interlock": "1", "interlock_pause_s": 0.6},
}


def _judged(case: Case) -> list[Finding]:
    return [one for one in rules_searched.judge(case) if one.code != "RULE-17"]


@pytest.mark.parametrize("name", JOBS)
def test_every_rule_that_can_be_broken_fails_with_its_story(name: str) -> None:
    """Planted faults fail and tell the story; sound jobs hold, by proof."""
    found = _judged(job_of(name))

    if JOBS[name][2]:
        worst = next(one for one in found if one.verdict is Verdict.FAILS)
        assert "The shortest story: 0 s: " in worst.because or "A press story" in worst.says
    else:
        assert all(one.verdict is Verdict.HOLDS for one in found)
        assert all("to the end" in one.because + one.says for one in found)


@pytest.mark.parametrize(
    "folder", sorted(path.parent for path in EXAMPLES.glob("*/job.yaml")), ids=lambda path: path.name
)
def test_nothing_is_judged_twice_and_no_rule_is_lost(folder: Path) -> None:
    """Same rules and things as seen from how they are built, each once; and the acknowledgement."""
    case = open_job(folder)
    seen, both = [one.key for one in rules.judge(case)], list(rules_searched.judge(case))
    keys = [one.key for one in both]

    assert len(set(keys)) == len(keys)
    assert [key for key in keys if key in set(seen)] == seen
    assert {one.code for one in both if one.key not in set(seen)} <= {"RULE-17"}


def test_what_only_the_search_finds_is_a_finding_that_fails() -> None:
    """A stop button beside an open-only input lets timed closing begin: nothing one sees in either input
    alone.
    """
    gate = GATE | {"safeguards": (), "closes_after_s": 4.0, "travel_s": 6.0}
    case = a_case(
        {"1": {**PULSE, "works": "gate.open"}},
        devices={"gate": gate},
        rules=({"never": "closes while occupied", "of": ("f1",)},),
    )
    (found,) = _judged(case)

    assert found.verdict is Verdict.FAILS
    assert "The shortest story: 0 s: f1 pressed by pair" in found.because


def test_a_proof_ends_a_doubt_and_takes_its_remedies_away() -> None:
    """Two outputs that nothing seen keeps apart, but whose drive does."""
    shutter = {"shutter": {**SHUTTER, "interlocked": True}}
    (found,) = _judged(a_case(PAIR, devices=shutter, rules=({"never": "both on", "of": ("f1", "f2")},)))

    assert found.verdict is Verdict.HOLDS
    assert "Searched through every press story to the end" in found.because


def test_remedies_and_numbers_stay_where_both_agree() -> None:
    """The story is the why; what to do about it is known from how it is built."""
    (found,) = _judged(a_case(PAIR, rules=({"never": "both on", "of": ("f1", "f2")},)))

    assert found.verdict is Verdict.FAILS
    assert found.remedies
    assert found.because.startswith(
        "The shortest story: 0 s: f1 pressed by pair, and held; 0 s: f2 pressed by pair, and held; 0 s: both"
        " are on together."
    )


def test_a_signed_rule_stays_accepted() -> None:
    """Broken with the customer's name under it: thin, with the story."""
    (found,) = _judged(
        a_case(PAIR, rules=({"never": "both on", "of": ("f1", "f2"), "signed": "Ana, 2026-11-02"},))
    )

    assert found.verdict is Verdict.THIN
    assert "Accepted: Ana, 2026-11-02" in found.because
    assert "shortest story" in found.because


def test_a_search_too_large_for_judging_leaves_what_is_seen_and_says_so(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """With a budget of three states the interlock is judged from how it is built."""
    monkeypatch.setattr(rules_searched, "STATES", 3)
    (found,) = _judged(a_case(LOCKED, rules=({"never": "both on", "of": ("f1", "f2")},)))

    assert found.verdict is Verdict.HOLDS
    assert "farpress rehearsal" in found.because
    assert "to the end" not in found.because


def test_the_same_result_is_kept_and_another_job_gets_its_own(monkeypatch: pytest.MonkeyPatch) -> None:
    """A second judgement searches nothing; a changed pause is searched anew: with the power of all, and with
    each supply by itself.
    """
    from farpress.rehearsal import search as rehearsal_search

    searched: list[str] = []
    real = rehearsal_search._both_ways

    def watched(case, check, *rest):
        searched.append(check.about)
        return real(case, check, *rest)

    monkeypatch.setattr(rehearsal_search, "_both_ways", watched)
    rehearsal_search.SEARCHES.forget()
    rule = ({"never": "both on", "of": ("f1", "f2")},)
    first = rehearse(a_case(LOCKED, rules=rule), rules=(1,))
    again = rehearse(a_case(LOCKED, rules=rule), rules=(1,))
    other = rehearse(
        a_case(
            {"1": {**LOCKED["1"], "interlock_pause_s": 0.8}, "2": {**LOCKED["2"], "interlock_pause_s": 0.8}},
            rules=rule,
        ),
        rules=(1,),
    )

    assert first == again
    assert len(searched) == 2 * 2
    assert other[0].states != first[0].states


def test_relays_interlocked_by_wiring_are_in_the_model() -> None:
    """Each relay fed through the other's break contact: searched, and proved."""
    outputs = {number: {**output, "via": "pair relay"} for number, output in PAIR.items()}
    case = a_case(outputs, rules=({"never": "both on", "of": ("f1", "f2")},))
    relay = Part("pair relay", "", RelaySheet(interlocked=True))
    case = replace(case, equipment=replace(case.equipment, relays={"pair relay": relay}))
    (found,) = _judged(case)

    assert found.verdict is Verdict.HOLDS
    assert "Searched through every press story" in found.because


def test_a_lock_out_of_the_input_swallows_a_second_press() -> None:
    """Longer than the rule's time: proved; shorter: broken after it."""

    def verdict(lockout_s: float) -> Verdict:
        inputs = {"start": {**GATE["inputs"]["start"], "lockout_s": lockout_s}}
        case = a_case(
            {"1": {**PULSE, "works": "gate.start"}},
            devices={"gate": GATE | {"inputs": inputs}},
            rules=({"never": "second press within", "of": ("f1",), "for_s": 3.0},),
        )
        return rehearse(case, rules=(1,))[0].verdict

    assert verdict(4.0) is Verdict.HOLDS
    assert verdict(2.0) is Verdict.FAILS


@pytest.mark.long
def test_an_assessment_is_equal_whether_the_search_was_kept_or_not(monkeypatch: pytest.MonkeyPatch) -> None:
    """Kept results change the time, never a word."""
    from farpress.rehearsal import search as rehearsal_search

    case = open_job(EXAMPLES / "tallowmere-court")
    kept = assess(case)
    rehearsal_search.SEARCHES.forget()

    assert assess(case) == kept


def test_what_has_to_be_asked_stays_open_beside_a_story() -> None:
    """From where it is pressed is not promised: the story that radio reaches further does not answer that."""
    (found,) = _judged(
        a_case(
            {"1": {**PULSE, "works": "gate.start"}}, rules=({"never": "works without sight", "of": ("f1",)},)
        )
    )

    assert found.verdict is Verdict.UNKNOWN
    assert "Write the places" in found.because
    assert "from where gate is not seen" in found.because


@pytest.mark.parametrize("silent", ["up", "down"])
def test_an_input_that_nobody_describes_proves_nothing(silent: str) -> None:
    """The motor of a model without its other direction would never run both ways; the relays still close."""
    inputs = {"up": {"logic": "up", "wants": "maintained"}, "down": {"logic": "down", "wants": "maintained"}}
    sheet = {**SHUTTER, "inputs": {**inputs, silent: {"wants": "maintained"}}}
    rule = {"never": "both on", "of": ("f1", "f2")}

    found = _judged(a_case(PAIR, rules=(rule,), devices={"shutter": sheet}))

    assert [one.verdict for one in found if one.code == "RULE-01"] == [Verdict.FAILS]
