"""Where a contact is too weak: a relay that its supply can pull, a limiter, a diode at the coil."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Final

from farpress.case.case import Case, OutputAt
from farpress.domain.finding import Change, Finding, Link, Verdict
from farpress.domain.refs import OutputRef, refs_of
from farpress.judging.contact.relay_choice import feedable_relays
from farpress.mending.candidates import Candidate

__all__ = ["contacts"]

_CODES: Final = frozenset({"CON-01", "CON-02", "CON-05"})

_RELAY_MIN: Final = 30
_LIMITER_MIN: Final = 20
"""Minutes on site; our choice, a firm's own norms come first."""


def contacts(case: Case, findings: Iterable[Finding]) -> Iterator[Candidate]:
    """For each output whose contact fails: a relay between, an inrush limiter before the load, or both."""
    paths = dict.fromkeys(
        ref.path
        for finding in findings
        if finding.code in _CODES and finding.verdict is Verdict.FAILS
        for ref in refs_of(OutputRef, finding.subjects)
    )
    for path in paths:
        output = case.output(path)
        if output is not None:
            yield from _for_output(case, output)


def _for_output(case: Case, output: OutputAt) -> Iterator[Candidate]:
    root = ("premises", output.premises, "receivers", output.receiver, "outputs", output.number)
    limiter = Change((*root, "limits_inrush"), True)
    diode = Change((*root, "suppression"), "diode")
    relays = [name for name, _ in feedable_relays(case, output) if name != output.output.via]
    if not output.output.limits_inrush:
        yield Candidate("An inrush limiter before the load", (limiter,), Link.CONTACT, _LIMITER_MIN)
    for relay in dict.fromkeys((*relays[-1:], *relays[:1])):
        between = Change((*root, "via"), relay)
        yield Candidate(f"Let {relay} switch it", (between,), Link.CONTACT, _RELAY_MIN)
        yield Candidate(
            f"Let {relay} switch it, a diode across its coil and an inrush limiter before the load",
            (between, diode, limiter),
            Link.CONTACT,
            _RELAY_MIN + _LIMITER_MIN,
        )
