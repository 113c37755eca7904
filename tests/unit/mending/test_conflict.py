"""What stands in the way: as small as can be, and giving one up gives what a search without it finds."""

from __future__ import annotations

import random
from dataclasses import replace
from itertools import combinations
from pathlib import Path
from typing import Any

import pytest

from farpress.case.case import Case
from farpress.case.door import open_job
from farpress.cli.mend_text import mending_text
from farpress.jobfile.starter import starter_text
from farpress.judging.remedies.effects import fault_key
from farpress.mending.conflict import smallest_conflict
from farpress.mending.plan import mend
from try_conflicts import disagreements

pytestmark = pytest.mark.long


def test_a_conflict_bars_every_way_and_no_smaller_part_of_it_does() -> None:
    """500 drawn tables of ways: every subset of the conflict is tried."""
    draw = random.Random(3)
    for _ in range(500):
        ways = [frozenset(draw.sample("abcdef", draw.randint(1, 3))) for _ in range(draw.randint(1, 6))]
        found = smallest_conflict(ways)

        assert all(way & set(found) for way in ways)
        for size in range(len(found)):
            assert not any(all(way & set(part) for way in ways) for part in combinations(found, size))


def test_without_a_way_or_with_a_free_one_there_is_no_conflict() -> None:
    """Nothing cures it; or something does and goes against nothing."""
    assert smallest_conflict([]) == ()
    assert smallest_conflict([frozenset(), frozenset({"a"})]) == ()


def _opened(folder: Path, text: str) -> Case:
    folder.mkdir()
    (folder / "job.yaml").write_text(text, encoding="utf-8")
    return open_job(folder)


@pytest.fixture(scope="module")
def case(tmp_path_factory: pytest.TempPathFactory) -> Case:
    """A pulse too short at R1, and a siren on cores too thin."""
    text = (
        starter_text("Alder")
        .replace("for: 0.5 s", "for: 50 ms")
        .replace("pressed: in car", "pressed: in hand")
    )
    text = text.replace(
        "    devices:\n",
        "    devices:\n      siren: {part: siren-12v, at: [30, 2],"
        " fed: {from: main, cable: {part: alarm-6x0.22, length: 30 m}}}\n",
    )
    return _opened(tmp_path_factory.mktemp("conflict") / "job", text)


WISHES: tuple[dict[str, Any], ...] = (
    {"keep": ("R1",)},
    {"keep": ("siren",)},
    {"keep": ("R1", "siren")},
    {"keep": ("house",)},
    {"keep": ("R1/1", "R1")},
    {"forbid": ("flex", "solid", "pairs")},
    {"forbid": ("cable", "pulse"), "keep": ("R1",)},
    {"budget_min": 0},
    {"budget_min": 10},
    {"budget_min": 10, "keep": ("R1",)},
)


@pytest.mark.parametrize("wishes", WISHES, ids=repr)
def test_giving_one_wish_up_gives_what_a_search_without_it_finds(case: Case, wishes: dict[str, Any]) -> None:
    """Each wish left out in turn: the fault is cured then if, and only if, the conflict says so."""
    plan = mend(case, **wishes)
    assert plan.conflicts
    for conflict in plan.conflicts:
        promised = {wish for wish, _ in conflict.gives}
        for name, less in _relaxed(wishes).items():
            left = {fault_key(finding) for finding in mend(case, **less).left}
            assert (fault_key(conflict.finding) not in left) is (name in promised), (conflict.between, name)


def _relaxed(wishes: dict[str, Any]) -> dict[str, dict[str, Any]]:
    """What is given up, as the conflict names it → the wishes without it."""
    found: dict[str, dict[str, Any]] = {}
    for kind, given in wishes.items():
        if kind == "budget_min":
            found[f"--budget {given}"] = {key: value for key, value in wishes.items() if key != kind}
            continue
        for name in given:
            found[f"--{kind} {name}"] = wishes | {kind: tuple(other for other in given if other != name)}
    return found


def test_a_rule_against_a_promise_names_both(tmp_path: Path) -> None:
    """Unset only within six metres of the porch, and promised from the street: one sentence with both."""
    text = starter_text("Alder") + (
        "  - {never: works beyond, of: [open gate], from: [porch], distance: 6 m, says: only at the porch}\n"
    )
    plan = mend(_opened(tmp_path / "job", text))
    found = next(conflict for conflict in plan.conflicts if conflict.finding.code == "AIR-03")

    assert found.between == ("rule 2 (only at the porch)",)
    assert found.gives == (("rule 2 (only at the porch)", "the customer signs that it is not kept"),)
    assert found.also == (
        "rule 2 (only at the porch) forbids what 'family: open gate from street' asks: street lies 30.5 m"
        " away, and 6 m are allowed",
    )
    told = " ".join(mending_text(plan).split())
    assert "in the way: rule 2 (only at the porch)." in told
    assert "without rule 2 (only at the porch): the customer signs that it is not kept." in told


def test_every_rule_and_promise_given_up_alone_agrees_with_what_is_told(tmp_path: Path) -> None:
    """Each is taken out of the mended job and judged; were nothing told of the rule, it would be seen."""
    text = starter_text("Alder").replace("for: 0.5 s", "for: 50 ms") + (
        "  - {never: works beyond, of: [open gate], from: [porch], distance: 6 m, says: only at the porch}\n"
    )
    plan = mend(_opened(tmp_path / "job", text))
    silent = replace(plan, conflicts=tuple(replace(found, gives=()) for found in plan.conflicts))

    assert plan.steps
    assert disagreements(plan) == []
    assert any("without rule 2" in line for line in disagreements(silent))
