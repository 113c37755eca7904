"""Where a contact is too weak, wears out or is not wetted: a relay that its supply can pull, a limiter, a
diode at the coil.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Final

from farpress.case.case import Case, OutputAt
from farpress.domain.finding import Change, Finding, Link
from farpress.judging.contact.relay_choice import feedable_relays
from farpress.mending.candidates import Candidate
from farpress.mending.structural.failing import failing_outputs

__all__ = ["contacts"]

_CODES: Final = frozenset({"CON-01", "CON-02", "CON-05"})

_LITTLE: Final = frozenset({"CON-04", "CON-08"})
"""Too little flows for the contact: a relay with contacts for little, whose coil is enough for it."""

_WEARS: Final = frozenset({"CON-06"})
"""The contact does not last: a relay between wears in its place."""

_EACH: Final = 2
"""So many relays are tried for one contact; our choice."""

_RELAY_MIN: Final = 30
_LIMITER_MIN: Final = 20
"""Minutes on site; our choice, a firm's own norms come first."""


def contacts(case: Case, findings: Iterable[Finding]) -> Iterator[Candidate]:
    """For each output whose contact fails: a relay between, an inrush limiter before the load, or both."""
    found = list(findings)
    for codes, changes in ((_CODES, _for_output), (_LITTLE, _for_little), (_WEARS, _for_wear)):
        for path in failing_outputs(found, codes):
            output = case.output(path)
            if output is not None:
                yield from changes(case, output)


def _for_little(case: Case, output: OutputAt) -> Iterator[Candidate]:
    """Relays whose contacts need the least current, a diode across the coil."""
    known = [(part.sheet.contact_min_a or 1.0, name) for name, part in feedable_relays(case, output)]
    yield from _between(output, [name for _, name in sorted(known)])


def _for_wear(case: Case, output: OutputAt) -> Iterator[Candidate]:
    """The strongest relays that the supply can pull."""
    known = [(-(part.sheet.contact_rated_a or 0.0), name) for name, part in feedable_relays(case, output)]
    yield from _between(output, [name for _, name in sorted(known)])


def _between(output: OutputAt, relays: list[str]) -> Iterator[Candidate]:
    root = ("premises", output.premises, "receivers", output.receiver, "outputs", output.number)
    for relay in [name for name in relays if name != output.output.via][:_EACH]:
        yield Candidate(
            f"Let {relay} switch it, with a diode across its coil",
            (Change((*root, "via"), relay), Change((*root, "suppression"), "diode")),
            Link.CONTACT,
            _RELAY_MIN,
        )


def _for_output(case: Case, output: OutputAt) -> Iterator[Candidate]:
    root = ("premises", output.premises, "receivers", output.receiver, "outputs", output.number)
    limiter = Change((*root, "limits_inrush"), True)
    diode = Change((*root, "suppression"), "diode")
    relays = [
        name
        for name, part in feedable_relays(case, output)
        if name != output.output.via and (output.output.interlock or not part.sheet.interlocked)
    ]
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
