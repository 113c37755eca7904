"""What the job says of a thing decides, whatever a model makes of it; and names of who left, day by day."""

from __future__ import annotations

from typing import Any

import pytest

from farpress.case.case import Case
from farpress.domain.finding import Finding, Verdict
from farpress.domain.job import Person
from farpress.judging.device.safeguards import judge_safeguards
from farpress.judging.output.power_return import judge_power_return
from farpress.judging.rules import built, searched
from helpers.findings import finding_of
from helpers.logic_case import SHUTTER, a_case

HOLDS, OPEN, FAILS = Verdict.HOLDS, Verdict.UNKNOWN, Verdict.FAILS
DAY_S = 86_400.0
BOLLARD: dict[str, Any] = {
    "device": "bollard",
    "closes_after_s": 15.0,
    "safeguards": ("loop",),
    "safeguards_tested": True,
    "people_pass": False,
    "inputs": {"down": {"logic": "down", "wants": "pulse", "min_pulse_s": 1.0}},
}
DOWN: dict[str, Any] = {"1": {"kind": "pulse", "for_s": 1.5, "works": "post.down"}}
SHUT_BY_ITSELF: dict[str, Any] = {**SHUTTER, "closes_after_s": 60.0, "safeguards": ()}
UP: dict[str, Any] = {"1": {"kind": "follow", "works": "shutter.up"}}


def _ruled(rule: dict[str, Any], outputs: dict[str, Any], **more: Any) -> list[Finding]:
    return list(searched.judge(a_case(outputs, rules=(rule,), **more)))


@pytest.mark.parametrize(("closes_after_s", "verdict"), [(60.0, FAILS), (None, HOLDS)])
def test_rule_13_a_shutter_that_comes_down_by_itself_closes(
    closes_after_s: float | None, verdict: Verdict
) -> None:
    """The press raises it; what shuts it is time."""
    sheet = {**SHUT_BY_ITSELF, "closes_after_s": closes_after_s}
    rule = {"never": "closes while occupied", "of": ("f1",)}

    assert finding_of(_ruled(rule, UP, devices={"shutter": sheet}), "RULE-13").verdict is verdict


@pytest.mark.parametrize(("closes_after_s", "judged"), [(15.0, True), (None, False)])
def test_dev_03_a_bollard_that_rises_by_itself_is_judged(closes_after_s: float | None, judged: bool) -> None:
    """Lowered by a fob, it shuts the way by time."""
    found = list(
        judge_safeguards(a_case(DOWN, devices={"post": {**BOLLARD, "closes_after_s": closes_after_s}}))
    )

    assert [one.code for one in found] == (["DEV-03"] if judged else [])


@pytest.mark.parametrize(("tested", "verdict"), [(True, HOLDS), (False, FAILS), (None, OPEN)])
def test_dev_03_a_loop_that_did_not_work_counts_for_nothing(tested: bool | None, verdict: Verdict) -> None:
    """Also where nobody said whether people pass: what is known to be bad is not hidden by a question."""
    post = {**BOLLARD, "safeguards_tested": tested}
    assert finding_of(judge_safeguards(a_case(DOWN, devices={"post": post})), "DEV-03").verdict is verdict
    unsaid = finding_of(
        judge_safeguards(a_case(DOWN, devices={"post": {**post, "people_pass": None}})), "DEV-03"
    )
    assert unsaid.verdict is (FAILS if tested is False else OPEN)


@pytest.mark.parametrize(("goes_on", "verdict"), [(True, FAILS), (False, HOLDS), (None, HOLDS)])
def test_out_04_what_closes_by_itself_once_the_power_is_back_fails(
    goes_on: bool | None, verdict: Verdict
) -> None:
    """Whatever the receiver does; where it is not known the rule asks."""
    case = a_case(DOWN, devices={"post": {**BOLLARD, "closes_after_power_return": goes_on}})
    found = finding_of(
        [one for output in case.outputs() for one in judge_power_return(case, output)], "OUT-04"
    )

    assert found.verdict is verdict
    assert ("begins to close by itself" in found.says) is (goes_on is True)


@pytest.mark.parametrize(
    ("goes_on", "for_s", "verdict"),
    [(True, 0.5, FAILS), (True, 1.5, FAILS), (None, 1.5, OPEN), (False, 1.5, HOLDS)],
)
def test_rule_02_no_search_overrules_what_is_said_of_the_drive(
    goes_on: bool | None, for_s: float, verdict: Verdict
) -> None:
    """Also where the pulse is too short for the input, so that the model has nothing that moves."""
    rule = {"never": "works after power return", "of": ("f1",)}
    devices = {"post": {**BOLLARD, "closes_after_power_return": goes_on}}
    found = _ruled(rule, {"1": {**DOWN["1"], "for_s": for_s}}, devices=devices)

    assert finding_of(found, "RULE-02").verdict is verdict


def test_rule_01_two_things_on_one_contact_are_on_together_at_every_press() -> None:
    """One contact for the two fails; the same rule about a single thing can never matter."""
    outputs = {"1": {"kind": "follow", "works": "shutter.up", "with_": ("lamp.on",)}}
    both = {"never": "both on", "of": ("shutter", "lamp")}
    assert finding_of(_ruled(both, outputs), "RULE-01").verdict is FAILS
    alone = {"never": "both on", "of": ("f1", "lamp")}
    assert finding_of(_ruled(alone, outputs), "RULE-15").verdict is OPEN


def _left(day: str | None, date: str | None, days: float) -> list[Finding]:
    case = a_case(
        UP,
        rules=({"never": "kept after leaving longer than", "for_s": days * DAY_S},),
        register={"leavers_deleted": True},
        details={"data_kept_by": "office", **({"date": date} if date else {})},
    )
    people = {"Ana": Person(left=day)}
    job = case.job.model_copy(update={"people": people})
    return list(built.judge(Case(job, case.equipment)))


@pytest.mark.parametrize(("days", "verdict"), [(89, FAILS), (90, HOLDS), (91, HOLDS)])
def test_rule_12_counts_the_days_since_each_left(days: int, verdict: Verdict) -> None:
    """Gone on 2026-11-20, as of 2027-02-18: 90 days, counted in a calendar."""
    found = finding_of(_left("2026-11-20", "2027-02-18", days), "RULE-12")

    assert found.verdict is verdict
    assert "90 days ago" in found.says
    assert ("1 day too long" in found.says) is (days == 89)


def test_rule_12_asks_for_the_day_that_is_missing_and_does_not_hold_without_it() -> None:
    """Missing is never better."""
    for left, date in (("2026-11-20", None), ("in autumn", "2027-02-18")):
        found = finding_of(_left(left, date, 90), "RULE-12")
        assert found.verdict is OPEN
        assert found.asks
    assert finding_of(_left(None, None, 90), "RULE-12").verdict is HOLDS
