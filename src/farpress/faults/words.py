"""From plain words to one of the complaints we know: which of them they sound like.

Rare words count more than common ones; a few trade words and their everyday cousins are
taken as one. It never decides alone: the best few are shown, the user picks.
"""

from __future__ import annotations

import math
import re
from collections import Counter
from functools import cache
from typing import Final, NamedTuple

from farpress.catalogue.faults import load_faults
from farpress.domain.fault import Complaint
from farpress.domain.kinds import DEVICE_KINDS, kind_called

__all__ = ["Match", "match_complaint"]

_DEVICES: Final = {
    word: row.name
    for row in DEVICE_KINDS.values()
    for word in row.words
    if " " not in row.name + word and kind_called(word) is row
}
"""Words for a device, each as the table of kinds knows it."""

_SAME: Final = {
    **_DEVICES,
    "bulb": "lamp",
    "latch": "strike",
    "garden": "valve",
    "irrigation": "valve",
    "remote": "fob",
    "transmitter": "fob",
    "handset": "fob",
    "key": "fob",
    "battery": "cell",
    "batteries": "cell",
    "antenna": "aerial",
    "antennas": "aerial",
    "siren": "alarm",
    "range": "reach",
    "distance": "reach",
    "far": "reach",
    "sabotage": "tamper",
    "blackout": "power",
    "mains": "power",
    "outage": "power",
    "installer": "fitter",
    "technician": "fitter",
    "caretaker": "fitter",
    "teach": "learn",
    "program": "learn",
    "programme": "learn",
    "pair": "learn",
    "remove": "delete",
    "stolen": "lost",
    "dead": "dead",
    "lap": "pocket",
    "bag": "pocket",
    "halfway": "half",
    "middle": "half",
    "clicking": "click",
    "dropped": "washed",
    "wet": "washed",
    "exit": "escape",
    "branch": "branch",
    "shop": "branch",
    "strange": "neighbour",
    "stranger": "neighbour",
    "bathroom": "call",
    "emergency": "escape",
    "disc": "cell",
    "weeks": "weeks",
    "led": "led",
    "retrofit": "led",
    "holiday": "absence",
    "vacation": "absence",
    "holidays": "holidays",
    "documents": "papers",
    "records": "papers",
    "morning": "hour",
}
_EMPTY: Final = frozenset(
    (
        "a",
        "all",
        "an",
        "and",
        "any",
        "are",
        "as",
        "at",
        "be",
        "been",
        "but",
        "by",
        "can",
        "cannot",
        "did",
        "do",
        "does",
        "every",
        "for",
        "from",
        "go",
        "had",
        "has",
        "have",
        "he",
        "her",
        "his",
        "i",
        "if",
        "in",
        "into",
        "is",
        "it",
        "its",
        "me",
        "my",
        "no",
        "not",
        "of",
        "off",
        "on",
        "one",
        "only",
        "or",
        "our",
        "own",
        "she",
        "since",
        "so",
        "some",
        "than",
        "that",
        "the",
        "their",
        "them",
        "then",
        "there",
        "they",
        "this",
        "to",
        "up",
        "us",
        "was",
        "we",
        "were",
        "when",
        "where",
        "will",
        "with",
        "without",
        "you",
        "your",
    )
)


class Match(NamedTuple):
    """A complaint and how well the words fit it: 1 for every word it has."""

    complaint: Complaint
    score: float


def match_complaint(text: str, *, most: int = 5) -> tuple[Match, ...]:
    """The complaints that a sentence sounds like, the best first; empty where nothing fits.

    Args:
        text: the customer's words, or the number of a complaint.
        most: how many at most.
    """
    book = load_faults()
    if text.strip().isdigit():
        complaint = book.complaints.get(int(text.strip()))
        return (Match(complaint, 1.0),) if complaint is not None else ()
    said = Counter(_words(text))
    weights = _weights()
    total = sum(weights.get(word, 1.0) for word in said) or 1.0
    found = []
    for number, complaint in book.complaints.items():
        known = _known()[number]
        hit = sum(weights[word] * (1.0 + 0.15 * (known[word] - 1)) for word in said if word in known)
        phrase = max((_overlap(said, word) for word in complaint.words), default=0.0)
        score = hit / total * 0.7 + 0.3 * phrase
        if score > 0.05:
            found.append(Match(complaint, round(min(score, 1.0), 6)))
    return tuple(sorted(found, key=lambda match: (-match.score, match.complaint.number))[:most])


def _overlap(said: Counter[str], phrase: str) -> float:
    """Weighted share of a phrase's words that were said."""
    weights, words = _weights(), set(_words(phrase))
    total = sum(weights[word] for word in words)
    return sum(weights[word] for word in words if word in said) / total if total else 0.0


@cache
def _known() -> dict[int, Counter[str]]:
    return {
        number: Counter(_words(" ".join((complaint.says, *complaint.words))))
        for number, complaint in load_faults().complaints.items()
    }


@cache
def _weights() -> dict[str, float]:
    known = _known()
    counts = Counter(word for words in known.values() for word in set(words))
    return {word: math.log(1.0 + len(known) / count) for word, count in counts.items()}


def _words(text: str) -> list[str]:
    found = []
    for word in re.findall(r"[a-zà-ÿ0-9]+", text.casefold()):
        stem = _SAME.get(word, word)
        stem = _SAME.get(_stem(stem), _stem(stem))
        if word not in _EMPTY and len(stem) > 1:
            found.append(stem)
    return found


def _stem(word: str) -> str:
    for tail, least in (("ing", 6), ("ed", 5), ("es", 5), ("s", 4)):
        if word.endswith(tail) and len(word) >= least and not word.endswith("ss"):
            return word[: -len(tail)]
    return word
