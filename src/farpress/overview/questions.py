"""What is not known, each question once, with who can answer it and what waits for it.

Questions that differ in one name only are one question about several things: twelve equal inputs of a panel
are read off one label.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Final

from farpress.domain.finding import Finding, Stake, Who
from farpress.phrases import in_one

__all__ = ["OpenFact", "questions_of"]

_FURTHER_MIN: Final = 2.0
"""Minutes for each further thing of the same kind, once one stands before the first; our choice."""


@dataclass(frozen=True)
class OpenFact:
    """One fact to ask or to measure, or the same fact of several equal things.

    Attributes:
        says: the question.
        who: who or what can answer it.
        minutes: how long that takes, for all the things it is about.
        about: what waits for the answer.
        stake: what is at stake in the gravest finding that waits.
        halts: nothing goes into service before it is answered.
    """

    says: str
    who: Who
    minutes: float
    about: tuple[str, ...]
    stake: Stake = Stake.PROMISE
    halts: bool = False

    @property
    def order(self) -> tuple[int, bool, int, int, str]:
        """By who answers; of one answerer the gravest first, then what most waits for."""
        return (list(Who).index(self.who), not self.halts, self.stake.rank, -len(self.about), self.says)


def questions_of(findings: Iterable[Finding]) -> tuple[OpenFact, ...]:
    """Questions of findings, those of one answerer together, the gravest first."""
    waiting: dict[tuple[str, Who], list[tuple[Finding, float]]] = {}
    for finding in findings:
        for ask in finding.asks:
            waiting.setdefault((ask.says, ask.who), []).append((finding, ask.minutes))
    alike: dict[tuple[object, ...], list[OpenFact]] = {}
    for (says, who), found in waiting.items():
        fact = OpenFact(
            says,
            who,
            max(minutes for _, minutes in found),
            tuple(dict.fromkeys(finding.about for finding, _ in found)),
            min((finding.stake for finding, _ in found), key=lambda stake: stake.rank),
            any(finding.halts for finding, _ in found),
        )
        codes = frozenset(finding.code for finding, _ in found)
        alike.setdefault((who, codes, fact.halts, *says.split()[:2]), []).append(fact)
    facts = [
        fact for group in alike.values() for same in _differing_in_one(group) for fact in _together(same)
    ]
    return tuple(sorted(facts, key=lambda fact: fact.order))


def _differing_in_one(facts: Sequence[OpenFact]) -> list[list[OpenFact]]:
    """Facts in groups within which the questions differ in one name only."""
    groups: list[list[OpenFact]] = []
    for fact in facts:
        home = next((g for g in groups if in_one([*(other.says for other in g), fact.says])), None)
        if home is None:
            groups.append([fact])
        else:
            home.append(fact)
    return groups


def _together(facts: Sequence[OpenFact]) -> Iterable[OpenFact]:
    """Facts whose questions differ in one name as one fact; else as they are."""
    says = in_one([fact.says for fact in facts])
    if says is None or len(facts) < 2:
        return facts
    return [
        OpenFact(
            says,
            facts[0].who,
            max(fact.minutes for fact in facts) + sum(min(fact.minutes, _FURTHER_MIN) for fact in facts[1:]),
            tuple(dict.fromkeys(about for fact in facts for about in fact.about)),
            min((fact.stake for fact in facts), key=lambda stake: stake.rank),
            facts[0].halts,
        )
    ]
