"""Questions over all jobs, held against the made-up jobs' own lists."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, timedelta
from pathlib import Path

import pytest
from dateutil.relativedelta import relativedelta
from hypothesis import given
from hypothesis import strategies as st

from farpress.domain.acts import FobDeleted, FobHandedIn, FobLearned, FobLost
from farpress.errors import InputError
from farpress.firm.across import cases_of, knows, names_like, rights
from farpress.firm.due import Task, due, outlook, set_road, tours
from farpress.firm.shelf import Firm, start_firm
from farpress.upkeep.due import due_list
from make_jobs import made_job
from survey import ROOT

pytestmark = pytest.mark.long

TODAY = date.today() + timedelta(days=1)
"""The made-up records are written by the clock, before this day or, past midnight, on it; a fixed day would
lie before them."""


def test_a_fob_is_found_wherever_it_is_learned(stocked: Firm) -> None:
    """The label F001 is used in every job: the answer is every learning that was not deleted, counted from
    the lists themselves.
    """
    wanted = set()
    for number in range(1, 7):
        made = made_job(number, broken=number == 5)
        known = [act.receiver for act in made.entries if isinstance(act, FobLearned) and act.fob == "F001"]
        gone = [act.receiver for act in made.entries if isinstance(act, FobDeleted) and act.fob == "F001"]
        wanted |= {(made.name, receiver) for receiver in known if receiver not in gone}

    assert {(one.job, one.receiver) for one in knows(stocked, "f001")} == wanted
    assert len(wanted) > 5


def test_a_person_is_found_by_record_and_by_design(stocked: Firm) -> None:
    """A name in the list of one job's people is found there, learned and designed."""
    made = made_job(1)

    found = [one for one in knows(stocked, made.people[0].upper()) if one.job == made.name]

    assert {"designed", "issued"} <= {one.state for one in found} | (
        {"issued"} if any(one.fob for one in found) else set()
    )
    assert all(one.holder == made.people[0] for one in found)
    assert knows(stocked, "Nobody At All") == ()


def test_a_slip_in_a_name_is_told(stocked: Firm) -> None:
    """Part of a name, or a letter too many, leads to the name; the name itself comes first."""
    name = made_job(1).people[0]
    first = name.split()[0]

    assert name in names_like(stocked, first.lower(), most=50)
    assert name in names_like(stocked, first[:2] + first[1:], most=50)
    assert names_like(stocked, name.upper())[0] == name
    assert names_like(stocked, "qqqqqqqq") == ()


def test_every_open_deletion_is_due(stocked: Firm) -> None:
    """Lost and handed in, minus deleted: counted from the lists."""
    wanted = set()
    for number in range(1, 7):
        made = made_job(number, broken=number == 5)
        if number == 5:
            continue
        gone = {act.fob for act in made.entries if isinstance(act, FobLost | FobHandedIn)}
        learned = {
            (act.fob, act.receiver) for act in made.entries if isinstance(act, FobLearned) and act.fob in gone
        }
        wanted |= {
            (made.name, fob, receiver)
            for fob, receiver in learned
            - {(act.fob, act.receiver) for act in made.entries if isinstance(act, FobDeleted)}
        }

    found = due(stocked, until=TODAY + timedelta(days=3650), today=TODAY)

    deletions = [task for task in found.tasks if task.kind == "delete a fob"]
    assert {
        (task.job, task.what.split()[1], task.what.split(" at ")[1].split(",")[0]) for task in deletions
    } == wanted
    assert [one.job for one in found.unread] == [made_job(5).name]


def test_what_comes_back_stands_at_each_of_its_dates(stocked: Firm) -> None:
    """A year of a monthly task has twelve dates a month apart, by the calendar; no tour does it twice."""
    job = next(entry.job for entry in stocked.shelf.entries() if entry.job != made_job(5).name)
    (case,) = cases_of(stocked, (job,), [])
    once = due_list(
        case,
        stocked.shelf.record.register(job=job),
        stocked.shelf.record.events(job=job),
        today=TODAY,
        months=13,
    )
    every = {
        (f"{one.does} {one.because}", one.premises): (one.on, one.every_months)
        for one in once
        if one.every_months >= 1
    }
    year = [
        task
        for task in due(stocked, until=TODAY + timedelta(days=365), today=TODAY, everybody=True).tasks
        if task.job == job
    ]
    assert every

    for (what, premises), (on, months) in every.items():
        dates = [
            date.fromisoformat(task.due) for task in year if (task.what, task.premises) == (what, premises)
        ]
        first = max(on, TODAY)
        wanted = [
            on,
            *(
                later
                for number in range(1, 13)
                if (later := (first + relativedelta(months=int(months) * number)))
                <= TODAY + timedelta(days=365)
            ),
        ]
        assert dates == wanted
        assert len(dates) >= 12 / months
    planned = tours(stocked, year)
    assert sorted((task for tour in planned for task in tour.tasks), key=str) == sorted(year, key=str)
    for tour in planned:
        done = [(task.what, task.premises) for task in tour.tasks]
        assert len(set(done)) == len(done)


def test_tours_do_every_task_once(shelf_of: Callable[[int], Firm]) -> None:
    """With driving times from Oakmire to everywhere: all tasks, no day over seven hours unless one town alone
    is.
    """
    firm = shelf_of(30)
    from make_jobs import TOWNS

    for index, one in enumerate(TOWNS):
        for other in TOWNS[index + 1 :]:
            set_road(firm, one, other, minutes=10 + 3 * abs(TOWNS.index(one) - TOWNS.index(other)))
    tasks = due(firm, until=TODAY, today=TODAY).tasks

    made = tours(firm, tasks, start="Oakmire")

    assert sorted(task.what + task.job for tour in made for task in tour.tasks) == sorted(
        task.what + task.job for task in tasks
    )
    assert len(tasks) > 20
    for tour in made:
        assert tour.towns[0] == tour.towns[-1] == "Oakmire"
        assert tour.drive_minutes is not None
        assert len(tour.towns) <= 3 or tour.work_minutes + tour.drive_minutes <= 420


def test_brindlemarks_round_is_the_shortest(tmp_path: Path) -> None:
    """Oakmire, Vessing, Sarnbeck, Lowdrift and back: 24 + 52 + 38 + 41 = 155 minutes, worked out by hand over
    the three rounds there are.
    """
    with start_firm(str(tmp_path / "firm.sqlite"))[0] as firm:
        for one, other, minutes in (
            ("Oakmire", "Vessing", 24),
            ("Oakmire", "Lowdrift", 41),
            ("Oakmire", "Sarnbeck", 66),
            ("Vessing", "Lowdrift", 33),
            ("Vessing", "Sarnbeck", 52),
            ("Lowdrift", "Sarnbeck", 38),
        ):
            set_road(firm, one, other, minutes=minutes)
        tasks = [
            Task("delete a fob", "Brindlemark", town.lower(), town, "fob BM-047-K", "2026-11-23")
            for town in ("Vessing", "Lowdrift", "Sarnbeck")
        ]

        (tour,) = tours(firm, tasks, start="Oakmire")

    assert tour.drive_minutes == pytest.approx(155.0)
    assert tour.work_minutes == pytest.approx(3 * (15 + 6))


def test_what_comes_back_comes_in_a_later_tour(shelf_of: Callable[[int], Firm]) -> None:
    """Two dates of one task are two journeys; two tasks of one town are one."""
    firm = shelf_of(1)
    tasks = [
        Task("cells", "a", "house", "Vessing", what, day)
        for what, day in (("change x", "2026-12-01"), ("change x", "2027-01-01"), ("look y", "2026-12-05"))
    ]

    made = tours(firm, tasks)

    assert [[(task.what, task.due) for task in tour.tasks] for tour in made] == [
        [("change x", "2026-12-01"), ("look y", "2026-12-05")],
        [("change x", "2027-01-01")],
    ]


def test_missing_driving_times_are_named(shelf_of: Callable[[int], Firm]) -> None:
    """Nothing is guessed: the pair is named."""
    firm = shelf_of(1)
    tasks = [Task("cells", "a", "house", "Vessing", "x", "2026-11-01")]

    (tour,) = tours(firm, tasks, start="Oakmire")

    assert (tour.drive_minutes, tour.missing) == (None, (("Oakmire", "Vessing"),))


@given(st.floats(allow_nan=True))
def test_a_driving_time_is_a_time(minutes: float) -> None:
    """Anything not between 0 and a day is refused before the database is asked."""
    from farpress.record.members import NOBODY

    if not 0 < minutes < 1440:
        with pytest.raises(InputError):
            set_road(Firm(None, NOBODY), "A", "B", minutes=minutes)  # type: ignore[arg-type]


def test_the_outlook_counts_the_year(stocked: Firm) -> None:
    """Month by month, the sum is what is due within the year; all late things stand in the present month."""
    found = outlook(stocked, today=TODAY)
    year = due(stocked, until=TODAY + timedelta(days=365), today=TODAY).tasks

    assert sum(sum(counts.values()) for counts in found.months.values()) == len(year) > 0
    assert min(found.months) == f"{TODAY:%Y-%m}"
    assert sum(found.months[f"{TODAY:%Y-%m}"].values()) >= sum(task.due < f"{TODAY:%Y-%m}" for task in year)


def test_memory_that_fills_is_in_the_outlook(tmp_path: Path) -> None:
    """The court's R2 is to learn 1 260 buttons and holds 1 000."""
    with start_firm(str(tmp_path / "firm.sqlite"))[0] as firm:
        firm.add(ROOT / "examples" / "tallowmere-court")

        filling = outlook(firm, today=TODAY).filling

    assert ("Tallowmere Court", "court/R2") in {(job, receiver) for job, receiver, _ in filling}


def test_the_register_of_rights_is_the_job_file_s(tmp_path: Path) -> None:
    """Ilse may call for help and nothing else."""
    with start_firm(str(tmp_path / "firm.sqlite"))[0] as firm:
        firm.add(ROOT / "examples" / "larkfen-house")

        found = list(rights(firm, person="Ilse Ostrovane"))

    assert [(one.job, one.functions) for one in found] == [("Larkfen House", ("call for help",))]


@pytest.mark.parametrize(
    "words", [["MARK'S"], ["100%"], ["_"], ["\\"], ["'; DROP TABLE job; --"], ["\0"], ["ä" * 5000]]
)
def test_any_search_is_answered(stocked: Firm, words: list[str]) -> None:
    """Quotes, signs of the search language, no matter what."""
    assert len(stocked.find(words)) in range(7)
    assert len(stocked.find()) == 6


def test_search_takes_all_words(stocked: Firm) -> None:
    """A name and a street, in any case of letters."""
    made = made_job(2)
    town = next(line for line in made.text.splitlines() if line.startswith("  address")).rpartition(", ")[2]

    assert made.name in [entry.job for entry in stocked.find([made.people[0].upper(), town.lower()])]
    assert stocked.find([made.people[0], "no such street"]) == ()
