"""What there is only so much of, against what is asked of it: outputs, buttons, fobs, hours."""

from __future__ import annotations

from typing import Any

import pytest

from farpress.case.case import Case
from farpress.domain.finding import Finding, Stake, Verdict
from farpress.judging.fob import stock as fob_stock
from farpress.judging.output import stock as output_stock
from farpress.judging.output import suits
from farpress.judging.register import memory
from farpress.judging.register import stock as register_stock
from helpers.findings import finding_of
from helpers.logic_case import a_case

HOLDS, THIN, UNKNOWN, FAILS = Verdict.HOLDS, Verdict.THIN, Verdict.UNKNOWN, Verdict.FAILS
OPEN: dict[str, Any] = {"kind": "pulse", "for_s": 0.5, "works": "gate.open"}


def wanting(number: int, relays: int | None = 4) -> Case:
    """Three outputs that are used, and functions without one, promised from here."""
    outputs = {str(n): OPEN for n in range(1, 4)}
    functions = {f"f{n}": {"output": f"house/R1/{n}"} for n in outputs}
    functions |= {f"g{n}": {} for n in range(number)}
    promises = tuple({"to": "pair", "function": name, "from": "here"} for name in functions)
    return a_case(outputs, functions=functions, promises=promises, receiver={"relays": relays})


@pytest.mark.parametrize(
    ("number", "relays", "verdict"), [(1, 4, HOLDS), (2, 4, FAILS), (2, 5, HOLDS), (1, None, UNKNOWN)]
)
def test_out_12_functions_need_outputs(number: int, relays: int | None, verdict: Verdict) -> None:
    """Five are wanted of four: counted, so exactly enough is enough."""
    finding = finding_of(output_stock.judge(wanting(number, relays)), "OUT-12")

    assert finding.verdict is verdict
    assert finding.value == 3 + number
    assert f"3 outputs at house are used, and {'g0' if number == 1 else 'g0 and g1'} " in finding.says
    assert f": {3 + number} in all; " in finding.says


def test_out_12_is_silent_where_every_function_has_its_output() -> None:
    """Nothing is wanted that is not there."""
    assert list(output_stock.judge(wanting(0))) == []


@pytest.mark.parametrize(("relays", "verdict"), [(3, FAILS), (4, HOLDS)])
def test_out_12_what_turns_its_volts_round_needs_two(relays: int, verdict: Verdict) -> None:
    """Two valves that latch, each on one output: four in all, however well the functions are served."""
    valve = {"device": "valve", "reverses": "polarity", "inputs": {"open": {"logic": "open only"}}}
    outputs = {
        str(n): {"kind": "pulse", "for_s": 0.2, "works": f"v{n}.open", "load_from": "main"} for n in (1, 2)
    }
    case = a_case(
        outputs,
        devices={"v1": valve, "v2": valve},
        receiver={"relays": relays},
        house={"supplies": {"main": {"supply": "dc"}}},
    )
    finding = finding_of(output_stock.judge(case), "OUT-12")

    assert (finding.verdict, finding.value) == (verdict, 4)
    assert "v1 and v2 need one more each to turn the volts round" in finding.says


@pytest.mark.parametrize(("most", "verdict"), [(5, FAILS), (6, HOLDS), (None, UNKNOWN)])
def test_fob_07_six_functions_need_six_buttons(most: int | None, verdict: Verdict) -> None:
    """Four on buttons, two promised and on none."""
    functions = {f"f{n}": {"output": "house/R1/1"} for n in range(6)}
    promises = tuple({"to": "nurses", "function": f"f{n}", "from": "here"} for n in (0, 4, 5))
    groups = {"nurses": {"count": 2, "buttons": {str(n): f"f{n}" for n in range(4)}}}
    case = a_case({"1": OPEN}, functions=functions, groups=groups, promises=promises, fob={"buttons": most})
    finding = finding_of(fob_stock.judge(case), "FOB-07")

    assert (finding.verdict, finding.value) == (verdict, 6.0)
    if verdict is FAILS:  # only what has no button left is the worse for it
        assert [ref.path for ref in finding.subjects] == ["nurses", "f4", "f5"]


@pytest.mark.parametrize(
    ("buttons", "most", "verdict", "value"),
    [
        ({"1": ("f0", "f1"), "2": ("f2", "f3")}, 4, HOLDS, 2.0),
        ({"1": ("f0", "f1"), "2": ("f2", "f3")}, 3, THIN, 4.0),
        ({"1": ("f0", "f1"), "2": "f0", "3": "f1"}, 3, HOLDS, 3.0),
        ({"1": {"short": ("f0", "f1"), "long": "f2"}}, 1, THIN, 2.0),
        ({"1": {"short": "f0", "long": "f1"}}, 1, HOLDS, 1.0),
        ({"1": ("f0", "f1")}, None, UNKNOWN, 1.0),
        ({"1": ("f0", "light")}, 1, HOLDS, 1.0),
    ],
)
def test_fob_07_functions_crammed_on_one_press_are_counted_apart(
    buttons: dict[str, Any], most: int | None, verdict: Verdict, value: float
) -> None:
    """Enough buttons to have each alone: nothing to say. A light, or what can be had alone, is not tied."""
    functions = {f"f{n}": {"output": "house/R1/1"} for n in range(4)} | {
        "light": {"output": "house/R1/1", "kind": "light"}
    }
    groups = {"nurses": {"count": 2, "buttons": buttons}}
    case = a_case({"1": OPEN}, functions=functions, groups=groups, fob={"buttons": most})
    finding = finding_of(fob_stock.judge(case), "FOB-07")

    assert (finding.verdict, finding.value) == (verdict, value)
    assert ("lie on one press" in finding.says) is (verdict is THIN)


def register(**plan: Any) -> Case:
    """A hundred holders of one button that opens, and four spares."""
    groups = {"tenants": {"count": 100, "spares": 4, "buttons": {"1": "f1"}}}
    return a_case({"1": OPEN}, groups=groups, register=plan, details={"date": "2027-03-02"})


@pytest.mark.parametrize(("said", "verdict"), [(103, UNKNOWN), (104, HOLDS), (105, UNKNOWN)])
def test_reg_16_fobs_counted_are_those_listed(said: int, verdict: Verdict) -> None:
    """One too many and one too few are asked about; nobody is blamed."""
    finding = finding_of(register_stock.judge(register(fobs=said)), "REG-16")

    assert finding.verdict is verdict
    assert (finding.value, finding.limit) == (said, 104)


@pytest.mark.parametrize(
    ("takes_s", "verdict"), [(2881.0, THIN), (2880.0, THIN), (1441.0, THIN), (1439.0, HOLDS), (None, UNKNOWN)]
)
def test_reg_17_deleting_costs_hours(takes_s: float | None, verdict: Verdict) -> None:
    """50 leave one receiver in a year: 40 h at 48 min each; thin from 20 h on, and at worst: advice."""
    finding = finding_of(
        register_stock.judge(register(churn_share=0.5, delete_takes_s=takes_s, leavers_deleted=True)),
        "REG-17",
    )

    assert finding.verdict is verdict
    if takes_s:
        assert finding.value == pytest.approx(50 * takes_s / 3600)


@pytest.mark.parametrize(
    ("count", "says"), [(498, ""), (500, "1.0 leave on a working day."), (600, "1.2 leave on a working day.")]
)
def test_reg_17_leavers_of_a_working_day_are_told_from_one_on(count: int, says: str) -> None:
    """Half of them leave in a year, of 250 working days."""
    groups = {"tenants": {"count": count, "buttons": {"1": "f1"}}}
    plan = {"churn_share": 0.5, "delete_takes_s": 60.0, "leavers_deleted": True}
    case = a_case({"1": OPEN}, groups=groups, register=plan, details={"date": "2027-03-02"})

    assert finding_of(register_stock.judge(case), "REG-17").because == says


def test_reg_17_is_silent_for_less_than_a_leaver_a_week() -> None:
    """Less than fifty deletions a year are no work."""
    found = register_stock.judge(register(churn_share=0.49, leavers_deleted=True))

    assert "REG-17" not in {finding.code for finding in found}


@pytest.mark.parametrize(
    ("share", "deleted", "verdict"),
    [
        (0.0124, False, THIN),
        (0.0, False, HOLDS),
        (0.0126, False, FAILS),
        (0.2, False, FAILS),
        (0.2, True, HOLDS),
        (None, True, HOLDS),
        (None, False, UNKNOWN),
        (0.2, None, UNKNOWN),
        (0.0, None, UNKNOWN),
    ],
)
def test_reg_18_fobs_that_never_come_back_still_open(
    share: float | None, deleted: bool | None, verdict: Verdict
) -> None:
    """40 leave in a year: at 1.25 % half a fob stays out, less is a reservation; at 20 % eight."""
    case = register(churn_share=0.4, unreturned_share=share, leavers_deleted=deleted)
    finding = finding_of(register_stock.judge(case), "REG-18")

    assert (finding.verdict, finding.stake) == (verdict, Stake.HARM)
    if verdict is FAILS and share == 0.2:
        assert finding.value == pytest.approx(8.0)


def test_reg_18_counts_the_fobs_of_a_pool_too() -> None:
    """Four fobs that are lent out; half change hands in a year, one in eight is kept: one in 4 years."""
    pool = {"hirers": {"count": 4, "pool": True, "buttons": {"1": "f1"}}}
    plan = {"churn_share": 0.5, "unreturned_share": 0.125, "leavers_deleted": False}
    finding = finding_of(register_stock.judge(a_case({"1": OPEN}, groups=pool, register=plan)), "REG-18")

    assert (finding.verdict, finding.value) == (THIN, pytest.approx(0.25))
    assert "about 0.25 (one in 4 years) never come back" in finding.says


def test_reg_02_a_memory_soon_full_is_told_in_days_and_to_the_day() -> None:
    """1 014 of 1 200 with 900 holders, 45 % of whom leave: 186 / 405 of a year are 167 days."""
    groups = {"tenants": {"count": 900, "spares": 114, "buttons": {"1": "f1"}}}
    case = a_case(
        {"1": OPEN},
        groups=groups,
        receiver={"capacity": 1200, "capacity_counts": "fobs"},
        register={"churn_share": 0.45, "leavers_deleted": False},
        details={"date": "2027-03-02"},
    )
    finding: Finding = finding_of(memory.judge(case), "REG-02")

    assert finding.verdict is FAILS
    assert finding.value == pytest.approx(186 / 405)
    assert "full after 167 days, about 2027-08-16" in finding.says


@pytest.mark.parametrize(("most", "is_pulse"), [(1800.0, True), (1799.0, False), (None, True)])
def test_out_05_offers_no_pulse_that_the_receiver_cannot_give(most: float | None, is_pulse: bool) -> None:
    """A valve that may run 30 min, toggled: a pulse where it can be set, else a timer of its own."""
    case = a_case({"1": {"kind": "toggle", "works": "valve.on"}}, receiver={"pulse_max_s": most})
    finding = finding_of(suits.judge(case), "OUT-05")

    assert bool(finding.remedies[0].changes) is is_pulse


def test_reg_17_a_leaver_is_deleted_at_each_receiver() -> None:
    """50 of 100 leave, from two receivers: 100 deletions of 3 min, 5 h."""
    case = a_case(
        {"1": OPEN},
        groups={"tenants": {"count": 100, "buttons": {"1": "f1"}}},
        premises=("home", "branch"),
        register={"churn_share": 0.5, "leavers_deleted": True, "delete_takes_s": 180.0},
    )
    finding = finding_of(register_stock.judge(case), "REG-17")

    assert "50 leave in a year, 100 deletions at the receivers: 5.0 h of work" in finding.says
