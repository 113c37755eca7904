"""The plan after a loss: the story of the four branches, and jobs with gaps.

The figures of the story were reckoned by hand from the invented road times: six minutes a
receiver, Vessing with two; weights 3, 10, 10 and 1.
"""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

import pytest

from farpress.errors import InputError
from farpress.tasks.keys_lost import lost_plan
from helpers.keys_book import with_lost_fob

MONDAY = datetime(2026, 11, 23, 8, 10)


def test_both_unset_rights_are_gone_first_for_six_minutes_more(tmp_path: Path) -> None:
    """Oakmire, Vessing, Lowdrift, Sarnbeck: 161 minutes and 1 373 weighted ones; the shortest has 155 and 1 978."""
    with with_lost_fob(tmp_path) as book:
        book.lost("BM-047-P", between="Lowdrift and Vessing")
        plan = lost_plan(book.case, book.register.fobs["BM-047-P"], start="oakmire", leave=MONDAY)

    assert [visit.premises for visit in plan.visits] == ["oakmire", "vessing", "lowdrift", "sarnbeck"]
    assert [visit.weight for visit in plan.visits] == [3, 10, 10, 1]
    assert [round(visit.exposed_h * 60) for visit in plan.visits] == [6, 42, 81, 125]
    assert plan.drive_min == 161
    assert plan.weighted_h * 60 == pytest.approx(1373)
    assert [(order, drive, round(hours * 60)) for order, drive, hours in plan.others] == [(("oakmire", "vessing", "sarnbeck", "lowdrift"), 155, 1978)]
    assert plan.gap == 0
    assert plan.doubts == ()
    assert "unsets the alarm at vessing and lowdrift" in plan.says
    assert sum("radio's unset input" in one for visit in plan.visits for one in visit.meanwhile) == 2
    assert "V1: delete slot 102" in plan.visits[1].sheet[1]


def test_sarnbeck_closes_at_four(tmp_path: Path) -> None:
    """Whoever sets out at three in the afternoon finds it closed and comes back in the morning."""
    with with_lost_fob(tmp_path) as book:
        plan = lost_plan(book.case, book.register.fobs["BM-047-P"], start="oakmire", leave=MONDAY.replace(hour=15), reported=MONDAY)
    last = plan.visits[-1]

    assert (last.premises, last.finished) == ("sarnbeck", datetime(2026, 11, 24, 9, 6))
    assert last.exposed_h == pytest.approx(24 + 56 / 60)


def test_what_is_deleted_already_is_not_driven_to(tmp_path: Path) -> None:
    """A helper deleted it at Vessing: the round shrinks."""
    with with_lost_fob(tmp_path) as book:
        book.lost("BM-047-P")
        for receiver in ("vessing/V1", "vessing/V2"):
            book.delete("BM-047-P", receiver, evidence="helper, slot empty")
        plan = lost_plan(book.case, book.register.fobs["BM-047-P"], leave=MONDAY)

        assert [visit.premises for visit in plan.visits] == ["oakmire", "lowdrift", "sarnbeck"]
        for receiver in ("oakmire/O1", "lowdrift/L1", "sarnbeck/S1"):
            book.delete("BM-047-P", receiver, evidence="slot empty")
        with pytest.raises(InputError, match="nothing to delete"):
            lost_plan(book.case, book.register.fobs["BM-047-P"], leave=MONDAY)


def test_gaps_of_the_job_are_said(tmp_path: Path) -> None:
    """No roads, no hours: taken as an hour, taken as always, and both said."""
    from dataclasses import replace

    with with_lost_fob(tmp_path) as book:
        case = book.case
        assert case is not None
        premises = {name: house.model_copy(update={"open_hours": "by arrangement"}) for name, house in case.job.premises.items()}
        bare = replace(case, job=case.job.model_copy(update={"roads": (), "premises": premises}))
        plan = lost_plan(bare, book.register.fobs["BM-047-P"], leave=MONDAY)

    (roads,) = [doubt for doubt in plan.doubts if "60 min were taken for each" in doubt]
    assert roads.count(" and ") >= 6
    assert sum("'by arrangement'" in doubt for doubt in plan.doubts) == 4
