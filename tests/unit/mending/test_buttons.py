"""A button plan is tried on a copy before it is called best; whom it would harm keeps their buttons."""

from __future__ import annotations

from pathlib import Path

import pytest

import farpress
from farpress.case.case import Case
from farpress.case.changed import with_changes
from farpress.case.door import open_job
from farpress.domain.finding import Change
from farpress.judging.assess import assess
from farpress.judging.remedies.effects import effects_of
from farpress.keys.layout import plan_layout
from farpress.keys.rights import buttons_of
from farpress.mending.buttons import layout_changes, tried_layout
from farpress.mending.writing import write_changed

BRANCHES = Path(__file__).parents[3] / "examples" / "brindlemark"


@pytest.fixture(scope="module")
def two_branches() -> Case:
    """Sixteen people of one branch unset on button 1; two rovers open another branch's gate with theirs."""
    many = {"fob": "F4", "count": 16, "presses": "4 per day", "visits": {"vessing": "5 per week"}}
    few = {**many, "count": 2, "visits": {"vessing": "5 per week", "oakmire": "5 per week"}}
    return with_changes(
        open_job(BRANCHES),
        [
            Change(("rules",), []),
            Change(("promises",), []),
            Change(("parts", "RX4", "tells_long"), None),
            Change(
                ("groups",),
                {
                    "shop": {**many, "buttons": {"1": "vessing unset"}},
                    "rovers": {**few, "buttons": {"1": "oakmire gate", "2": "vessing unset"}},
                },
            ),
        ],
    )


def test_whom_the_plan_would_harm_keeps_the_buttons_they_have(two_branches: Case) -> None:
    """One kind on one button everywhere would let the rovers' one press unset and open: that is refuted."""
    cheapest = plan_layout(two_branches)
    assert ("rovers", "1", "oakmire gate, vessing unset") in cheapest.rows()
    worse = effects_of(
        assess(two_branches), assess(with_changes(two_branches, layout_changes(two_branches, cheapest)))
    )
    assert "SAFE-04" in {finding.code for finding in worse.fresh}

    tried = tried_layout(two_branches)
    assert tried.judged
    assert list(tried.kept) == ["rovers"]
    assert "SAFE-04" in tried.kept["rovers"]
    assert {row for row in tried.rows(two_branches) if row[0] == "rovers"} == {
        ("rovers", "1", "oakmire gate"),
        ("rovers", "2", "vessing unset"),
    }


def test_a_plan_in_the_job_file_is_the_plan(tmp_path: Path) -> None:
    """Written, read and planned again: everybody has the functions they had, and nothing is to be moved."""
    case = open_job(BRANCHES)
    tried = tried_layout(case)
    assert tried.changes
    write_changed(case, tried.changes, tmp_path / "new", remarks="# Planned.\n")
    again = open_job(tmp_path / "new")

    assert [
        (name, button, ", ".join(functions))
        for name in again.job.groups
        for button, functions in sorted(buttons_of(again.job.groups[name]).items())
    ] == sorted(tried.rows(case), key=lambda row: (list(again.job.groups).index(row[0]), row[1]))
    assert tried_layout(again).changes == ()
    assert effects_of(assess(case), assess(again)).breaks is False


def test_a_second_fob_is_tried_and_written(tmp_path: Path) -> None:
    """Five on four buttons: the plan cures it, the same people carry both fobs, a promise goes along."""
    crew = {"fob": "F4", "count": 4, "presses": "4 per day", "kept": "in hand"}
    docks = ["dock 1 up", "dock 1 down", "dock 2 up", "dock 2 down", "oakmire gate"]
    case = with_changes(
        open_job(BRANCHES),
        [
            Change(("rules",), []),
            Change(("promises",), [{"to": "crew", "function": "oakmire gate", "from": "oakmire/street"}]),
            Change(("groups",), {"crew": {**crew, "buttons": dict(enumerate(docks, start=1))}}),
        ],
    )
    farpress.save(case, tmp_path / "five")
    case = open_job(tmp_path / "five")
    tried = tried_layout(case)
    assert tried.plan.further == {"crew 2": "crew"}
    assert "FOB-07" in {finding.code for finding in tried.cured}
    write_changed(case, tried.changes, tmp_path / "new", remarks="# Planned.\n")
    again = open_job(tmp_path / "new").job
    held = {
        name: {f for of in buttons_of(group).values() for f in of} for name, group in again.groups.items()
    }

    assert held["crew"] | held["crew 2"] == set(docks)
    assert again.groups["crew 2"].count == 4
    assert [promise.to for promise in again.promises] == ["crew 2"]
    assert all(promise.function in held[promise.to] for promise in again.promises)
