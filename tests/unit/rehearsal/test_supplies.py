"""Supplies that fail one by one and return in any order: searched, played, in the table of a power cut."""

from __future__ import annotations

from typing import Any

import pytest

from farpress.case.case import Case
from farpress.domain.finding import Verdict
from farpress.errors import InputError
from farpress.rehearsal.play import play
from farpress.rehearsal.power import PowerRow, power_cut_table
from farpress.rehearsal.rules import rehearse
from helpers.logic_case import GARAGE, STRIKE, a_case
from helpers.rehearsal_jobs import MAGNET

PUMP: dict[str, Any] = {"device": "pump", "inputs": {"on": {"logic": "on", "wants": "maintained"}}}
TWO = {"supplies": {"main": {"at": (0.0, 0.0)}, "field": {"at": (9.0, 0.0)}}}
BACK = {"never": "works after power return", "of": ("f1",)}


def _case(output: dict[str, Any], *, receiver_on: str | None = "main", **more: Any) -> Case:
    return a_case(
        {"1": output},
        devices={"pump": PUMP, "magnet": MAGNET, "strike": STRIKE, "garage": GARAGE},
        box={"fed": {"from": receiver_on}} if receiver_on else {},
        house=TWO,
        rules=(BACK,),
        **more,
    )


def _row(case: Case, path: str) -> PowerRow:
    return next(row for row in power_cut_table(case) if row.path == path)


@pytest.mark.parametrize(
    ("output", "verdict"),
    [
        ({"kind": "toggle", "works": "pump.on", "load_from": "field"}, Verdict.FAILS),
        ({"kind": "toggle", "works": "pump.on", "load_from": "main"}, Verdict.HOLDS),
        ({"kind": "toggle", "works": "pump.on"}, Verdict.UNKNOWN),
        ({"kind": "pulse", "for_s": 9.0, "works": "pump.on", "load_from": "field"}, Verdict.HOLDS),
        ({"kind": "follow", "works": "pump.on", "load_from": "field"}, Verdict.HOLDS),
        ({"kind": "pulse", "for_s": 1.0, "works": "garage.start"}, Verdict.HOLDS),
    ],
)
def test_a_load_that_is_still_switched_on_starts_as_its_supply_returns(
    output: dict[str, Any], verdict: Verdict
) -> None:
    """The receiver forgets in its own cut, not in that of the load; a pulse or a held press only goes on."""
    (result,) = rehearse(_case(output), rules=(1,))

    assert result.verdict is verdict
    if verdict is Verdict.FAILS:
        assert "the supply field returns" in result.says
    if verdict is Verdict.UNKNOWN:
        assert any("what feeds pump" in ask for ask in result.asks)


@pytest.mark.parametrize(
    ("supplies", "runs_on", "verdict"),
    [
        (("main",), "dc", Verdict.HOLDS),
        (("main",), "mains", Verdict.UNKNOWN),
        (("main",), "potential-free", Verdict.UNKNOWN),
        (("main",), None, Verdict.UNKNOWN),
        (("main", "field"), "dc", Verdict.UNKNOWN),
        ((), "dc", Verdict.UNKNOWN),
    ],
)
def test_extra_low_voltage_comes_from_the_only_supply(
    supplies: tuple[str, ...], runs_on: str | None, verdict: Verdict
) -> None:
    """Where one is described and the pump says nothing; the mains of a house may fail without its supply."""
    case = a_case(
        {"1": {"kind": "toggle", "works": "pump.on"}},
        devices={"pump": PUMP | {"supply": runs_on}},
        box={"fed": {"from": supplies[0]}} if supplies else {},
        house={"supplies": {name: TWO["supplies"][name] for name in supplies}},
        rules=(BACK,),
    )

    assert rehearse(case, rules=(1,))[0].verdict is verdict


def test_a_receiver_that_wakes_last_pulses_on() -> None:
    """It takes up the rest of its pulse when the pump has its current already: by itself, in either order."""
    output = {
        "kind": "pulse",
        "for_s": 60.0,
        "works": "pump.on",
        "load_from": "field",
        "after_power_return": "off",
    }
    resumed = rehearse(_case({**output, "after_power_return": "as before"}), rules=(1,))[0]

    assert rehearse(_case(output), rules=(1,))[0].verdict is Verdict.HOLDS
    assert resumed.verdict is Verdict.FAILS


def test_the_table_tells_where_one_supply_alone_makes_a_difference() -> None:
    """The pump is off after a cut of all, and on after a cut of its own supply; a shared one makes none."""
    row = _row(_case({"kind": "toggle", "works": "pump.on", "load_from": "field"}), "house/pump")

    assert (row.before, row.during, row.after, row.comes_on) == ("on", "off", "off", False)
    assert [(cut.cut, cut.after, cut.comes_on) for cut in row.alone] == [
        ("the supply field alone", "on", True)
    ]
    assert not _row(_case({"kind": "toggle", "works": "pump.on", "load_from": "main"}), "house/pump").alone


def test_the_order_of_return_stands_in_the_table() -> None:
    """A state kept through the cut of all is there whichever returns first; the output says so by itself."""
    kept = {"kind": "toggle", "works": "pump.on", "load_from": "field", "after_power_return": "as before"}
    row = _row(_case(kept), "house/pump")

    assert (row.after, row.comes_on) == ("on", True)
    assert not row.alone


@pytest.mark.parametrize(("load_from", "held"), [("main", "unlocked"), ("field", "locked")])
def test_a_lock_on_a_break_contact_stands_as_its_current_does(load_from: str, held: str) -> None:
    """Held through the break contact: a cut of the receiver releases it only on the same supply."""
    output = {
        "kind": "pulse",
        "for_s": 5.0,
        "works": "magnet.release",
        "contact": "normally closed",
        "load_from": load_from,
    }
    line = play(_case(output), "0 s: power off of R1; 5 s: power on of R1; 9 s: wait")
    spans = next(track.spans for track in line.tracks if track.name == "house/magnet")
    locked_in_the_cut = any(span.from_s <= 2.0 <= span.to_s for span in spans if span.state == "locked")

    assert locked_in_the_cut is (held == "locked")
    assert any(span.to_s >= 9.0 for span in spans if span.state == "locked")


@pytest.mark.parametrize(
    ("story", "is_on", "is_broken"),
    [
        ("0 s: pair press f1; 2 s: power off of pump; 4 s: power on of pump; 9 s: wait", True, True),
        ("0 s: pair press f1; 2 s: power off of main; 4 s: power on of main; 9 s: wait", False, False),
        ("0 s: pair press f1; 2 s: power off; 4 s: power on; 9 s: wait", False, False),
        ("0 s: power off of R1; 2 s: pair press f1; 4 s: power on of R1; 9 s: wait", False, False),
    ],
)
def test_a_story_cuts_one_supply(story: str, is_on: bool, is_broken: bool) -> None:
    """Named by itself or by what hangs on it; a press is not heard by a receiver without current."""
    line = play(_case({"kind": "toggle", "works": "pump.on", "load_from": "field"}), story)
    spans = next(track.spans for track in line.tracks if track.name == "house/pump")

    assert any(span.to_s >= 9.0 for span in spans) is is_on
    assert bool(line.broken) is is_broken


def test_a_supply_that_nothing_of_a_story_hangs_on_is_refused() -> None:
    """Told with its name."""
    with pytest.raises(InputError, match="hangs on house/lamp"):
        play(_case({"kind": "toggle", "works": "pump.on"}), "0 s: power off of lamp; 1 s: pair press f1")


@pytest.mark.parametrize(
    ("load_from", "verdict"), [("field", Verdict.FAILS), ("main", Verdict.FAILS), (None, Verdict.UNKNOWN)]
)
def test_a_lock_that_falls_open_with_its_supply_opens_at_any_hour(
    load_from: str | None, verdict: Verdict
) -> None:
    """A time switch keeps the button to its hours; nothing keeps the supply of a magnetic lock to them."""
    output = {"kind": "pulse", "for_s": 3.0, "works": "magnet.release", "contact": "normally closed"}
    kept = {"output": "house/R1/1", "hours": "06:00-20:00", "hours_by": "time switch"}
    case = a_case(
        {"1": {**output, **({"load_from": load_from} if load_from else {})}},
        devices={"magnet": MAGNET},
        box={"fed": {"from": "main"}},
        house=TWO,
        functions={"f1": kept},
        rules=({"never": "works outside hours", "of": ("f1",)},),
    )
    (result,) = rehearse(case, rules=(1,))

    assert result.verdict is verdict
    assert result.story is not None
    assert not any("pressed" in step.says for step in result.story.steps)
    assert any("what feeds magnet" in ask for ask in result.asks) is (load_from is None)


@pytest.mark.parametrize("load_from", ["main", "field"])
def test_a_cut_of_the_premises_takes_the_supply_of_a_lock_on_a_break_contact(load_from: str) -> None:
    """Whichever of its supplies feeds the magnet: released while all are away, held again after."""
    output = {"kind": "pulse", "for_s": 5.0, "works": "magnet.release", "contact": "normally closed"}
    row = next(
        row
        for row in power_cut_table(_case({**output, "load_from": load_from}))
        if row.path == "house/magnet"
    )

    assert (row.during, row.after) == ("released", "locked")
