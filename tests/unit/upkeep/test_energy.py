"""Upkeep of batteries and of the sun says what judging says, and tells a fault of the design from wear."""

from __future__ import annotations

from datetime import date
from functools import cache

import pytest

import farpress
from farpress.case.case import Case
from farpress.domain.register import FobRegister
from farpress.upkeep.ask import battery_ages, due_list
from farpress.upkeep.due import Due
from farpress.upkeep.energy import energies_of
from survey import ROOT

TODAY = date(2026, 11, 25)
MAIN = ("premises", "larkfen", "supplies", "main")
SUN = {"power": "10 W", "sun": {"dec": "0.7 h"}, "yield": "65 %", "charge_voltage": "13.2 V"}


@cache
def _house() -> Case:
    return farpress.open_job(ROOT / "examples" / "larkfen-house")


def _due(case: Case) -> dict[str, Due]:
    return {due.id: due for due in due_list(case, FobRegister(), (), today=TODAY)}


@pytest.mark.parametrize("job", ["larkfen-house", "tallowmere-court", "brindlemark"])
def test_each_battery_says_what_judging_says(job: str) -> None:
    """The hours of SUP-04 stand in the task, word by word; a supply that fails has its fault told apart."""
    case = farpress.open_job(ROOT / "examples" / job)
    places = [path.partition("/") for path in energies_of(case)]
    case = farpress.change(
        case,
        {("premises", place, "supplies", name, "battery", "changed"): "2019-11" for place, _, name in places},
    )
    judged = {f.about: f for f in farpress.assess(case).findings if f.code == "SUP-04"}
    due = _due(case)

    for path, energy in energies_of(case).items():
        assert energy.hours == judged[path]
        assert judged[path].says in due[f"battery: {path}"].because
        assert (f"design: SUP-04 {path}" in due) == (judged[path].verdict.value == "fails")


def test_a_battery_that_the_sun_charges_is_measured_and_not_counted_by_age() -> None:
    """No mains to switch off, no age of a standby battery: the panel before winter, the balance as judged."""
    sunny = farpress.change(_house(), {(*MAIN, "solar"): SUN})
    (balance,) = (f for f in farpress.assess(sunny).findings if f.code == "SUP-30")
    due = _due(sunny)

    assert balance.says in due["sun: larkfen/main"].because
    assert "standby: larkfen" in _due(_house())
    assert "standby: larkfen" not in due
    assert balance.verdict.value == "fails"
    assert balance.says in due["design: SUP-30 larkfen/main"].because
    (age,) = (
        age
        for age in battery_ages(
            farpress.change(sunny, {(*MAIN, "battery", "changed"): "2025-10"}), (), today=TODAY
        )
        if age.supply == "larkfen/main"
    )
    assert age.failed_share is None
    assert age.due_on == date(2027, 10, 15)
