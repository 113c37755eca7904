"""Every change of what is built that could mend a job; each is tried like any other."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import chain

from farpress.case.case import Case
from farpress.domain.finding import Finding
from farpress.mending.candidates import Candidate
from farpress.mending.structural.apart import apart
from farpress.mending.structural.contacts import contacts
from farpress.mending.structural.copper import copper
from farpress.mending.structural.inputs import inputs
from farpress.mending.structural.nearer import nearer
from farpress.mending.structural.people import people
from farpress.mending.structural.power import power
from farpress.mending.structural.pulses import pulses
from farpress.mending.structural.set_and_unset import set_and_unset
from farpress.mending.structural.swaps import swaps

__all__ = ["structural_candidates"]


def structural_candidates(case: Case, findings: Sequence[Finding]) -> tuple[Candidate, ...]:
    """Changes for the findings that fail, those of one kind together.

    Args:
        case: a job that was read from a file.
        findings: of its assessment.
    """
    if case.document is None:
        return ()
    kinds = (apart, contacts, copper, power, inputs, pulses, nearer, swaps, set_and_unset, people)
    return tuple(chain.from_iterable(kind(case, findings) for kind in kinds))
