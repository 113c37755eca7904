"""Jobs that say something odd but can be read: each is judged or refused, in bounded work, no traceback.

Values are swapped, left out, doubled, made a thousand times larger or smaller, zero, negative, or a word in
another script. `FARPRESS_MEANING_CASES=100000` runs as many by hand; the seed is fixed either way.
"""

from __future__ import annotations

import json
import math
import os
import random
import re
from functools import cache

import pytest

import farpress
from farpress.case.case import Case
from farpress.domain.finding import Change
from farpress.errors import FarpressError
from farpress.jobfile.node import Node
from farpress.judging.as_json import assessment_json
from farpress.overview.page import first_page
from helpers.project import ROOT
from helpers.work import counted_work

pytestmark = pytest.mark.long

CASES = int(os.environ.get("FARPRESS_MEANING_CASES", "24"))
MOST_CALLS = 40_000_000
"""Calls of functions that judging one job may take; judging the house from scratch takes a hundredth."""

JOBS = (
    "tests/data/jobs/quarry-cottage.yaml",
    "tests/data/jobs/drawn.yaml",
    "tests/data/jobs/sound_house.yaml",
)
NUMBER = re.compile(r"^(-?\d+(?:\.\d+)?)( ?[^\d\s].*)?$")
WORDS = ("Żółć", "门", "a\u0301" * 8, "no", "yes", "null", "R1", "1", "x" * 200, "=1+1", "<b>", "../x")

Path_ = tuple[str | int, ...]


@cache
def the_case(job: str) -> Case:
    """A job as it stands."""
    return farpress.open_job(ROOT / job)


def places_of(node: Node, path: Path_ = ()) -> list[tuple[Path_, object]]:
    """Every place of a job file with what stands there."""
    children: list[tuple[str | int, Node]] = [(key, child) for key, (_, _, child) in node.items.items()]
    children += list(enumerate(node.elements))
    found: list[tuple[Path_, object]] = []
    for key, child in children:
        found += [((*path, key), plain(child)), *places_of(child, (*path, key))]
    return found


def plain(node: Node) -> object:
    """What stands at a place, without how it was written."""
    return json.loads(json.dumps(node.data, default=str))


def another(value: object, chance: random.Random) -> object:
    """Something odd in the place of a value."""
    found = NUMBER.match(str(value)) if not isinstance(value, dict | list | bool) else None
    if found is None:
        return chance.choice([*WORDS, None, [], {}, True, 0, value])
    factor = chance.choice([0, -1, 1e-9, 1e-3, 0.1, 10, 1e3, 1e6, 1e12])
    number = float(found[1]) * factor
    return f"{number:g}{found[2]}" if found[2] else number


def changes_of(case: Case, chance: random.Random) -> tuple[Change, ...]:
    """One to three odd changes."""
    assert case.document is not None
    places, found = places_of(case.document.tree), []
    for _ in range(chance.choice([1, 1, 2, 3])):
        path, value = chance.choice(places)
        kind = chance.randrange(5)
        if kind == 0:
            found.append(Change(path, None))
        elif kind == 1:
            alike = [other for where, other in places if where[-1] == path[-1] and other != value]
            found.append(Change(path, chance.choice(alike) if alike else value))
        elif kind == 2 and isinstance(path[-1], str):
            found.append(Change((*path[:-1], chance.choice([*WORDS, f"{path[-1]}2"])), value))
        else:
            found.append(Change(path, another(value, chance)))
    return tuple(found)


def tried(case: Case, changes: tuple[Change, ...]) -> tuple[Case | None, str]:
    """The job after the changes, or why it is refused."""
    try:
        return farpress.change(case, {change.path: change.value for change in changes}), ""
    except FarpressError as refused:
        return None, str(refused)


def odd_numbers(text: str) -> list[str]:
    """Numbers in JSON that are none."""
    found: list[str] = []
    json.loads(text, parse_constant=found.append)
    return found


@pytest.mark.parametrize("job", JOBS)
def test_an_odd_job_is_judged_or_refused(job: str) -> None:
    """No traceback, no number that is none, no work without end; the same job gives the same words."""
    chance, case, judged = random.Random(f"{job} odd"), the_case(job), 0
    for _ in range(20 * CASES // len(JOBS)):
        changes = changes_of(case, chance)
        odd, refused = tried(case, changes)
        if odd is None:
            assert refused.strip(), changes
            continue
        with counted_work() as work:
            assessment = farpress.assess(odd)
            page = first_page(assessment)
        assert work.calls < MOST_CALLS, (changes, work.calls)
        assert page
        assert odd_numbers(assessment_json(assessment)) == [], changes
        assert all(
            math.isfinite(number)
            for finding in assessment.findings
            for number in (finding.value, finding.limit, finding.margin, finding.doubt)
            if number is not None
        ), changes
        judged += 1
        if judged == CASES // len(JOBS):
            break
    assert judged == CASES // len(JOBS)
