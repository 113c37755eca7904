"""The plan after a loss: the story of the four branches, and jobs with gaps.

The figures of the story were reckoned by hand from the invented road times: six minutes a
receiver, Vessing with two; weights 3, 10, 10 and 1.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from pathlib import Path

import pytest

from farpress.case.case import Case
from farpress.case.local_time import zone_of
from farpress.domain.job import Road
from farpress.errors import InputError
from farpress.keys.lost import lost_plan, reported_at
from helpers.keys_book import with_lost_fob

MONDAY = datetime(2026, 11, 23, 8, 10)


def test_both_unset_rights_are_gone_first_for_six_minutes_more(tmp_path: Path) -> None:
    """Oakmire, Vessing, Lowdrift, Sarnbeck: 161 minutes and 1 373 weighted ones; the shortest has 155 and 1
    978.
    """
    with with_lost_fob(tmp_path) as book:
        book.lost("BM-047-P", between="Lowdrift and Vessing")
        plan = lost_plan(book.case, book.register.fobs["BM-047-P"], start="oakmire", leave=MONDAY)

    assert [visit.premises for visit in plan.visits] == ["oakmire", "vessing", "lowdrift", "sarnbeck"]
    assert [visit.weight for visit in plan.visits] == [3, 10, 10, 1]
    assert [round(visit.exposed_h * 60) for visit in plan.visits] == [6, 42, 81, 125]
    assert plan.drive_min == 161
    assert plan.weighted_h * 60 == pytest.approx(1373)
    assert [(order, drive, round(hours * 60)) for order, drive, hours in plan.others] == [
        (("oakmire", "vessing", "sarnbeck", "lowdrift"), 155, 1978)
    ]
    assert plan.gap == 0
    assert plan.doubts == ()
    assert "unsets the alarm at vessing and lowdrift" in plan.says
    assert sum("radio's unset input" in one for visit in plan.visits for one in visit.meanwhile) == 2
    assert "V1: delete slot 102" in plan.visits[1].sheet[1]


def test_sarnbeck_closes_at_four(tmp_path: Path) -> None:
    """Whoever sets out at three in the afternoon finds it closed and comes back in the morning."""
    with with_lost_fob(tmp_path) as book:
        plan = lost_plan(
            book.case,
            book.register.fobs["BM-047-P"],
            start="oakmire",
            leave=MONDAY.replace(hour=15),
            reported=MONDAY,
        )
    last = plan.visits[-1]

    assert (last.premises, last.finished) == ("sarnbeck", datetime(2026, 11, 24, 9, 6))
    assert last.exposed_h == pytest.approx(24 + 56 / 60)


def test_what_is_deleted_already_is_not_driven_to(tmp_path: Path) -> None:
    """A helper deleted it at Vessing: the round shrinks."""
    with with_lost_fob(tmp_path) as book:
        book.lost("BM-047-P")
        for receiver in ("vessing/V1", "vessing/V2"):
            book.delete("BM-047-P", receiver=receiver, evidence="helper, slot empty")
        plan = lost_plan(book.case, book.register.fobs["BM-047-P"], leave=MONDAY)

        assert [visit.premises for visit in plan.visits] == ["oakmire", "lowdrift", "sarnbeck"]
        for receiver in ("oakmire/O1", "lowdrift/L1", "sarnbeck/S1"):
            book.delete("BM-047-P", receiver=receiver, evidence="slot empty")
        with pytest.raises(InputError, match="nothing to delete"):
            lost_plan(book.case, book.register.fobs["BM-047-P"], leave=MONDAY)


def test_gaps_of_the_job_are_said(tmp_path: Path) -> None:
    """No roads, no hours: taken as an hour, taken as always, and both said."""
    from dataclasses import replace

    with with_lost_fob(tmp_path) as book:
        case = book.case
        assert case is not None
        premises = {
            name: house.model_copy(update={"open_hours": "by arrangement"})
            for name, house in case.job.premises.items()
        }
        bare = replace(case, job=case.job.model_copy(update={"roads": (), "premises": premises}))
        plan = lost_plan(bare, book.register.fobs["BM-047-P"], leave=MONDAY)

    (roads,) = [doubt for doubt in plan.doubts if "60 min were taken for each" in doubt]
    assert roads.count(" – ") == 6
    assert sum("'by arrangement'" in doubt for doubt in plan.doubts) == 4


def _changed(case: Case, **fields: object) -> Case:
    return replace(case, job=case.job.model_copy(update=fields))


def test_the_clock_is_that_of_the_premises(tmp_path: Path) -> None:
    """Reported at 15:10 UTC on a day of summer time: 16:10 in London, 17:10 in Berlin; Sarnbeck closes at
    four and is seen to in the morning.
    """
    with with_lost_fob(tmp_path) as book:
        fob = replace(book.register.fobs["BM-047-P"], lost_at="2026-06-15T15:10:00.000000Z")
        assert book.case is not None
        for zone, hour in (("Europe/London", 16), ("Europe/Berlin", 17), ("Asia/Kathmandu", 20)):
            case = _changed(book.case, time_zone=zone)
            moment = reported_at(fob, zone_of(case.job))
            assert moment == datetime(2026, 6, 15, hour, 55 if zone == "Asia/Kathmandu" else 10)
            assert moment is not None
            assert lost_plan(case, fob, start="oakmire", leave=moment).visits[-1].finished.day == 16
    assert zone_of(None) is None


def test_a_round_can_begin_at_an_office(tmp_path: Path) -> None:
    """By ways given with the question, or by a start of the job with roads; what is wrong is said at once."""
    with with_lost_fob(tmp_path) as book:
        fob, case = book.register.fobs["BM-047-P"], book.case
        assert case is not None
        near = lost_plan(case, fob, start="the office", ways={"sarnbeck": 5}, leave=MONDAY.replace(hour=10))
        assert near.start == "the office"
        assert near.drive_min == pytest.approx(5 + 38 + 33 + 24 + 71)
        assert [visit.premises for visit in near.visits] == ["sarnbeck", "lowdrift", "vessing", "oakmire"]
        assert "oakmire – the office 71 min" in " ".join(near.doubts).replace(
            "lowdrift – the office 43 min, ", ""
        )

        office = _changed(
            case,
            starts=("depot",),
            roads=(*case.job.roads, Road(between=("depot", "sarnbeck"), takes_s="5 min")),
        )
        known = lost_plan(office, fob, leave=MONDAY.replace(hour=10))
        assert (known.start, known.drive_min, known.visits) == ("depot", near.drive_min, near.visits)
        with pytest.raises(
            InputError, match=r"knows no 'depot' to begin at; it has oakmire.*--way oakmire=25"
        ):
            lost_plan(case, fob, start="depot", leave=MONDAY)
        with pytest.raises(
            InputError, match=r"'oakmere' is no premises.*takes -3 min.*'vessing' is known to the job"
        ):
            lost_plan(case, fob, start="vessing", ways={"oakmere": 3, "oakmire": -3}, leave=MONDAY)
