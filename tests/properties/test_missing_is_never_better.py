"""Leave any fact out of a job: no link of any promise, and no rule, gets a better word than it had.

What failed because of the fact may become unknown without it; nothing becomes well.
"""

from __future__ import annotations

import random
from collections.abc import Iterator
from functools import cache

import pytest

import farpress
from farpress.case.case import Case
from farpress.domain.finding import Verdict
from farpress.errors import FarpressError
from farpress.jobfile.node import Node
from survey import ROOT

Path_ = tuple[str | int, ...]

NOT_A_FACT = frozenset(
    {"says", "address", "details", "rules", "promises", "signed", "along", "north", "underlays"}
)
"""Words for people, what is wanted (leaving a wish out is no missing fact), and pictures."""

NOT_IN_THE_WAY = frozenset(
    {"walls", "steel", "slope", "levels", "traffic", "noise_bursts", "pressed", "housing", "antenna"}
)
"""What stands in the way of radio or troubles it, and what has a stated default: left out, none is there."""


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
    return farpress.open_job(ROOT / "examples" / job)


def _by_link(case: Case) -> dict[tuple[str, str], Verdict]:
    """The word of each link of each promise, and of each rule."""
    judged = farpress.assess(case)
    links = {(chain.id, str(link.link)): link.verdict for chain in judged.promises for link in chain.links}
    rules = {(f.code, f.about): f.verdict for f in judged.findings if f.code.startswith("RULE")}
    return links | rules


def _facts(node: Node, path: Path_ = ()) -> Iterator[Path_]:
    """Paths of everything that may be left out of the premises, own parts and register of a job."""
    for key, (_, _, child) in node.items.items():
        if str(key) in NOT_A_FACT | NOT_IN_THE_WAY:
            continue
        if len(path) >= 3 or path == ("register",):
            yield (*path, key)
        yield from _facts(child, (*path, key))


def _chosen(job: str, count: int) -> list[Path_]:
    document = _case(job).document
    assert document is not None
    tops = document.tree.items
    facts = [
        fact
        for top in ("premises", "parts", "register")
        if top in tops
        for fact in _facts(tops[top][2], (top,))
    ]
    told = {str(fact[-1]): fact for fact in facts if fact[-1] in ONCE_HELPED}
    drawn = random.Random(11).sample(facts, min(count, len(facts)))
    return sorted({*drawn, *told.values()}, key=str)


@pytest.mark.long
@pytest.mark.parametrize(
    ("job", "count"), [("larkfen-house", 60), ("tallowmere-court", 24), ("brindlemark", 24)]
)
def test_leaving_a_fact_out_makes_nothing_well(job: str, count: int) -> None:
    """Of some facts of a job, drawn at random, and those that helped once: all in one test, so that each
    takes over what is the same still of the one before it.
    """
    before, better = _by_link(_case(job)), []
    for fact in _chosen(job, count):
        try:
            changed = farpress.change(_case(job), {fact: None})
        except FarpressError:
            continue  # cannot be left out: the reader refuses it
        for place, word in _by_link(changed).items():
            was = before.get(place, word)
            if word in (Verdict.HOLDS, Verdict.THIN) and word.rank < was.rank:
                better.append(f"without {'.'.join(map(str, fact))}: {place[0]}, {place[1]}: {was} -> {word}")

    assert better == []
