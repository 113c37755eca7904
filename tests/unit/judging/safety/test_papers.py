"""Papers that a job of its kind wants before it is handed over."""

from __future__ import annotations

from typing import Any

import pytest

from farpress.domain.finding import Stake, Verdict
from farpress.judging.safety import papers
from helpers.logic_case import a_case

PULSE: dict[str, Any] = {"kind": "pulse", "for_s": 1.0}


def wanted(works: str, kind: str | None = None, **more: Any) -> dict[str, Verdict]:
    """Name of each paper that is wanted of one output → its word."""
    case = a_case({"1": {**PULSE, "works": works}}, kinds={"1": kind} if kind else {}, **more)
    return {one.about.removeprefix("paper: "): one.verdict for one in papers.judge(case)}


ALWAYS = {"learning rule", "label list"}


@pytest.mark.parametrize(
    ("works", "kind", "names"),
    [
        ("lamp.on", None, set()),
        ("gate.open", None, {"machine assessment", "warning signs"}),
        ("panel.set", None, {"insurer"}),
        ("panel.set", "part set", {"insurer", "part set"}),
        ("siren.on", "call", {"call warning", "test log", "consent to calls"}),
    ],
)
def test_what_is_there_decides_which_papers_are_wanted(works: str, kind: str | None, names: set[str]) -> None:
    """Who may learn fobs and the list of labels are wanted always."""
    assert set(wanted(works, kind)) - {"mains work"} == ALWAYS | names


def test_a_paper_that_is_noted_holds_and_one_that_is_not_is_asked_for() -> None:
    """By its name under details; a duty, and no link of a promise."""
    said = wanted("gate.open", details={"papers": {"warning signs": "2027-03-01"}})

    assert said["warning signs"] is Verdict.HOLDS
    assert said["machine assessment"] is Verdict.UNKNOWN
    found = list(papers.judge(a_case({"1": {**PULSE, "works": "gate.open"}})))
    assert {one.stake for one in found} == {Stake.DUTY}
    assert all(len(one.asks) == 1 for one in found)


def test_an_escape_door_and_mains_want_theirs() -> None:
    """Each names the thing that it is for."""
    door = {"side door": {"device": "strike", "escape_route": True, "supply": "mains"}}
    case = a_case({"1": {**PULSE, "works": "side door.release"}}, devices=door)
    found = {one.about: one.says for one in papers.judge(case)}

    assert "side door" in found["paper: fire authority"]
    assert "side door" in found["paper: mains work"]
