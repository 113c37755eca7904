"""The proving plan, its results and what they prove."""

from __future__ import annotations

import math
from datetime import UTC, datetime
from itertools import groupby, pairwise
from pathlib import Path
from typing import Any

import pytest

from farpress.case.case import Case
from farpress.case.door import open_job
from farpress.case.evidence import with_evidence
from farpress.domain.cautions import CAUTIONS
from farpress.domain.event import Event, canonical
from farpress.errors import InputError
from farpress.proving.ask import (
    Proof,
    ProvingPlan,
    TrialEntry,
    enter,
    entries_from_csv,
    plan_csv,
    proof_of,
    proven_tests,
    proving_plan,
)
from farpress.reach.radio_link import Radio
from farpress.record.store import open_record
from helpers.logic_case import a_case
from helpers.radio_case import larkfen
from survey import ROOT

NOW = datetime(2026, 11, 25, 10, tzinfo=UTC)


@pytest.fixture(scope="module")
def house() -> Case:
    """The house of the examples."""
    return open_job(ROOT / "examples" / "larkfen-house")


@pytest.fixture(scope="module")
def plan(house: Case) -> ProvingPlan:
    """Its plan."""
    return proving_plan(house)


def _event(kind: str, number: int, **body: Any) -> Event:
    return Event(
        "x",
        number,
        "Larkfen House",
        f"2026-11-25T10:00:{number:02d}.000000Z",
        "installer",
        kind,
        canonical(body),
    )


def _presses(test: str, *rows: tuple[int, int] | tuple[int, int, float], **more: Any) -> list[Event]:
    return [
        _event(
            "trial done",
            number,
            test=test,
            heard=row[0],
            presses=row[1],
            pad_db=row[2] if len(row) == 3 else 0.0,
            **more,
        )
        for number, row in enumerate(rows, start=1)
    ]


def _of(plan: ProvingPlan, head: str) -> Any:
    return next(one for one in plan.tests if one.id.startswith(head))


def test_every_promise_output_and_rule_has_a_test(house: Case, plan: ProvingPlan) -> None:
    """Nothing promised goes untried; ids are unlike each other."""
    promised = {name for one in plan.tests for name in one.promises}
    outputs = {path for one in plan.tests if one.required for path in one.outputs}

    assert promised == {f"{one.to}: {one.function} from {one.from_}" for one in house.job.promises}
    assert outputs == {at.path for at in house.outputs()}
    assert len({one.id for one in plan.tests}) == len(plan.tests)
    assert len({one.number for one in plan.tests}) == len(plan.tests)
    for head in (
        "works:",
        "power cut:",
        "pair: larkfen/R3/1",
        "held press:",
        "travel:",
        "volts lost: wicket",
        "loop:",
        "low cell:",
        "rule: the water is never toggled",
        "call:",
    ):
        assert any(one.id.startswith(head) for one in plan.tests), head


def test_the_plan_walks_on_to_the_nearest_place(house: Case, plan: ProvingPlan) -> None:
    """All at one place together, no place twice; the way is shorter than in the order of the promises."""

    def way(places: list[str]) -> float:
        spots = [house.job.premises["larkfen"].places[place.split("/")[1]].at for place in places]
        return sum(math.dist(a[:2], b[:2]) for a, b in pairwise(spots))

    walked = [place for place, _ in groupby(one.place for one in plan.tests if one.place)]
    promised = list(dict.fromkeys(f"larkfen/{one.from_}" for one in house.job.promises))

    assert len(walked) == len(set(walked)) == len(promised)
    assert way(walked) < 0.75 * way(promised)


def test_numbers_of_presses_follow_from_the_promise(plan: ProvingPlan) -> None:
    """95 % within two presses: 22.4 % of single presses may be lost, 12 without a failure show it; 99 %: 10
    %, 29.
    """
    usual, strict = (_of(plan, head).presses for head in ("reach: larkfen/street", "reach: larkfen/bathroom"))

    assert usual.failure_share == pytest.approx(0.05**0.5)
    assert (usual.fixed, usual.sequential.first_accept) == (12, 14)
    assert strict.failure_share == pytest.approx(0.1, abs=1e-9)
    assert strict.fixed == 29
    assert strict.pad_presses < strict.fixed


def test_a_plan_proves_what_it_says(plan: ProvingPlan) -> None:
    """Fourteen heard in a row accept; with one lost it goes on; four of six lost refuse."""
    test = _of(plan, "reach: larkfen/gate car to larkfen/R1")
    rows = {"good": [(14, 14)], "one lost": [(13, 14)], "bad": [(2, 6)], "pad": [(4, 4, 6.0)]}
    found = {
        name: next(one for one in proven_tests(plan, _presses(test.id, *some)) if one.test is test)
        for name, some in rows.items()
    }  # type: ignore[arg-type]

    assert found["good"].proof is Proof.PROVEN
    assert found["one lost"].proof is Proof.STARTED
    assert found["one lost"].more_presses > 0
    assert found["bad"].proof is Proof.REFUTED
    assert found["pad"].proof is Proof.PROVEN
    assert found["good"].predicted.endswith("of presses")
    assert found["bad"].kept_chance is not None
    assert found["good"].kept_chance is not None
    assert found["bad"].kept_chance < 0.2 < found["good"].kept_chance


def test_exact_limits_stand_beside_a_fixed_plan_only(house: Case) -> None:
    """After early stopping they are not valid, so none are given."""
    for method, limits in (("fixed", True), ("sequential", False)):
        plan = proving_plan(house, method=method)  # type: ignore[arg-type]
        test = _of(plan, "reach: larkfen/street")
        shown = next(one for one in proven_tests(plan, _presses(test.id, (12, 12))) if one.test is test)
        assert (shown.high_share is not None) is limits
        assert (shown.proof is Proof.PROVEN) is limits


def test_a_second_sending_counts_once_and_mending_begins_anew(plan: ProvingPlan) -> None:
    """The phone's id is known already; after a repair earlier presses do not count."""
    test = _of(plan, "reach: larkfen/street")
    twice = [*_presses(test.id, (7, 7), client_id="a"), *_presses(test.id, (7, 7), client_id="a")]
    mended = [
        *_presses(test.id, (1, 6)),
        _event("trial done", 2, test=test.id, heard=14, presses=14, pad_db=0.0, anew=True),
    ]

    assert next(one for one in proven_tests(plan, twice) if one.test is test).tries == 7
    assert next(one for one in proven_tests(plan, mended) if one.test is test).proof is Proof.PROVEN


def test_an_output_stays_not_proven_until_everything_is_there(house: Case, plan: ProvingPlan) -> None:
    """The prediction alone proves nothing; the last missing test makes it proven; one failed check refutes
    it.
    """
    path = "larkfen/R2/1"
    own = [one for one in plan.tests if path in one.outputs and one.required]
    events: list[Event] = []
    assert proof_of(house, [], plan=plan)[path].proof is Proof.NOT_PROVEN
    assert "not proven" in proof_of(house, [], plan=plan)[path].says
    for number, one in enumerate(own):
        assert proof_of(house, events, plan=plan)[path].proof is not Proof.PROVEN
        if one.kind == "presses":
            events += _presses(one.id, (30, 30))
        elif one.kind == "check":
            events.append(_event("check done", number, test=one.id, passed=True))
        else:
            events.append(
                _event(
                    "reading taken",
                    number,
                    test=one.id,
                    value=one.predicted,
                    unit=one.unit,
                    what="volts",
                    where="x",
                )
            )
    done = proof_of(house, events, plan=plan)[path]
    assert done.proof is Proof.PROVEN
    assert done.says == "proven"
    assert done.promises == {
        "parents: garage from drive": Proof.PROVEN,
        "parents: garage from street": Proof.NOT_PROVEN,
    }, "a promise that only should be kept does not hold up the output"
    broken = proof_of(
        house,
        [*events, _event("check done", 99, test=f"power cut: {path}", passed=False, found="the door moved")],
        plan=plan,
    )[path]
    assert broken.proof is Proof.REFUTED
    assert "power cut" in broken.says


def test_overtravel_and_held_press_get_numbers() -> None:
    """0.25 m/s for 0.5 s are 125 mm against 100; the fob gives up after 30 s, common practice."""
    case = a_case(
        {"1": {"kind": "follow", "works": "gate.close"}},
        devices={
            "gate": {
                "device": "sliding gate",
                "travel_s": 20.0,
                "speed_m_per_s": 0.25,
                "stops_after_s": 0.1,
                "inputs": {"close": {"logic": "close", "wants": "maintained"}},
            }
        },
        promises=({"to": "pair", "function": "f1", "from": "here"},),
    )
    plan = proving_plan(case)
    run_on, held = _of(plan, "overtravel:"), _of(plan, "held press:")

    assert run_on.predicted == pytest.approx(0.125)
    assert run_on.high == pytest.approx(0.1)
    assert run_on.who == "competent person"
    assert "Local codes" in run_on.caution
    assert held.predicted == pytest.approx(30.0)
    assert "common practice" in held.because
    found = proven_tests(
        plan, [_event("reading taken", 1, test=run_on.id, value=0.12, unit="m", what="metres", where="x")]
    )
    assert next(one for one in found if one.test is run_on).proof is Proof.REFUTED


def test_cautions_of_call_and_escape_stand_where_the_job_has_them(plan: ProvingPlan) -> None:
    """The house has a call; a case with an escape door has that one."""
    escape = proving_plan(
        a_case(
            {"1": {"kind": "pulse", "for_s": 4.0, "works": "strike.release"}},
            devices={
                "strike": {
                    "device": "strike",
                    "escape_route": True,
                    "opens_by_hand": True,
                    "inputs": {"release": {"logic": "release"}},
                }
            },
        )
    )

    assert any(CAUTIONS["call for help"] in text for text in plan.cautions)
    assert any(CAUTIONS["escape"] in text for text in escape.cautions)
    assert not any(CAUTIONS["escape"] in text for text in plan.cautions)
    assert any(one.id.startswith("escape") for one in escape.tests)


def _ohm_test(plan: ProvingPlan) -> str:
    """A measurement of a resistance, which is never below zero."""
    return next(test.id for test in plan.tests if test.unit == "ohm")


def test_results_are_written_all_or_none(tmp_path: Path, plan: ProvingPlan) -> None:
    """One wrong row, and nothing is there; each fault is told with its row."""
    with open_record(tmp_path) as record:
        with pytest.raises(InputError) as told:
            enter(
                record,
                plan,
                [
                    TrialEntry("P01", 12, 12, row=2),
                    TrialEntry("P02", 12, 13, row=3),
                    TrialEntry("P99", 1, 1, row=4),
                    TrialEntry("C01", row=5),
                    TrialEntry("M01", row=6),
                    TrialEntry("P01", 4, 4, pad_db=-1.0, row=7),
                    TrialEntry(_ohm_test(plan), value=-75.0, row=8),
                ],
                by="installer",
            )
        assert record.events() == ()
        assert all(f"row {row}" in str(told.value) for row in (3, 4, 5, 6, 7, 8))
        assert "row 2" not in str(told.value)
        written = enter(
            record,
            plan,
            [TrialEntry("p1", 12, 12, client_id="z"), TrialEntry("C01", passed=True)],
            by="installer",
        )
        assert [event.kind for event in written] == ["trial done", "check done"]
        assert enter(record, plan, [TrialEntry("P01", 12, 12, client_id="z")], by="installer") == ()


def test_a_filled_in_table_comes_back(plan: ProvingPlan) -> None:
    """Semicolons and decimal commas as a spreadsheet writes them; empty rows are left out; slips are told by
    row.
    """
    lines = plan_csv(plan).lstrip("\ufeff").splitlines()
    assert lines[0].startswith("test,about,does")
    assert len(lines) == len(plan.tests) + 1
    text = "test;presses;heard;passed;value\nP01;12;12;;\nM01;;;;1,35\nC01;;;yes;\nP02;;;;\n"
    entries = entries_from_csv(text)
    assert [(one.test, one.heard, one.value, one.passed) for one in entries] == [
        ("P01", 12, None, None),
        ("M01", None, 1.35, None),
        ("C01", None, None, True),
    ]
    with pytest.raises(InputError) as told:
        entries_from_csv("test,presses,heard,passed\nP01,twelve,12,\nC01,,,perhaps\nP02,12,3.5,\n")
    assert all(f"row {row}" in str(told.value) for row in (2, 3, 4))
    for bad in ("", "presses,heard\n1,1\n"):
        with pytest.raises(InputError):
            entries_from_csv(bad)


def test_levels_of_the_record_join_the_calibration_of_reach() -> None:
    """A level 10 dB below the prediction, entered at one place, lowers the prediction at another."""
    case = larkfen()
    event = _event(
        "reading taken",
        1,
        what="level",
        where="place:larkfen/wicket",
        receiver="larkfen/R1",
        value=-95.0,
        unit="dBm",
        held="in hand",
    )
    with_it = with_evidence(
        case,
        [
            event,
            _event(
                "trial done",
                2,
                test="x",
                place="larkfen/street",
                receiver="larkfen/R1",
                presses=8,
                heard=5,
                pad_db=0.0,
            ),
            _event(
                "reading taken",
                3,
                what="level",
                where="place:larkfen/nowhere",
                receiver="larkfen/R1",
                value=-50.0,
                unit="dBm",
            ),
        ],
    )

    def level(one: Case) -> float:
        place = one.job.premises["larkfen"].places["street"]
        return (
            Radio(one)
            .link(group="family", premises="larkfen", receiver="R1", place=place, place_path="larkfen/street")
            .level_dbm
            or 0.0
        )

    assert len(with_it.job.readings) == len(case.job.readings) + 2
    assert level(with_it) < level(case) - 1.0
    assert with_it.job.readings[-1].of == 8
    assert with_evidence(case, []) is case


@pytest.mark.parametrize(
    "bad", [{"confidence": 1.0}, {"confidence": 95.0}, {"method": "guess"}, {"premises": "nowhere"}]
)
def test_a_plan_that_makes_no_sense_is_refused(house: Case, bad: dict[str, Any]) -> None:
    """95 is not 0.95."""
    with pytest.raises(InputError):
        proving_plan(house, **bad)


def test_a_job_without_promises_still_gets_checks() -> None:
    """Outputs are tried, nothing is counted."""
    plan = proving_plan(a_case({"1": {"kind": "pulse", "for_s": 0.5, "works": "gate.open"}}))

    assert {one.kind for one in plan.tests} == {"check"}
    assert plan.minutes > 0


def test_what_is_lost_without_a_pad_is_not_made_up_for_through_one(plan: ProvingPlan) -> None:
    """Two of ten heard without a pad, all of four through six decibels: refuted, whatever the pad says."""
    test = next(test for test in plan.tests if test.kind == "presses" and test.presses is not None)
    assert test.presses is not None
    through = {"pad_db": test.presses.pad_db, "heard": 60, "presses": 60}
    rows = [through, {"heard": 2, "presses": 10}]
    events = [_event("trial done", n, test=test.id, **row) for n, row in enumerate(rows, 1)]
    (alone,) = (proof for proof in proven_tests(plan, events[:1]) if proof.test.id == test.id)
    (both,) = (proof for proof in proven_tests(plan, events) if proof.test.id == test.id)

    assert alone.proof is Proof.PROVEN
    assert both.proof is Proof.REFUTED
    assert "8 of 10 lost without a pad" in both.says


def test_an_interval_stands_beside_what_was_heard(house: Case) -> None:
    """Of a number of presses that was chosen before: 12 of 14, as statsmodels has it."""
    from statsmodels.stats.proportion import proportion_confint

    fixed = proving_plan(house, method="fixed")
    test = next(test for test in fixed.tests if test.kind == "presses")
    event = _event("trial done", 1, test=test.id, heard=12, presses=14)
    (proof,) = (proof for proof in proven_tests(fixed, [event]) if proof.test.id == test.id)
    low, high = proportion_confint(12, 14, alpha=0.05, method="beta")

    assert proof.measured == f"12 of 14 ({low:.0%} to {high:.0%})"
    assert proof.predicted
