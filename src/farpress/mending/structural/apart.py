"""Where two outputs of different receivers must never be on together: relays between that bar each other."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Final

from farpress.case.case import Case, OutputAt
from farpress.domain.finding import Change, Finding, Link, Verdict
from farpress.domain.refs import OutputRef, refs_of
from farpress.judging.contact.relay_choice import feedable_relays
from farpress.mending.candidates import Candidate
from farpress.units import write_quantity

__all__ = ["apart"]

_CODES: Final = frozenset({"OUT-06", "RULE-01"})

_PAUSE_S: Final = 1.0
"""Both off before the other one pulls in; common practice, no source: enough for heavy motors too."""

_EACH: Final = 2
"""So many makes of relays are tried for one pair; our choice."""

_MINUTES: Final = 60
"""Two relays side by side, the contacts of each in the line of the other; our choice."""


def apart(case: Case, findings: Iterable[Finding]) -> Iterator[Candidate]:
    """For each pair that fails: interlocked relays that both receivers can pull."""
    for finding in findings:
        if finding.code not in _CODES or finding.verdict is not Verdict.FAILS:
            continue
        outputs = [case.output(path) for path in _paths(finding)]
        if len(outputs) == 2 and outputs[0] is not None and outputs[1] is not None:
            yield from _pair(case, outputs[0], outputs[1])


def _paths(finding: Finding) -> tuple[str, ...]:
    return tuple(dict.fromkeys(ref.path for ref in refs_of(OutputRef, finding.subjects)))


def _pair(case: Case, first: OutputAt, second: OutputAt) -> Iterator[Candidate]:
    """Of interlocked relays those with the weakest contact that is enough come first: the judge decides."""
    if first.premises != second.premises:
        return
    there = {name for name, _ in feedable_relays(case, second)}
    both = [name for name, part in feedable_relays(case, first) if part.sheet.interlocked and name in there]
    for name in [name for name in both if not first.output.via == second.output.via == name][:_EACH]:
        changes = [
            Change((*_root(output), key), value)
            for output in (first, second)
            for key, value in _keys(output, name)
        ]
        yield Candidate(
            f"Let {name}, two relays that bar each other, stand between {first.path} and {second.path} and"
            " what they work",
            tuple(changes),
            Link.CONTACT,
            _MINUTES,
        )


def _keys(output: OutputAt, relay: str) -> Iterator[tuple[str, str]]:
    """What is written at an output: the relay, a diode across its coil, and a pause where none is long
    enough.
    """
    yield "via", relay
    yield "suppression", "diode"
    if (output.output.interlock_pause_s or 0.0) < _PAUSE_S:
        yield "interlock_pause", write_quantity(_PAUSE_S, "time")


def _root(output: OutputAt) -> tuple[str, ...]:
    return ("premises", output.premises, "receivers", output.receiver, "outputs", output.number)
