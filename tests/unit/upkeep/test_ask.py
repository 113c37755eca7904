"""Cells ahead, drift, wear, the due list, rounds and the calendar."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from farpress.case.case import Case
from farpress.case.door import open_job
from farpress.dates import add_months, day_of, day_wanted
from farpress.domain.event import Event, canonical
from farpress.domain.register import Fob, FobRegister, FobState
from farpress.errors import InputError
from farpress.record.register import draw_register
from farpress.record.store import open_record
from farpress.scripting import change as change_job
from farpress.upkeep.ask import (
    Due,
    again_on,
    battery_ages,
    cell_orders,
    cell_plan,
    cells_ahead,
    contact_wear,
    due_calendar,
    due_list,
    log_battery,
    log_cell,
    log_level,
    log_low_cell,
    place_watch,
    record_done,
    visits,
)
from helpers.logic_case import a_case
from survey import ROOT

TODAY = date(2026, 11, 25)
GATE = {"1": {"kind": "pulse", "for_s": 0.5, "works": "gate.open"}}


@pytest.fixture(scope="module")
def timber() -> Case:
    """Four premises."""
    return open_job(ROOT / "examples" / "brindlemark")


@pytest.fixture(scope="module")
def house() -> Case:
    """The house of the examples."""
    return open_job(ROOT / "examples" / "larkfen-house")


def _register(group: str, *months: str, low: str = "") -> FobRegister:
    return FobRegister(
        {
            f"F{number}": Fob(
                f"F{number}",
                state=FobState.ISSUED,
                group=group,
                cell_date=month,
                low_cell_at=low if number == 0 else "",
            )
            for number, month in enumerate(months)
        }
    )


def _event(kind: str, at: str, **body: Any) -> Event:
    return Event("x", 1, "job", f"{at}T10:00:00.000000Z", "installer", kind, canonical(body))


def _some(**group: Any) -> Case:
    return a_case(
        GATE,
        groups={"some": {"people": ("Ana", "Ben"), "presses_per_day": 10.0, "buttons": {"1": "f1"}, **group}},
    )


def test_where_the_charge_goes() -> None:
    """Ten presses of a second a day: 7.9 years as tabled; the pocket and the cold take from it."""
    usual, pocket, cold = (
        cell_plan(_some(**more), "some") for more in ({}, {"kept": "in pocket"}, {"coldest_degc": -20.0})
    )

    assert usual is not None
    assert pocket is not None
    assert cold is not None
    assert usual.years == pytest.approx(7.9, abs=0.05)
    assert usual.presses_share + usual.sleep_share + usual.self_discharge_share == pytest.approx(1.0)
    assert pocket.press_s > usual.press_s
    assert pocket.years < usual.years
    assert cold.years < usual.years


def test_old_cells_fail_sooner_than_new_ones() -> None:
    """Two fobs with cells of eight years ago against two of today, and the age told where nobody wrote it
    down.
    """
    old, new = (
        cells_ahead(_some(), _register("some", month, month), [], today=TODAY)[0]
        for month in ("2018-11", "2026-11")
    )
    unknown = cells_ahead(_some(), FobRegister(), [], today=TODAY)[0]

    assert sum(old.expected) > 5 * sum(new.expected)
    assert old.mean_age_years == pytest.approx(8.0, abs=0.05)
    assert unknown.fobs == 2
    assert "not written down" in " ".join(unknown.says)


def test_low_cell_signals_are_held_against_the_forecast() -> None:
    """Nine in a November, one a fob and month, where less than one was expected: a poor batch."""
    register = FobRegister(
        {f"F{n}": Fob(f"F{n}", state=FobState.ISSUED, group="some", cell_date="2025-04") for n in range(20)}
    )
    events = [_event("low cell", "2026-11-03", fob=f"F{n}", receiver="house/R1") for n in range(9)] * 2
    found = cells_ahead(_some(), register, events, today=TODAY)[0]
    quiet = cells_ahead(_some(), _register("some", "2026-11", "2026-11"), [], today=TODAY)[0]

    assert found.signals == 9
    assert any("poor batch" in text for text in found.says)
    assert found.signals_say == found.says[-1]
    assert quiet.signals_say == ""
    assert "low-cell" not in " ".join(quiet.says)


def test_the_order_covers_batches_and_single_cells() -> None:
    """Old cells: the batch date is near, all cells with spares are ordered."""
    case = _some(spares=2)
    groups = cells_ahead(case, _register("some", "2018-01", "2018-01"), [], today=TODAY)
    orders = cell_orders(case, groups, today=TODAY)

    assert groups[0].batch_on is not None
    assert groups[0].batch_on <= date(2027, 1, 1)
    assert [one.number for one in orders] == [4]
    assert (
        cell_orders(
            case, cells_ahead(case, _register("some", "2026-11", "2026-11"), [], today=TODAY), today=TODAY
        )
        == ()
    )


def test_a_level_that_comes_down_is_noticed(house: Case) -> None:
    """Baseline of the job -84 dBm; after a few readings 7 dB below, a signal; steady ones none."""

    def read(level: float, day: int) -> Event:
        return _event(
            "reading taken",
            f"2026-{day:02d}-01",
            what="level",
            where="place:larkfen/wicket outside",
            receiver="larkfen/R1",
            value=level,
            unit="dBm",
            held="in hand",
        )

    steady = place_watch(
        house, [read(level, day) for day, level in enumerate((-84.5, -83.0, -85.0, -84.0), 1)]
    )[0]
    falling = place_watch(
        house, [read(level, day) for day, level in enumerate((-84.0, -91.0, -92.0, -91.0), 1)]
    )[0]

    assert steady.baseline_dbm == -84.0
    assert steady.signal is None
    assert falling.signal is not None
    assert falling.signal.direction == "down"
    assert "2026-02-01" in falling.says


def test_contacts_and_batteries_have_their_dates(house: Case) -> None:
    """18 770 operations at two a day: 25.7 years; a battery of November 2026 is due after 2.8 years of a mean
    of five.
    """
    wear = {one.output: one for one in contact_wear(house, [], today=TODAY, since=date(2020, 11, 25))}
    shutter = wear["larkfen/R3/1"]
    battery = battery_ages(house, [], today=TODAY)[0]
    changed = battery_ages(
        house, [_event("battery changed", "2028-06-01", supply="larkfen/main")], today=date(2029, 1, 1)
    )[0]

    assert shutter.done == pytest.approx(2 * 2191, abs=3)
    assert 2042 <= shutter.due_on.year <= 2044
    assert battery.changed_on == date(2026, 11, 15)
    assert 2029 <= battery.due_on.year <= 2030
    assert changed.changed_on == date(2028, 6, 1)


def test_a_battery_changed_in_the_future_is_asked_about(house: Case) -> None:
    """9999-12 is no date to reckon from, nor is next month; this month is, whatever day it is."""
    for changed, month in (("9999-12", None), ("2026-12", None), ("2026-11", 11)):
        premises = house.job.premises["larkfen"]
        supply = premises.supplies["main"]
        battery = supply.battery.model_copy(update={"changed": changed}) if supply.battery else None
        made = premises.model_copy(
            update={"supplies": {"main": supply.model_copy(update={"battery": battery})}}
        )
        job = house.job.model_copy(update={"premises": {**house.job.premises, "larkfen": made}})
        (age,) = battery_ages(replace(house, job=job), [], today=date(2026, 11, 2))

        assert (age.changed_on.month if age.changed_on else None) == month
        assert ("has not come yet" in age.says) == (month is None)


def test_what_was_done_comes_back_after_its_interval(house: Case) -> None:
    """The weekly call test, checked off on a Monday, is due the next Monday."""
    done = record_done("call: larkfen/R3/4")
    due = due_list(house, FobRegister(), [_event(done.kind, "2026-11-23", **done.body())], today=TODAY)
    call = next(one for one in due if one.id == "call: larkfen/R3/4")

    assert call.on == date(2026, 11, 30)
    assert call.who == "customer"
    assert "Test it every week" in call.caution


def test_faults_and_low_cells_are_on_the_list(house: Case) -> None:
    """An open fault today, a low cell within two weeks; a closed fault is gone."""
    events = [
        _event(
            "fault reported",
            "2026-11-20",
            fault="F0001",
            complaint="24: lock buzzes",
            about="premises:larkfen",
        ),
        _event("fault reported", "2026-11-20", fault="F0002", complaint="x"),
        _event("fault closed", "2026-11-21", fault="F0002", cause="a", cure="b"),
    ]
    due = {
        one.id: one
        for one in due_list(
            house, _register("tavi", "2026-01", low="2026-11-24T10:00:00.000000Z"), events, today=TODAY
        )
    }

    assert due["fault: F0001"].on == TODAY
    assert "fault: F0002" not in due
    assert due["low cell: F0"].on == date(2026, 12, 8)


def test_fobs_that_may_run_out_of_step_are_to_be_pressed_there() -> None:
    """A hundred presses a day elsewhere, a branch seen twice a year, a receiver that accepts 500 ahead at
    most.
    """
    case = a_case(
        GATE,
        premises=("house", "branch"),
        receiver={"window_double": 500},
        groups={
            "some": {
                "people": ("Ana",),
                "presses_per_day": 100.0,
                "buttons": {"1": "f1"},
                "visits_per_day": {"house": 0.99, "branch": 0.005},
            }
        },
    )
    due = {one.id: one for one in due_list(case, FobRegister(), [], today=TODAY)}

    assert due["in step: some at branch/R1"].on == date(2027, 2, 25)
    assert "in step: some at house/R1" not in due


def test_what_falls_together_is_one_round(timber: Case) -> None:
    """Four premises, yearly: two days, the shortest road from head office; nothing is lost, no weekend."""
    due = [
        one for one in due_list(timber, FobRegister(), [], today=TODAY, months=30) if one.who != "customer"
    ]
    rounds = visits(timber, due)

    assert sorted((one.id, one.on) for visit in rounds for one in visit.tasks) == sorted(
        (one.id, day) for one in due for day in one.days
    )
    assert all(len({one.id for one in visit.tasks}) == len(visit.tasks) for visit in rounds)
    assert any(one.again for one in due)
    assert max(visit.minutes for visit in rounds) <= 480.0
    assert all(visit.on.weekday() < 5 for visit in rounds)
    assert any(len(visit.sites) > 1 and visit.drive_minutes for visit in rounds)


def test_no_round_lies_in_the_past(timber: Case) -> None:
    """What is long overdue is done on the next working day: asked on a Saturday, on the Monday."""
    old = [
        one for one in due_list(timber, FobRegister(), [], today=TODAY, months=30) if one.who != "customer"
    ]
    later = TODAY + timedelta(days=700)
    saturday = later + timedelta(days=(5 - later.weekday()) % 7)
    rounds = visits(timber, old, today=saturday)

    assert rounds[0].on == saturday + timedelta(days=2)
    assert all(visit.on > saturday and visit.on.weekday() < 5 for visit in rounds)


def test_a_user_tries_only_the_safeguards_there_are_and_never_by_hand(timber: Case) -> None:
    """The sentence of the list is the one of the paper; nobody touches an edge."""
    tasks = [
        one for one in due_list(timber, FobRegister(), [], today=TODAY) if one.id.startswith("gate check")
    ]

    assert tasks
    for task in tasks:
        guards = timber.equipment.devices[task.id.removeprefix("gate check: ")].sheet.safeguards or ()
        assert ("beams" in task.does) is ("beams" in guards)
        assert ("edge meet" in task.does) is ("edge" in guards)
        assert "touch" not in task.does
        assert "Never a hand" in task.does


def test_the_calendar_is_read_by_the_library_again(timber: Case) -> None:
    """One entry for each visit, one for each task of the customer with its repetition; the same list, the
    same bytes.
    """
    from icalendar import Calendar

    due = due_list(timber, FobRegister(), [], today=TODAY, months=14)
    rounds = visits(timber, due)
    text = due_calendar("Brindlemark; a, b", due, rounds)
    events = list(Calendar.from_ical(text).walk("VEVENT"))

    assert text == due_calendar("Brindlemark; a, b", due, rounds)
    assert len(events) == len(rounds) + sum(one.who == "customer" for one in due)
    assert len({str(event["UID"]) for event in events}) == len(events)
    assert any("RRULE" in event for event in events)
    assert all(len(line) <= 75 for line in text.split(b"\r\n"))
    assert [event.decoded("DTSTART") for event in events[: len(rounds)]] == [visit.on for visit in rounds]


@settings(max_examples=60, deadline=None)
@given(
    on=st.dates(date(2026, 1, 1), date(2028, 12, 31)),
    every=st.sampled_from([0.25, 1.0, 2.0, 3.0, 6.0, 12.0, 22.0]),
    today=st.dates(date(2026, 6, 1), date(2027, 6, 30)),
)
def test_the_calendar_s_rule_names_the_days_of_the_list(on: date, every: float, today: date) -> None:
    """python-dateutil, an independent reader of RFC 5545, makes of the file the days that list and page show,
    the 31st included.
    """
    from dateutil.rrule import rrulestr
    from icalendar import Calendar

    until = date(2029, 12, 31)
    one = Due(
        "gate check: a/b",
        "a",
        on,
        "customer",
        "Look",
        "Monthly.",
        5.0,
        every,
        again=again_on(on, every, today=today, until=until),
    )
    events = list(Calendar.from_ical(due_calendar("job", [one], [])).walk("VEVENT"))

    found = []
    for event in events:
        first = event.decoded("DTSTART")
        rule = event.get("RRULE")
        found += (
            [first]
            if rule is None
            else [
                moment.date()
                for moment in rrulestr(rule.to_ical().decode(), dtstart=datetime.combine(first, time()))
            ]
        )
    assert tuple(found) == one.days
    assert len({str(event["UID"]) for event in events}) == len(events) == 1 + (on < today and len(events) > 1)
    assert all(day > today for day in one.again)
    assert [later.on for later in one.each()] == list(one.days)


def test_list_rounds_and_calendar_agree_on_every_day(timber: Case) -> None:
    """A yearly inspection stands in two rounds of two years; each round in the file, the paper's days among
    the page's.
    """
    due = {one.id: one for one in due_list(timber, FobRegister(), [], today=TODAY, months=24)}
    rounds = visits(timber, due.values())

    inspection = due["inspection: oakmire"]
    assert inspection.days == (date(2027, 11, 25), date(2028, 11, 25))
    assert inspection.often == "every year, 1 time more, last 2028-11-25"
    assert [one.on for visit in rounds for one in visit.tasks if one.id == "inspection: oakmire"] == list(
        inspection.days
    )
    assert due_calendar("job", due.values(), rounds).count(b"SUMMARY:job: visit") == len(rounds)
    near = {one.id: one for one in due_list(timber, FobRegister(), [], today=TODAY, months=12)}
    assert all(set(one.days) <= set(due[name].days) for name, one in near.items())


def test_what_happens_between_visits_is_logged_and_used(tmp_path: Path, house: Case) -> None:
    """A low cell, a new one, a battery, levels; each turns up where it matters."""
    with open_record(tmp_path) as record:
        log_low_cell(record, house, fob="LH-1", receiver="R1", by="installer")
        for level in (-97.0, -99.0):
            log_level(
                record, house, place="street", receiver="R1", level_dbm=level, held="in hand", by="installer"
            )
        log_battery(record, house, supply="main", by="installer")
        events = record.events(job=house.job.job)
        due = {one.id for one in due_list(house, draw_register(events), events, today=TODAY)}
        log_cell(record, house, fob="LH-1", by="installer")
        after = record.events(job=house.job.job)

    assert "low cell: LH-1" in due
    assert "low cell: LH-1" not in {
        one.id for one in due_list(house, draw_register(after), after, today=TODAY)
    }
    assert place_watch(house, events)[0].baseline_dbm == -96.0
    logged_on = datetime.now(UTC).date()  # the record keeps the day on which it was written
    assert battery_ages(house, events, today=logged_on)[0].changed_on is not None


@pytest.mark.parametrize(
    ("log", "wrong"),
    [
        (log_low_cell, {"fob": "", "receiver": "R1"}),
        (log_low_cell, {"fob": "x", "receiver": "R9"}),
        (log_battery, {"supply": "garden-ac"}),
        (log_cell, {"fob": " "}),
        (log_level, {"place": "moon", "receiver": "R1", "level_dbm": -80.0}),
        (log_level, {"place": "street", "receiver": "R1", "level_dbm": 97.0}),
        (log_level, {"place": "street", "receiver": "R1", "level_dbm": -97.0, "pad_db": -3.0}),
    ],
)
def test_a_slip_is_told_and_not_logged(tmp_path: Path, house: Case, log: Any, wrong: dict[str, Any]) -> None:
    """No such receiver, supply or place; a level without its sign."""
    with open_record(tmp_path) as record:
        with pytest.raises(InputError):
            log(record, house, by="installer", **wrong)
        assert record.events() == ()


def test_dates_as_people_write_them() -> None:
    """A month is its middle; a month later is the last day where it is shorter; nonsense is told."""
    assert day_of("2026-11") == date(2026, 11, 15)
    assert day_of("2026-02-30") is None
    assert day_of(None) is None
    assert add_months(date(2026, 1, 31), 1) == date(2026, 2, 28)
    assert day_wanted(" 2026-11-25 ") == date(2026, 11, 25)
    for none in ("tomorrow", "2026-11", "25.11.2026", "2026-02-30", ""):
        with pytest.raises(ValueError, match="not a date"):
            day_wanted(none)


def test_a_cell_that_lasts_months_is_a_fault_of_the_design_and_no_monthly_round() -> None:
    """Held for twenty seconds two hundred times a day: told once, with what helps, instead of each month."""
    held = {"1": {"kind": "follow", "works": "gate.open"}}

    def tasks(presses: float) -> list[Due]:
        crew = {"crew": {"count": 4, "buttons": {"1": "f1"}, "presses_per_day": presses}}
        case = a_case(held, groups=crew)
        due = due_list(case, FobRegister(), (), today=TODAY)
        return [task for task in due if task.id in ("cells: crew", "way of working: crew")]

    (much,) = tasks(200.0)
    assert (much.id, much.again) == ("way of working: crew", ())
    assert "a fault of the design, no upkeep" in much.because
    assert [task.id for task in tasks(40.0)] == ["cells: crew"]


def test_equal_tasks_of_one_day_are_one_line_of_a_round() -> None:
    """Cells of two equal groups; each task keeps its own id, to be checked off."""
    grey = {"count": 4, "buttons": {"1": "f1"}, "presses_per_day": 40.0}
    groups = {"grey A": grey, "grey B": grey}
    case = a_case(GATE, groups=groups)
    rounds = visits(case, due_list(case, FobRegister(), (), today=TODAY), today=TODAY)
    (line,) = {line.does: line for whole in rounds for line in whole.lines() if "cells" in line.does}.values()

    assert "grey A and B" in line.does
    assert [task.id for task in line.tasks] == ["cells: grey A", "cells: grey B"]


def test_a_battery_of_unknown_age_is_looked_at_first(house: Case) -> None:
    """Nobody changes it because nobody wrote its date down."""
    bare = change_job(house, {("premises", "larkfen", "supplies", "main", "battery", "changed"): None})
    due = due_list(bare, FobRegister(), (), today=TODAY)
    (task,) = (task for task in due if task.id.startswith("battery: "))

    assert task.does.startswith("Read the date of the battery of larkfen/main")
