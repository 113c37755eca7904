"""Promises in rows: those of one function with the same weak links stand together."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Final

from farpress.domain.finding import Chain, Link, Verdict, worst

__all__ = ["PromiseRow", "promise_rows"]

_ROWS: Final = 16
"""Where more rows than these would stand, functions that are judged alike share one; our choice."""


@dataclass(frozen=True)
class PromiseRow:
    """Promises that fail, or are not known, at the same links.

    Attributes:
        functions: what is promised; one, or several that are judged alike.
        groups, places: to whom, from where; each once.
        importance: "must" or "should".
        links: link → the worst word of all promises of the row.
        ids: of the promises.
    """

    functions: tuple[str, ...]
    groups: tuple[str, ...]
    places: tuple[str, ...]
    importance: str
    links: tuple[tuple[Link, Verdict], ...]
    ids: tuple[str, ...]


def promise_rows(chains: Sequence[Chain]) -> tuple[PromiseRow, ...]:
    """Rows in the order of the promises."""
    by_function = _rows(chains, (chain.function or chain.id for chain in chains))
    return by_function if len(by_function) <= _ROWS else _rows(chains, ("" for _ in chains))


def _rows(chains: Sequence[Chain], keys: Iterable[str]) -> tuple[PromiseRow, ...]:
    together: dict[tuple[object, ...], list[Chain]] = {}
    for key, chain in zip(keys, chains, strict=True):
        weak = tuple(
            (link.link, link.verdict) for link in chain.links if link.verdict.rank > Verdict.THIN.rank
        )
        drawn = frozenset(link.link for link in chain.links)
        together.setdefault((key, chain.importance, weak, drawn), []).append(chain)
    return tuple(
        PromiseRow(
            tuple(dict.fromkeys(chain.function or chain.id for chain in same)),
            tuple(dict.fromkeys(chain.group for chain in same if chain.group)),
            tuple(dict.fromkeys(chain.place for chain in same if chain.place)),
            same[0].importance,
            _worst_links(same),
            tuple(chain.id for chain in same),
        )
        for same in together.values()
    )


def _worst_links(chains: Sequence[Chain]) -> tuple[tuple[Link, Verdict], ...]:
    words: dict[Link, list[Verdict]] = {}
    for chain in chains:
        for link in chain.links:
            words.setdefault(link.link, []).append(link.verdict)
    return tuple((link, worst(words[link])) for link in Link if link in words)
