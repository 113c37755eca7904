"""Where too few volts arrive or a short is not noticed: more copper, step by step of what is sold."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import islice
from typing import Final

from farpress.case.cabling import End, ends_of
from farpress.case.case import Case
from farpress.case.cores import larger_cables
from farpress.domain.cables import CableRun
from farpress.domain.finding import Change, Finding, Link, Verdict
from farpress.domain.refs import SupplyRef, refs_of
from farpress.mending.candidates import Candidate

__all__ = ["copper"]

_CODES: Final = frozenset({"SUP-01", "SUP-05", "SUP-07", "SUP-10", "SUP-15"})
_MINUTES: Final = 60
"""A cable drawn anew; our choice, a firm's own norms come first."""

_STEPS: Final = 5
"""So many thicker cables are tried, the thinnest first; our choice."""

_APART: Final = 0.8
"""The next step has at most this share of the resistance of the one before: about one size; our choice."""


def copper(case: Case, findings: Iterable[Finding]) -> Iterator[Candidate]:
    """Thicker cables for each end that a finding is about, and a return core of its own."""
    seen: set[tuple[str | int, ...]] = set()
    for finding in findings:
        if finding.code not in _CODES or finding.verdict is not Verdict.FAILS:
            continue
        for supply in refs_of(SupplyRef, finding.subjects):
            for end in ends_of(case, supply.premises.path, supply.name):
                if end.run is None or end.run_path in seen or not set(end.subjects) <= set(finding.subjects):
                    continue
                seen.add(end.run_path)
                yield from _for_end(case, end)


def _for_end(case: Case, end: End) -> Iterator[Candidate]:
    run = end.run
    assert run is not None
    if end.is_drawn:
        return
    if run.shares_return_with:
        yield Candidate(
            f"Give {end.who} a return core of its own",
            (Change((*end.run_path, "shares_return_with"), None),),
            Link.SUPPLY,
            _MINUTES,
        )
    for name in islice(_steps(case, run), _STEPS):
        yield Candidate(
            f"Use {name} instead of {run.part} to {end.who}",
            (Change((*end.run_path, "part"), name),),
            Link.SUPPLY,
            _MINUTES,
        )


def _steps(case: Case, run: CableRun) -> Iterator[str]:
    """Thicker cables, each a size above the one before."""
    last = float("inf")
    for name, core in larger_cables(case, run):
        if core.hot_ohm_per_km <= _APART * last:
            last = core.hot_ohm_per_km
            yield name
