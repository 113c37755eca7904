"""Leave any fact out of a job: no link of any promise, and no rule, gets a better word than it had.

What failed because of the fact may become unknown without it; nothing becomes well.
"""

from __future__ import annotations

import os
import random
from functools import cache

import pytest

import farpress
from farpress.case.case import Case
from farpress.case.changed import tried_with
from farpress.domain.finding import Assessment, Change
from farpress.errors import FarpressError
from farpress.judging.assess import assess
from farpress.judging.check import without_remedies
from helpers.project import ROOT
from left_out import Path_, better_without, facts_of

_OF_CI = "4711" if os.environ.get("CI") else ""
SEED = int(os.environ.get("FARPRESS_SEED") or _OF_CI or random.SystemRandom().randrange(10**6))
"""Another one in each run, but for continuous integration; the environment names one to be run again."""

SMALL = ("quarry-cottage", "drawn", "pool", "sound_house")
AT_A_TIME = 24
"""Facts of each small job that a run leaves out; by hand each one of them was."""

ONCE_HELPED = frozenset(
    {
        "capacity",
        "closes_after",
        "contact",
        "contact_min_voltage",
        "escape_route",
        "growth",
        "inputs",
        "learned_unknown",
        "logic",
        "max_pulse",
        "part",
        "pulse_min",
        "response",
        "works",
    }
)
"""Facts that helped once when they were left out: one of each is always tried."""


@cache
def _case(job: str) -> Case:
    return farpress.open_job(ROOT / job)


@cache
def _judged(job: str) -> Assessment:
    with without_remedies():
        return assess(_case(job))


def _better(job: str, fact: Path_) -> list[str]:
    """What reads better without a fact; nothing where the reader refuses the job without it."""
    try:
        changed = tried_with(_case(job), [Change(fact, None)])
    except FarpressError:
        return []
    with without_remedies():
        found = better_without(_judged(job), assess(changed))
    return [f"without {'.'.join(map(str, fact))}: {words}" for words in found]


def _better_words(job: str, fact: Path_) -> list[str]:
    """The same of the words of links and rules alone, for jobs of which not every fact was tried yet."""
    return [words for words in _better(job, fact) if " -> " in words]


def _chosen(job: str, count: int) -> list[Path_]:
    """Facts of premises, parts and register; not whole things: nobody misses one that nothing works."""
    facts = [
        fact
        for fact in facts_of(_case(job))
        if fact[0] in ("premises", "parts", "register") and fact[2:-1] != ("devices",)
    ]
    told = {str(fact[-1]): fact for fact in facts if fact[-1] in ONCE_HELPED}
    drawn = random.Random(11).sample(facts, min(count, len(facts)))
    return sorted({*drawn, *told.values()}, key=str)


@pytest.mark.long
@pytest.mark.parametrize("job", SMALL)
def test_of_a_small_job_any_fact_may_be_left_out(job: str) -> None:
    """Facts and whole blocks, others in each run: no word is better, and nothing that failed vanishes."""
    path = f"tests/data/jobs/{job}.yaml"
    drawn = random.Random(f"{SEED} {job}").sample(facts_of(_case(path)), AT_A_TIME)

    assert [words for fact in drawn for words in _better(path, fact)] == [], f"FARPRESS_SEED={SEED}"


@pytest.mark.long
@pytest.mark.parametrize(
    ("job", "count"), [("larkfen-house", 60), ("tallowmere-court", 24), ("brindlemark", 24)]
)
def test_leaving_a_fact_out_makes_nothing_well(job: str, count: int) -> None:
    """Of some facts of a job, drawn at random, and those that helped once: all in one test, so that each
    takes over what is the same still of the one before it.
    """
    path = f"examples/{job}"
    chosen = _chosen(path, count)

    assert [words for fact in chosen for words in _better_words(path, fact)] == []
