"""What the customer and the firm call things, in the language of cover, cards, labels and lost-fob sheet.

A name or sentence of the job is printed as its `translations` say. A thing without one is called by its
kind, which the tool knows in every language, with its name beside it; anything else stays as it stands in the
job and is named among what is missing.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Final

from farpress.case.driven import Driven
from farpress.domain.job import Job
from farpress.papers.builders.basis import Basis

__all__ = ["called", "kind_word", "own_words", "untranslated"]

_UNTOLD_KINDS: Final = ("", "other")
_SHOWN: Final = 8
"""Untranslated words that are named; of more their number. Our choice."""


def called(basis: Basis, load: Driven) -> str:
    """What is driven, as a person would call it in the language of the cards."""
    texts, name = basis.texts, load.works.partition(".")[0]
    plain = name.replace("-", " ")
    if texts.is_given(name):
        return texts.own(name)
    kind = kind_word(basis, load)
    if not kind:
        return plain
    same = plain.casefold() in (kind.casefold(), _kind(load).casefold())
    return kind if same else f"{kind} ({plain})"


def kind_word(basis: Basis, load: Driven) -> str:
    """Its kind in the language of the cards; empty where the job is written in that language, or no kind is
    said.
    """
    kind = _kind(load)
    if basis.texts.language == (basis.case.job.language or "en") or kind in _UNTOLD_KINDS:
        return ""
    return basis.texts.say(kind)


def _kind(load: Driven) -> str:
    return "alarm panel" if load.panel is not None else load.kind or ""


def own_words(job: Job) -> dict[str, str]:
    """Names and sentences of a job that these papers print → what each is; kinds are known without."""
    found: dict[str, str] = {}
    found |= dict.fromkeys(job.functions, "function")
    for premises in job.premises.values():
        found |= dict.fromkeys(premises.places, "place")
        found |= dict.fromkeys((place.says for place in premises.places.values() if place.says), "place")
    found |= dict.fromkeys((rule.says for rule in job.rules if rule.says), "rule")
    found |= dict.fromkeys(job.groups, "group")
    return found


def _translatable(job: Job) -> Iterator[str]:
    """Everything for which a translation is used, proper names and names of things too."""
    yield from own_words(job)
    for name, premises in job.premises.items():
        yield name
        yield from premises.devices
        yield from premises.panels
        yield from premises.receivers
    yield from (function.answered_by for function in job.functions.values() if function.answered_by)
    yield from (part.says for part in job.parts.values() if part.kind == "cell" and part.says)


def untranslated(basis: Basis) -> tuple[str, ...]:
    """What is still printed as it stands in the job, and translations of words that stand nowhere in it; the
    sentences are for whoever makes the papers.
    """
    job, texts = basis.case.job, basis.texts
    given = next((words for language, words in job.translations.items() if language == texts.language), {})
    remarks = []
    if texts.language != (job.language or "en"):
        left = [word for word in own_words(job) if word not in given]
        if left:
            remarks.append(
                texts.say("Not translated in the job: {words}", words=_some(left, texts.say("and more")))
            )
    known = set(_translatable(job))
    strange = [word for word in given if word not in known]
    if strange:
        remarks.append(
            texts.say(
                "Translated, and nowhere in the job: {words}", words=_some(strange, texts.say("and more"))
            )
        )
    return tuple(remarks)


def _some(words: Iterable[str], more: str) -> str:
    found = [f"“{word}”" for word in words]
    rest = len(found) - _SHOWN
    return f"{', '.join(found[:_SHOWN])}{f', {more}: {rest}' if rest > 0 else ''}"
