"""Proving: what has to be tried, what was entered, and what is shown by it.

The door of this room for pages, papers and commands; the parts stand in `proving_plan`,
`proving_checks`, `proving_entry` and `proving_proof`.
"""

from __future__ import annotations

from farpress.proving.entry import TrialEntry, enter, entries_from_csv, plan_csv
from farpress.proving.plan import proving_plan
from farpress.proving.proof import OutputProof, Proof, TestProof, proof_of, proven_tests
from farpress.proving.tests import METHODS, PressPlan, ProvingPlan, ProvingTest

__all__ = [
    "METHODS",
    "OutputProof",
    "PressPlan",
    "Proof",
    "ProvingPlan",
    "ProvingTest",
    "TestProof",
    "TrialEntry",
    "enter",
    "entries_from_csv",
    "plan_csv",
    "proof_of",
    "proven_tests",
    "proving_plan",
]
