"""Findings and promises that say the same of another thing: told once, the others by their names."""

from __future__ import annotations

import re
from collections.abc import Callable, Hashable, Iterable
from typing import TYPE_CHECKING, Final, TypeVar

if TYPE_CHECKING:
    from farpress.domain.finding import Chain, Finding

__all__ = ["chains_alike", "findings_alike", "says_the_same"]

_T = TypeVar("_T")
_NAMES: Final = 2
"""Names in which two sentences may differ: what is judged, and what it belongs to; our choice."""


def findings_alike(findings: Iterable[Finding]) -> list[list[Finding]]:
    """Findings of one check with one verdict and one figure, whose sentences differ in names only.

    Args:
        findings: in their order; each group stands where its first one stands.
    """
    return _grouped(
        findings,
        lambda finding: (
            finding.code,
            finding.verdict,
            _three_digits(finding.value),
            _three_digits(finding.limit),
            len(finding.asks),
            tuple(len(remedy.changes) for remedy in finding.remedies),
        ),
        lambda finding: finding.says,
    )


def chains_alike(chains: Iterable[Chain]) -> list[list[Chain]]:
    """Promises with the same words on every link and the same weakest check, whose names alone differ."""
    return _grouped(
        chains,
        lambda chain: (
            chain.importance,
            tuple((link.link, link.verdict) for link in chain.links),
            chain.weakest.code if chain.weakest is not None else None,
        ),
        lambda chain: chain.id,
    )


def says_the_same(first: str, second: str) -> bool:
    """Whether two sentences differ in at most two names, wherever they stand; never in a figure.

    Example:
        >>> says_the_same("unset A from outside A: 98 %", "unset B from outside B: 98 %")
        True
        >>> says_the_same("10.5 V at RA: holds", "9.5 V at RA: holds")
        False
    """
    words, others = first.split(), second.split()
    if len(words) != len(others):
        return False
    pairs = {(word.strip(_SIGNS), other.strip(_SIGNS)) for word, other in zip(words, others, strict=True)}
    different = {pair for pair in pairs if pair[0] != pair[1]}
    return len(different) <= _NAMES and all(
        re.search("[A-Za-z]", word) for pair in different for word in pair
    )


_SIGNS: Final = ",;:.()'"


def _grouped(items: Iterable[_T], key: Callable[[_T], Hashable], says: Callable[[_T], str]) -> list[list[_T]]:
    groups: list[list[_T]] = []
    heads: dict[Hashable, list[list[_T]]] = {}
    for item in items:
        alike = heads.setdefault(key(item), [])
        home = next((group for group in alike if says_the_same(says(group[0]), says(item))), None)
        if home is None:
            home = []
            alike.append(home)
            groups.append(home)
        home.append(item)
    return groups


def _three_digits(number: float | None) -> str | None:
    return None if number is None else f"{number:.3g}"
