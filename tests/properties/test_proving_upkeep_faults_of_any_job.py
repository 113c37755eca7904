"""Jobs with holes in them: plan, proof, due list, calendar and all 35 hunts come out, never a traceback."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

import pytest

from farpress.case.case import Case
from farpress.catalogue.faults import load_faults
from farpress.domain.register import FobRegister
from farpress.faults.ask import open_hunt
from farpress.judging.assess import assess
from farpress.proving.ask import entries_from_csv, plan_csv, proof_of, proven_tests, proving_plan
from farpress.upkeep.ask import cell_orders, cells_ahead, due_calendar, due_list, visits
from helpers.logic_case import a_case
from helpers.wired_case import wired_case

TODAY = date(2026, 11, 25)
OPEN = {"kind": "pulse", "for_s": 0.5, "works": "gate.open"}
NOTHING = {"telegram_s": None, "repeat_s": None, "cut_off_s": None, "current_send_a": None}
JOBS: dict[str, Callable[[], Case]] = {
    "no outputs": lambda: a_case({}),
    "a gate of which nothing is known": lambda: a_case(
        {"1": {"kind": "toggle", "works": "gate.start"}}, devices={"gate": {}}
    ),
    "an output that works nothing": lambda: a_case({"1": {"kind": "pulse", "for_s": 1.0}}),
    "a device that is not there": lambda: a_case({"1": {"kind": "follow", "works": "ghost.on"}}),
    "a fob of which nothing is known": lambda: a_case(
        {
            "1": {"kind": "follow", "works": "shutter.up"},
            "2": {"kind": "follow", "works": "shutter.down", "interlock": "1"},
        },
        fob=NOTHING,
        devices={"shutter": {"device": "shutter"}},
    ),
    "promises that cannot be kept": lambda: a_case(
        {"1": OPEN},
        promises=(
            {"to": "pair", "function": "f1", "from": "here", "at_least_share": 1.0, "within_presses": 1.0},
            {"to": "nobody", "function": "f1", "from": "here"},
            {"to": "pair", "function": "fx", "from": "moon"},
        ),
    ),
    "a promise from other premises": lambda: a_case(
        {"1": OPEN}, premises=("a", "b"), promises=({"to": "pair", "function": "f1", "from": "a/here"},)
    ),
    "no receivers at all": lambda: wired_case({"receivers": {}, "places": {}}),
}


@pytest.mark.long
@pytest.mark.parametrize("name", JOBS)
def test_everything_comes_out(name: str) -> None:
    """Every test of the plan has a state, every task a date, every complaint a next step."""
    case = JOBS[name]()
    plan = proving_plan(case)
    assert [one.proof for one in proven_tests(plan, [])] == ["not proven"] * len(plan.tests)
    assert set(proof_of(case, [], plan=plan)) == {at.path for at in case.outputs()}
    assert entries_from_csv(plan_csv(plan)) == []
    due = due_list(case, FobRegister(), [], today=TODAY)
    assert due_calendar(case.job.job, due, visits(case, due)).startswith(b"BEGIN:VCALENDAR")
    assert cell_orders(case, cells_ahead(case, FobRegister(), [], today=TODAY), today=TODAY) is not None
    findings = assess(case).findings
    for complaint in load_faults().complaints.values():
        assert open_hunt(case, complaint, findings=findings, today=TODAY).step().says
