"""Plans for whole jobs: buttons, replacement in two mornings, counters, findings from the record."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from scipy import stats

from farpress.case.case import Case
from farpress.case.changed import with_changes
from farpress.case.door import open_job
from farpress.core.keys.layout_problem import USUAL
from farpress.domain.acts import FobHeard, Note
from farpress.domain.finding import Change, Verdict
from farpress.domain.job import Button, Group
from farpress.domain.refs import ReceiverRef
from farpress.errors import InputError
from farpress.judging.register.record import judge
from farpress.keys.counters import exposures
from farpress.keys.layout import layout_problem, plan_layout
from farpress.keys.rights import buttons_of
from farpress.keys.split import plan_split
from farpress.keys.waves import Morning, plan_replacement
from helpers.keys_book import branches, with_lost_fob
from survey import ROOT

EXAMPLES = ROOT / "examples"


@pytest.fixture(scope="module")
def four() -> Case:
    """The example with four branches."""
    return open_job(EXAMPLES / "brindlemark")


@pytest.fixture(scope="module")
def court() -> Case:
    """The example with 600 holders."""
    return open_job(EXAMPLES / "tallowmere-court")


@pytest.mark.long
@pytest.mark.parametrize("name", ["brindlemark", "tallowmere-court", "larkfen-house"])
def test_every_example_has_a_proven_plan_with_every_function_once(name: str) -> None:
    """Nobody loses a function, nobody gets one, and the plan is proven best."""
    case = open_job(EXAMPLES / name)
    plan = plan_layout(case)

    assert plan.layout is not None
    assert plan.layout.is_proven
    for group, wanted in case.job.groups.items():
        before = sorted({function for functions in buttons_of(wanted).values() for function in functions})
        after = sorted(function for row in plan.rows() if row[0] == group for function in row[2].split(", "))
        assert after == before


def test_the_four_branches_have_one_button_for_one_kind(four: Case) -> None:
    """Gate outside, door inside, lights, unset held long: the same at every branch, unset never beside the
    gate.
    """
    plan = plan_layout(four, costs=USUAL._replace(relearn=1.0))

    assert plan.layout is not None
    assert plan.layout.parts["elsewhere"] == 0
    assert plan.layout.parts["near"] == 0
    assert {plan.layout.home[kind] for kind in ("open", "unlock", "light", "unset")} == {1, 2, 3, 4}
    assert all(one.long for one in plan.layout.placed if one.kind == "unset")


def test_a_memory_that_counts_buttons_is_noticed(court: Case) -> None:
    """600 holders and 30 spares with two buttons each in a memory for 1 000 buttons."""
    plan = plan_layout(court)
    (note,) = plan.too_small

    assert (
        "court/R2 holds 1000 buttons; every plan needs 1260, orrindell, nordheath and quibblestone alone need"
        " 1012." in note
    )
    assert "Take one that counts fobs (630 would fit)" in note
    assert "give up the rights of nordheath there (312 records)" in note
    assert plan.exchanged == {"old wicket fobs": 9}, "a fixed code is no type to keep"


def _with_group(case: Case, name: str, group: Group, **people: object) -> Case:
    job = case.job.model_copy(update={"groups": {name: group}, "people": people or case.job.people})
    return replace(case, job=job)


DOCKS = ["dock 1 up", "dock 1 down", "dock 2 up", "dock 2 down"]


def test_five_held_functions_on_four_buttons_take_a_second_fob(four: Case) -> None:
    """What moves while held is never pressed long: the gate goes on a second fob, for up and down of a dock
    belong together, and nobody loses a function.
    """
    buttons = {**{str(at): name for at, name in enumerate(DOCKS, 1)}, "5": "oakmire gate"}
    plan = plan_layout(_with_group(four, "dock crew", Group(fob="F4", count=4, buttons=buttons)))

    assert plan.further == {"dock crew 2": "dock crew"}
    assert sorted(row[2] for row in plan.rows()) == sorted([*DOCKS, "oakmire gate"])
    assert [row[2] for row in plan.rows() if row[0] == "dock crew 2"] == ["oakmire gate"]
    assert plan.learnings >= 4, "four further fobs are learned"


def test_five_held_functions_on_one_button_say_why_not(four: Case) -> None:
    """Nobody carries five fobs: the ways out are named."""
    small = with_changes(four, [Change(("parts", "F4", "buttons"), 1)])
    buttons = {**{str(at): name for at, name in enumerate(DOCKS, 1)}, "5": "oakmire gate"}
    plan = plan_layout(_with_group(small, "dock crew", Group(fob="F4", count=4, buttons=buttons)))

    assert plan.layout is None
    assert "these cannot all be" in plan.why_not[0]
    assert "no more than 1 buttons" in plan.why_not[0]
    assert "a fob with more than 1 buttons, or a second fob" in plan.why_not[1]


def test_nobody_comes_with_the_fob_for_a_nearness_alone(four: Case) -> None:
    """Unset beside the gate on fobs that are learned: told (FOB-08), not moved; on new fobs it lies apart."""
    group = Group(
        fob="F4",
        count=40,
        buttons={"1": "oakmire gate", "2": Button(long="oakmire unset")},  # type: ignore[arg-type]
    )
    learned = plan_layout(_with_group(four, "drivers", group))
    new = plan_layout(_with_group(four, "drivers", group), costs=USUAL._replace(relearn=0.0))

    assert learned.moved == {}
    assert learned.learnings == 0
    assert new.layout is not None
    assert new.layout.parts["near"] == 0


@pytest.mark.parametrize(
    ("fields", "function"),
    [({"people": ("Ilse",)}, "oakmire gate"), ({"pool": True, "count": 3}, "oakmire unset")],
)
def test_children_and_pools_have_no_grave_rights(
    four: Case, fields: dict[str, object], function: str
) -> None:
    """A child with the gate, a fob of nobody with the unset right: refused with what to sign."""
    from farpress.domain.job import Person

    group = Group(fob="F4", buttons={"1": function}, **fields)  # type: ignore[arg-type]
    plan = plan_layout(_with_group(four, "these", group, Ilse=Person(age=9)))

    assert plan.layout is None
    assert "for this group" in plan.why_not[0]
    assert "after all, signed for" in plan.why_not[1]


def test_the_problem_merges_what_one_press_does(court: Case) -> None:
    """Entry and ramp lights are one press; they stay one."""
    groups, rules, functions, _ = layout_problem(court)

    assert functions["orrindell", "court", "open"] == ("entry", "ramp lights")
    assert rules.types == {"F4": 4}
    assert next(group.fobs for group in groups if group.name == "orrindell") == 223


def _mornings(*hours: tuple[int, int]) -> list[Morning]:
    first = datetime(2026, 12, 1, 0, 0)
    return [
        Morning(first + timedelta(days=at, hours=begin), first + timedelta(days=at, hours=end))
        for at, (begin, end) in enumerate(hours)
    ]


def test_the_court_is_learned_in_two_mornings(court: Case) -> None:
    """600 holders and 41 pool fobs, half a minute each: no tenant is split, each wave has room, all are
    done.
    """
    plan = plan_replacement(court, None, "court/R1", _mornings((7, 10), (7, 10)), stations=2)
    days: dict[str, set[int]] = {}
    for wave in plan.waves:
        assert sum(wave.groups.values()) <= 60
        for name in wave.groups:
            days.setdefault(name, set()).add(wave.at.day)

    assert plan.fobs == sum(sum(wave.groups.values()) for wave in plan.waves) == 641
    assert plan.split == ()
    assert all(len(one) == 1 for one in days.values())
    assert (
        max(sum(sum(wave.groups.values()) for wave in plan.waves if wave.at.day == day) for day in (1, 2))
        <= 370
    )
    assert any("4 stations would keep it under 5 min" in one for one in plan.says)


@pytest.mark.long
def test_fobs_of_the_register_are_listed_wave_by_wave(tmp_path: Path) -> None:
    """Each label once, in the waves of its tenant."""
    with branches(tmp_path) as book:
        for number in range(40):
            label = f"BM-{number:03}"
            book.receive(label)
            book.issue(label, pool=f"pool {number}", group="temps", organisation=f"firm {number % 2}")
            book.learn(label, "oakmire/O1", slot=str(number))
        plan = plan_replacement(book.case, book.register, "oakmire/O1", _mornings((7, 8)), stations=1)

    assert sorted(label for wave in plan.waves for label in wave.fobs) == [
        f"BM-{number:03}" for number in range(40)
    ]
    assert all(len(wave.fobs) == sum(wave.groups.values()) for wave in plan.waves)


def test_too_little_time_is_said(court: Case) -> None:
    """641 fobs do not fit into an hour."""
    with pytest.raises(
        InputError, match=r"need 320 min; 1 stretch of together 60 min do not hold them\. 6 stations would do"
    ):
        plan_replacement(court, None, "court/R1", _mornings((7, 8)))
    with pytest.raises(InputError, match="ends after it begins"):
        plan_replacement(court, None, "court/R1", _mornings((8, 7)))
    with pytest.raises(InputError, match="no receiver"):
        plan_replacement(court, None, "court/R9", _mornings((7, 8)))


def test_tenants_are_merged_and_what_cannot_be_shared_out_is_said(court: Case) -> None:
    """Two receivers into one that holds both; a tenant that is too large alone; too few receivers."""
    one = plan_split(court, ["court/R1", "court/R2"], 1, capacity=3000)
    apart = plan_split(court, "court/R2", 2)
    assert len(one.tenants) == 1
    assert set(one.tenants[0]) >= {name for names in apart.tenants for name in names}
    with pytest.raises(InputError, match="Orrindell Partners alone need 446 of 400 buttons"):
        plan_split(court, "court/R2", 4, capacity=400)
    with pytest.raises(InputError, match="1260 buttons need 3 receivers for 450 each at least; 2 were given"):
        plan_split(court, "court/R2", 2, capacity=450)
    with pytest.raises(InputError, match="closest: court/R"):
        plan_split(court, "court/R22", 2)


def test_two_receivers_share_the_tenants(court: Case) -> None:
    """1 260 buttons over two memories of 1 000: each tenant at one of them, the fuller below two thirds."""
    plan = plan_split(court, "court/R2", 2)

    assert sum(used for used, _ in plan.fill) == 1260
    assert max(used for used, _ in plan.fill) == 646
    assert plan.proven


def test_counters_follow_from_when_a_fob_was_last_heard(tmp_path: Path) -> None:
    """Fourteen presses a day elsewhere for one day, window sixteen: 0.33 by the Poisson law of another
    library.
    """
    with with_lost_fob(tmp_path) as book:
        event = book.record.append(
            FobHeard(fob="BM-047-P", receiver="sarnbeck/S1"), job=book.job, by="receiver"
        )
        heard = datetime.fromisoformat(event.moment.replace("Z", "+00:00"))
        found = {
            one.receiver: one
            for one in exposures(book.register, book.people, book.case, now=heard + timedelta(days=1))
        }
        one = found["sarnbeck/S1"]

        assert one.heard
        assert not found["vessing/V1"].heard
        assert one.ignored_share == pytest.approx(stats.poisson(14).sf(15), abs=1e-9)
        assert one.ignored_share == pytest.approx(0.330640, abs=1e-6)
        assert one.dead_share == pytest.approx(0)
        assert one.visit_by == (heard + timedelta(days=0.717)).date().isoformat()


def test_findings_come_from_the_record_and_hold_no_names(tmp_path: Path) -> None:
    """Lost and still learned, a leaver with a fob, a counter long away: judged as of the last entry, twice
    the same.
    """
    with with_lost_fob(tmp_path) as book:
        case = book.case
        assert case is not None
        book.record.append(FobHeard(fob="BM-047-P", receiver="sarnbeck/S1"), job=book.job, by="receiver")
        before = {finding.code: finding for finding in judge(case)}
        book.record.append(
            Note(says="two days later"),
            job=book.job,
            by="installer",
            moment=datetime.now(UTC) + timedelta(days=2),
        )
        later = {finding.code: finding for finding in judge(case)}
        book.lost("BM-047-P")
        after = {finding.code: finding for finding in judge(case)}

        assert {code: finding.verdict for code, finding in before.items()} == dict.fromkeys(
            ("REG-10", "REG-11", "REG-12", "REG-13", "REG-14"), Verdict.HOLDS
        )
        assert later["REG-14"].verdict is Verdict.THIN
        assert after["REG-10"].verdict is Verdict.FAILS
        assert after["REG-10"].subjects == (
            ReceiverRef("lowdrift/L1"),
            ReceiverRef("oakmire/O1"),
            ReceiverRef("sarnbeck/S1"),
            ReceiverRef("vessing/V1"),
            ReceiverRef("vessing/V2"),
        )
        assert list(judge(case)) == list(judge(case))


def test_a_job_without_a_record_has_no_findings_from_it(four: Case) -> None:
    """And none is made by asking."""
    assert list(judge(four)) == []
    assert not (EXAMPLES / "brindlemark" / "record.sqlite").exists()


def test_what_rolling_codes_do_not_keep_out_is_said_once(four: Case) -> None:
    """One note without a figure and without a promise of its own; thin because alarms are unset by radio."""
    from farpress.judging.register.security import judge as judge_security

    (note,) = judge_security(four)

    assert note.verdict is Verdict.THIN
    assert note.value is None
    assert note.subjects == ()
    assert "jammed and recorded" in note.says
    assert (
        list(
            judge_security(
                _with_group(four, "light", Group(fob="F4", count=1, buttons={"1": "oakmire lights"}))
            )
        )
        == []
    )
