"""User cards, pocket cards and labels as PDF: plain data in, sheets with QR codes out.

A QR code holds the label of a fob and nothing else: no name, no address, no secret. It
leads to the entry of the register for whoever has the register.
"""

from __future__ import annotations

import io
from collections.abc import Iterable, Sequence
from dataclasses import asdict, dataclass, field
from functools import lru_cache
from typing import Any

from farpress.papers.typesetting.fixed_words import fixed_words
from farpress.papers.typesetting.paper import Head
from farpress.papers.typesetting.texts import Texts
from farpress.papers.typesetting.typeset import typeset

__all__ = [
    "Card",
    "CardFob",
    "CardPress",
    "Label",
    "entry_text",
    "labels_pdf",
    "pocket_cards_pdf",
    "qr_png",
    "user_cards_pdf",
]


@dataclass(frozen=True)
class CardPress:
    """One function on one button.

    Attributes:
        button: number on the fob.
        how: short or held, in words.
        function: name as in the job.
        what: what it does, in a sentence or two.
        where: where to stand, a sentence for each place.
        tells: what shows that it worked.
    """

    button: str
    how: str
    function: str
    what: str
    where: tuple[str, ...]
    tells: str


@dataclass(frozen=True)
class CardFob:
    """One fob of a card.

    Attributes:
        label: empty for none.
        note: below the label, as that it is only planned.
        buttons: how many the fob has.
        presses: in the order of the buttons.
        advice: what holds for all of them.
    """

    label: str
    note: str
    buttons: int
    presses: tuple[CardPress, ...]
    advice: str = ""


@dataclass(frozen=True)
class Card:
    """Everything for one person; texts are in the language of the card.

    Attributes:
        name: of the holder; empty leaves a line to write on.
        below: organisation, place in the group.
        fobs: at least one.
        cautions: that apply to this holder.
        after_power: what happens after a power cut.
        lost: what to do about a lost fob, with the telephone.
        cell: kind of cell and when to change it.
        missing: what is not known yet.
        nothing: what to do when nothing happens.
    """

    name: str
    below: str
    fobs: tuple[CardFob, ...]
    cautions: tuple[str, ...]
    after_power: str
    lost: str
    cell: str
    missing: tuple[str, ...] = ()
    nothing: str = ""


@dataclass(frozen=True)
class Label:
    """One label: its text with the check character last, and lines below."""

    text: str
    below: tuple[str, ...] = field(default=())


def entry_text(label: str) -> str:
    """What the QR code of a fob says: "farpress:fob/LH-003-K"."""
    return f"farpress:fob/{label}"


@lru_cache(maxsize=2048)
def qr_png(text: str) -> tuple[int, ...]:
    """A QR code (ISO/IEC 18004, error correction M) with its quiet zone, a dot a module, as bytes of a PNG:
    half of what the same takes drawn as lines.
    """
    import segno

    target = io.BytesIO()
    segno.make(text, error="m", micro=False, boost_error=False).save(target, kind="png", scale=1, border=4)
    return tuple(target.getvalue())


def user_cards_pdf(cards: Sequence[Card], head: Head, texts: Texts, *, size: str = "a4") -> bytes:
    """One page (or more, if somebody has many functions) for each holder.

    Args:
        cards: at least one.
        head: for the head of every page.
        texts: language of the fixed words.
        size: "a4" or "letter".

    Raises:
        InputError: an unknown paper size.
        PaperError: the cards could not be set.
    """
    data = _head(head, texts) | {
        "title": texts.say("User card"),
        "words": fixed_words(texts),
        "cards": [asdict(card) | {"fobs": [_fob(fob) for fob in card.fobs]} for card in cards],
    }
    return typeset("user-cards.typ", data, paper=size, what="The user cards")


def pocket_cards_pdf(cards: Sequence[Card], head: Head, texts: Texts, *, size: str = "a4") -> bytes:
    """Cards of 85.6 mm by 54 mm to cut out, one for each fob: label, buttons, whom to ring; no address."""
    data = _head(head, texts) | {
        "title": texts.say("Pocket cards"),
        "words": fixed_words(texts),
        "cards": [
            _fob(fob) | {"name": card.name, "telephone": head.telephone}
            for card in cards
            for fob in card.fobs
        ],
    }
    return typeset("pocket-cards.typ", data, paper=size, what="The pocket cards")


def labels_pdf(labels: Iterable[Label], head: Head, texts: Texts, *, size: str = "a4") -> bytes:
    """Labels to cut out and stick on fobs: code, label with check character, whom to ring."""
    data = _head(head, texts) | {
        "title": texts.say("Labels"),
        "words": fixed_words(texts),
        "labels": [
            {"text": label.text, "below": list(label.below), "qr": {"png": qr_png(entry_text(label.text))}}
            for label in labels
        ],
    }
    return typeset("labels.typ", data, paper=size, what="The labels")


def _fob(fob: CardFob) -> dict[str, Any]:
    return asdict(fob) | {"qr": {"png": qr_png(entry_text(fob.label))} if fob.label else None}


def _head(head: Head, texts: Texts) -> dict[str, Any]:
    return {
        "job": head.job,
        "fingerprint": head.fingerprint,
        "version": head.version,
        "date": head.date,
        "day": head.day_numbers,
        "issue": head.issue,
        "lang": texts.language,
        "installer": head.installer,
    }
