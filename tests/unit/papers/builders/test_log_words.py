"""The log book says why somebody came and what was done, as one writes it by hand."""

from __future__ import annotations

import json

import pytest

from farpress.domain.event import Event
from farpress.papers.builders.log_words import is_logged, left_as, log_words, reason_of


def _event(kind: str, **body: object) -> Event:
    return Event("x", 1, "a job", "2026-11-25T10:00:00.000000Z", "installer", kind, json.dumps(body))


@pytest.mark.parametrize(
    ("event", "reason", "words"),
    [
        (
            _event("check done", test="upkeep: gate check: site/GA", passed=False, found="edge torn"),
            "periodic",
            "gate check: site/GA: NOT in order. Found: edge torn",
        ),
        (
            _event("fault closed", fault="F-1", cause="aerial torn off", cure="new aerial"),
            "fault",
            "F-1 found: aerial torn off. Done: new aerial.",
        ),
        (
            _event("fob deleted", fob="BM-047", receiver="site/R1", evidence="slot 40 empty"),
            "loss",
            "Fob BM-047 deleted at site/R1. Seen by: slot 40 empty.",
        ),
        (
            _event("receiver replaced", receiver="site/R1", why="water"),
            "change",
            "site/R1 replaced: water; fobs to be learned again.",
        ),
        (_event("visit", premises="site", why="power cut", minutes=20), "visit", "site: power cut, 20 min."),
        (_event("fob lost", fob="BM-047", reported_by="P-12"), "loss", "Fob BM-047 reported lost."),
    ],
)
def test_an_entry_reads_as_one_writes_it(event: Event, reason: str, words: str) -> None:
    """No name of a person, no name of a field, no true and false."""
    assert (reason_of(event), log_words(event)) == (reason, words)


def test_trials_stand_in_the_proving_record() -> None:
    """What is checked off in upkeep stands in the book, with how it was left."""
    trial = _event("check done", test="volts: site/R1", passed=True)
    done = _event("check done", test="upkeep: gate check: site/GA", passed=True)

    assert (is_logged(trial), is_logged(done)) == (False, True)
    assert left_as(done) == "safe"
