"""Acknowledgement pulses of invented receivers: set from unset, an alarm that was, which panel."""

from __future__ import annotations

import pytest

from farpress.case.case import Case
from farpress.domain.equipment import Equipment
from farpress.domain.finding import Finding, Verdict
from farpress.domain.job import Job
from farpress.domain.parts import PanelSheet, Part, ReceiverSheet
from farpress.domain.refs import OutputRef, PanelRef
from farpress.judging.panel.told import judge_pulses
from helpers.findings import finding_of

HOLDS, THIN, FAILS = Verdict.HOLDS, Verdict.THIN, Verdict.FAILS


def _case(
    receivers: dict[str, tuple[tuple[int, int, int] | None, str]],
    *,
    window_s: float | None = 60.0,
    shared: bool = True,
) -> Case:
    """Receivers "premises/name" → their pulses and the panel each sets and reads; one group works all, or
    each has its own.
    """
    premises: dict[str, dict[str, dict[str, object]]] = {}
    for path, (_, panel) in receivers.items():
        house, _, name = path.partition("/")
        box = {
            "at": [0, 0],
            "outputs": {"1": {"kind": "pulse", "for_s": 1.0, "works": f"{panel}.set"}},
            "inputs": {"1": {"reads": f"{panel}.set"}},
        }
        one = premises.setdefault(house, {"receivers": {}, "panels": {}})
        one["receivers"][name], one["panels"][panel] = box, {"inputs": {"set": {"reads": "set pulse"}}}
    buttons = {str(number): path for number, path in enumerate(receivers, 1)}
    groups = (
        {"pair": {"fob": "F4", "buttons": buttons}}
        if shared
        else {f"pair {number}": {"fob": "F4", "buttons": {number: path}} for number, path in buttons.items()}
    )
    job = Job.model_validate(
        {
            "farpress": 1,
            "job": "test",
            "premises": premises,
            "functions": {path: {"output": f"{path}/1", "kind": "set"} for path in receivers},
            "groups": groups,
        }
    )
    sheets = {
        path: ReceiverSheet(acknowledge_within_s=window_s, acknowledge_pulses=pulses)
        for path, (pulses, _) in receivers.items()
    }
    return Case(
        job,
        Equipment(
            receivers={path: Part("", "", sheet, {}) for path, sheet in sheets.items()},
            panels={
                f"{path.partition('/')[0]}/{panel}": Part("", "", PanelSheet(), {})
                for path, (_, panel) in receivers.items()
            },
        ),
    )


def _one(pulses: tuple[int, int, int] | None, *, window_s: float | None = 60.0) -> Case:
    return _case({"house/R1": (pulses, "panel")}, window_s=window_s)


def _two(
    first: tuple[int, int, int],
    second: tuple[int, int, int],
    *,
    other: str = "house/R2",
    panel: str = "panel",
    shared: bool = True,
) -> Case:
    return _case({"house/R1": (first, "panel"), other: (second, panel)}, shared=shared)


@pytest.mark.parametrize(
    ("pulses", "verdict", "says"),
    [
        (None, HOLDS, "1 pulse for set, 2 for unset, 4 for"),
        ((1, 2, 3), HOLDS, "each has its own number"),
        ((1, 1, 4), FAILS, "set and unset sound the same"),
        ((2, 2, 2), FAILS, "set and unset sound the same"),
        ((1, 2, 1), FAILS, "sounds like set"),
        ((1, 2, 2), THIN, "alarm is not told"),
    ],
)
def test_each_event_wants_its_own_number_of_pulses(
    pulses: tuple[int, int, int] | None, verdict: Verdict, says: str
) -> None:
    """Equal counts for set and unset tell nothing; the cure is a change of the job."""
    finding = finding_of(list(judge_pulses(_one(pulses))), "PAN-10")

    assert finding.verdict is verdict
    assert says in finding.says
    assert {OutputRef("house/R1/1"), PanelRef("house/panel")} <= set(finding.subjects)
    assert [change.value for remedy in finding.remedies for change in remedy.changes] == (
        [] if verdict is HOLDS else [[1, 2, 4]]
    )


def test_a_receiver_that_does_not_acknowledge_is_not_judged() -> None:
    """No window known: nothing is told about its pulses."""
    assert not list(judge_pulses(_one((1, 1, 1), window_s=None)))


@pytest.mark.parametrize(
    ("first", "second", "more", "verdict", "says"),
    [
        ((1, 2, 4), (1, 2, 4), {}, HOLDS, "means the same"),
        ((1, 2, 4), (2, 1, 4), {}, FAILS, "1 pulse at house/R1 means set, at house/R2 unset"),
        ((1, 2, 4), (1, 2, 4), {"panel": "annex"}, THIN, "the same numbers, 1, 2 and 4"),
        ((1, 2, 4), (3, 5, 6), {"panel": "annex"}, HOLDS, "means the same"),
        (
            (1, 2, 4),
            (2, 1, 4),
            {"other": "shed/R1"},
            FAILS,
            "2 pulses at house/R1 mean unset, at shed/R1 set",
        ),
    ],
)
def test_two_receivers_heard_by_one_group(
    first: tuple[int, int, int],
    second: tuple[int, int, int],
    more: dict[str, object],
    verdict: Verdict,
    says: str,
) -> None:
    """The same number never means set here and unset there, also at two premises; at one it should say which
    panel.
    """
    finding = finding_of(_pairs(_two(first, second, **more)), "PAN-11")

    assert finding.verdict is verdict
    assert says in finding.says
    assert "pair" in finding.because


def test_receivers_that_nobody_hears_both_of_are_not_compared() -> None:
    """Crossed counts, but no group has both; equal ones at two premises are no matter either."""
    assert not _pairs(_two((1, 2, 4), (2, 1, 4), shared=False))
    assert not _pairs(_two((1, 2, 4), (1, 2, 4), other="shed/R1"))


def _pairs(case: Case) -> list[Finding]:
    return [one for one in judge_pulses(case) if one.code == "PAN-11"]
