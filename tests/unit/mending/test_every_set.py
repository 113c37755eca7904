"""Small jobs mended, held against every set of changes judged one by one: the same cost, no other."""

from __future__ import annotations

from itertools import product
from pathlib import Path
from typing import Any

import pytest

from farpress.case.door import open_job
from farpress.mending.candidates import Candidate
from farpress.mending.plan import mend
from farpress.mending.result import MendingPlan
from helpers.every_set import EverySet, every_change, every_set, left_worth
from helpers.small_jobs import HALL, LOADS, PULSES, gate_text

pytestmark = pytest.mark.long

Wish = dict[str, Any]

_FEW: Wish = {"keep": ("main",), "forbid": ("pairs", "solid-2x1.5", "flex-2x0")}
"""Of what could be done at the gate only so much that every set can be looked at in a moment."""

_WEAK = "{part: supply-12v-1a5, battery: {part: lead-7ah}"

# 23 jobs: two need nothing, nine have two cheapest sets, eight leave what nothing cures that is allowed
JOBS: list[tuple[str, Wish]] = [
    *((gate_text(pulse, "", load), {}) for pulse, load in product(PULSES, LOADS)),
    *((gate_text(pulse, siren, "0.05 A"), _FEW) for pulse, siren in product(PULSES, ("30 m", "60 m"))),
    (gate_text("50 ms", "30 m", "0.05 A"), _FEW | {"budget_min": 4}),
    (gate_text("50 ms", "30 m", "0.05 A"), _FEW | {"budget_min": 10}),
    (gate_text("50 ms", "30 m", "0.3 A"), {"keep": ("siren",), "budget_min": 24}),
    (gate_text("50 ms", "60 m", "0.3 A"), {"keep": ("siren",), "forbid": ("supply",)}),
    (gate_text("3 h", "60 m", "0.3 A"), {"keep": ("house",)}),
    (HALL, {"keep": ("main", "R1/1"), "forbid": ("contactor",)}),
    (HALL, {"keep": ("main", "R1/2", "alarm"), "forbid": ("solid", "relay")}),
    (HALL.replace(_WEAK, "{part: supply-12v-1a"), {"keep": ("main", "R1/1")}),
]


def _search(number: int, folder: Path) -> tuple[MendingPlan, EverySet]:
    """The plan of one of the jobs, and what every set of what is allowed gives."""
    text, wish = JOBS[number]
    (folder / "job.yaml").write_text(text, encoding="utf-8")
    plan = mend(open_job(folder), **wish)
    allowed = [made for made in every_change(folder) if _is_wished(made, wish)]
    every = every_set(folder, allowed, folder / "changed", budget_min=wish.get("budget_min"))
    return plan, every


def _is_wished(made: Candidate, wish: Wish) -> bool:
    named = f"{made.does} {[change.value for change in made.changes]}".casefold()
    touched = [list(map(str, change.path)) for change in made.changes]
    return not any(word in named for word in wish.get("forbid", ())) and not any(
        "/".join(path).find(f"/{thing.replace('R1/', 'R1/outputs/')}/") >= 0
        for path in [[*keys, ""] for keys in touched]
        for thing in wish.get("keep", ())
    )


@pytest.mark.parametrize("number", range(len(JOBS)))
def test_no_set_of_changes_is_better_or_as_good_for_less(number: int, tmp_path: Path) -> None:
    """What is left is worth as little as can be, and for that the minutes are the fewest: both equal."""
    plan, every = _search(number, tmp_path)

    assert (left_worth(plan.before, plan.after), plan.minutes) == (every.left, every.minutes)
