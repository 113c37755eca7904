"""What is not known, each question once, with who can answer it and what waits for it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from farpress.domain.finding import Finding, Who

__all__ = ["OpenFact", "questions_of"]


@dataclass(frozen=True)
class OpenFact:
    """One fact to ask or to measure.

    Attributes:
        says: the question.
        who: who or what can answer it.
        minutes: how long that takes.
        about: what waits for the answer.
    """

    says: str
    who: Who
    minutes: float
    about: tuple[str, ...]


def questions_of(findings: Iterable[Finding]) -> tuple[OpenFact, ...]:
    """Questions of findings, the one that most things wait for first, those of one answerer together."""
    waiting: dict[tuple[str, Who], dict[str, float]] = {}
    for finding in findings:
        for ask in finding.asks:
            waiting.setdefault((ask.says, ask.who), {}).setdefault(finding.about, ask.minutes)
    order = list(Who)
    found = [OpenFact(says, who, max(about.values()), tuple(about)) for (says, who), about in waiting.items()]
    return tuple(sorted(found, key=lambda q: (order.index(q.who), -len(q.about), q.says)))
