"""The cheapest set of changes found by judging every set: what a search by a solver is held against.

Nothing of the search is used: the edits are made in the plain tables of the job file, the file is read anew,
and what is cured, new or worse is reckoned here from the words of the findings and promises alone.
"""

from __future__ import annotations

import copy
import io
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from ruamel.yaml import YAML

from farpress.case.door import open_job
from farpress.domain.finding import Assessment, Change, Stake, Verdict
from farpress.errors import FarpressError
from farpress.judging.assess import assess
from farpress.judging.check import without_remedies
from farpress.mending.candidates import Candidate, candidates_of
from farpress.mending.structural.every import structural_candidates

__all__ = ["EverySet", "every_change", "every_set", "left_worth"]

_WORTH = {Stake.HARM: 100_000, Stake.PROMISE: 20_000, Stake.WEAR: 5_000, Stake.DUTY: 1_000}
"""A copy of what the search takes for the worth of a fault [min]: one that is altered there shows here."""


@dataclass(frozen=True)
class EverySet:
    """What looking at every set found.

    Attributes:
        looked_at: sets that were judged, the empty one among them.
        left: worth of the faults that the best set leaves [min].
        minutes: that set takes.
        equals: sets of the same cost, in words.
    """

    looked_at: int
    left: int
    minutes: int
    equals: tuple[tuple[str, ...], ...]


def every_change(folder: Path) -> tuple[Candidate, ...]:
    """All changes that findings of a job offer or that could be built for what fails, useful or not."""
    case = open_job(folder)
    findings = assess(case).findings
    offered = (*candidates_of(findings), *structural_candidates(case, findings))
    return tuple({made.key: made for made in offered}.values())


def every_set(
    folder: Path, changes: Sequence[Candidate], scratch: Path, *, budget_min: int | None = None
) -> EverySet:
    """Judge every set of changes of which no two write the same place.

    Args:
        folder: of the job.
        changes: what may be made.
        scratch: a folder for the changed job.
        budget_min: most minutes that a set may take.
    """
    text = (folder / "job.yaml").read_text(encoding="utf-8")
    before = _judged(text, (), scratch)
    assert before is not None
    found: list[tuple[int, int, tuple[str, ...]]] = []
    looked_at = 0
    for chosen in _sets(changes):
        minutes = sum(made.minutes for made in chosen)
        if budget_min is not None and minutes > budget_min:
            continue
        looked_at += 1
        after = _judged(text, chosen, scratch)
        if after is not None and not _harms(before, after):
            found.append((left_worth(before, after), minutes, tuple(made.does for made in chosen)))
    left, minutes = min((left, minutes) for left, minutes, _ in found)
    return EverySet(looked_at, left, minutes, tuple(does for *cost, does in found if cost == [left, minutes]))


def _sets(
    changes: Sequence[Candidate], chosen: tuple[Candidate, ...] = ()
) -> Iterator[tuple[Candidate, ...]]:
    if not changes:
        yield chosen
        return
    first, *others = changes
    yield from _sets(others, chosen)
    if not any(_overlap(a, b) for made in chosen for a in made.changes for b in first.changes):
        yield from _sets(others, (*chosen, first))


def _overlap(a: Change, b: Change) -> bool:
    least = min(len(a.path), len(b.path))
    return a.path[:least] == b.path[:least]


def _judged(text: str, chosen: Sequence[Candidate], scratch: Path) -> Assessment | None:
    """The job with these changes; None where it cannot be read."""
    plain = YAML(typ="safe", pure=True)
    tables = plain.load(text)
    for made in chosen:
        for change in made.changes:
            _put(tables, change)
    written = io.StringIO()
    plain.dump(tables, written)
    scratch.mkdir(parents=True, exist_ok=True)
    (scratch / "job.yaml").write_text(written.getvalue(), encoding="utf-8")
    try:
        with without_remedies():
            return assess(open_job(scratch))
    except FarpressError:
        return None


def _put(tables: Any, change: Change) -> None:
    *way, last = change.path
    for key in way:
        tables = tables[int(key)] if isinstance(tables, list) else tables.setdefault(_spelt(tables, key), {})
    if isinstance(tables, list):
        tables.extend([None] * (int(last) + 1 - len(tables)))
        tables[int(last)] = copy.deepcopy(change.value)
    elif change.value is None:
        tables.pop(_spelt(tables, last), None)
    else:
        tables[_spelt(tables, last)] = copy.deepcopy(change.value)


def _spelt(table: dict[Any, Any], key: str | int) -> Any:
    """The key as the table has it: 1 and "1" are the same one."""
    return next((known for known in table if str(known) == str(key)), key)


def _words(assessment: Assessment, verdict: Verdict) -> set[tuple[str, str]]:
    return {(found.code, found.about) for found in assessment.findings if found.verdict is verdict}


def _harms(before: Assessment, after: Assessment) -> bool:
    """A new fault, a new question that could hurt somebody, or a promise with a worse word."""
    asked = _words(before, Verdict.UNKNOWN) | _words(before, Verdict.FAILS)
    grave = {
        (found.code, found.about)
        for found in after.findings
        if found.verdict is Verdict.UNKNOWN and found.stake is Stake.HARM
    }
    order = [Verdict.HOLDS, Verdict.THIN, Verdict.UNKNOWN, Verdict.FAILS]
    stood = {chain.id: order.index(chain.verdict) for chain in before.promises}
    return (
        bool(_words(after, Verdict.FAILS) - _words(before, Verdict.FAILS))
        or bool(grave - asked)
        or any(order.index(chain.verdict) > stood.get(chain.id, len(order)) for chain in after.promises)
    )


def left_worth(before: Assessment, after: Assessment) -> int:
    """Worth of the faults of before that still fail, or that nobody can tell any more."""
    stand = _words(after, Verdict.FAILS) | _words(after, Verdict.UNKNOWN)
    worth = {
        (found.code, found.about): _WORTH[found.stake]
        for found in before.findings
        if found.verdict is Verdict.FAILS
    }
    return sum(value for name, value in worth.items() if name in stand)
