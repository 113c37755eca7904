"""What is found about one rule, before it becomes a finding."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from farpress.domain.finding import Remedy, Verdict
from farpress.domain.refs import Ref
from farpress.sources import Citation

__all__ = ["LOOK_FURTHER", "Ruling", "about_text"]

LOOK_FURTHER: Final = "'farpress rehearsal' tells the story."
"""Where a story is not told in the finding itself."""


@dataclass(frozen=True)
class Ruling:
    """One rule, or one output of it, judged.

    Attributes:
        verdict: how it turned out.
        says, because: as in a finding.
        about: which output or thing, where a rule has several; else empty.
        value, limit, unit, margin: the number, if there is one.
        remedies, sources, subjects: as in a finding.
        never_matters: what the rule forbids cannot happen to this thing at all.
    """

    verdict: Verdict
    says: str
    because: str = ""
    about: str = ""
    value: float | None = None
    limit: float | None = None
    unit: str = ""
    margin: float | None = None
    remedies: tuple[Remedy, ...] = ()
    sources: tuple[Citation, ...] = ()
    subjects: tuple[Ref, ...] = ()
    never_matters: bool = False


def about_text(number: int, never: str, about: str) -> str:
    """What a finding about a rule is about: "rule 3, never both on: larkfen/R3/1 and larkfen/R3/2"."""
    return f"rule {number}, never {never}{f': {about}' if about else ''}"
