"""Sentences of the round after a loss: whom to ring, what to lock, how to delete."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from farpress.domain.cautions import LOCAL_CODES
from farpress.phrases import listed

if TYPE_CHECKING:
    pass

__all__ = ["delete_words", "lock_words", "ring_words"]


def ring_words(premises: list[str]) -> str:
    """Where the fob unsets an alarm."""
    return (
        f"{listed(premises)}: ring at once. Have somebody stay, or have whoever may sign at the panel take"
        f" the radio's unset input out of use until the fob is deleted. Tell the insurer. {LOCAL_CODES}"
    )


def lock_words(premises: list[str], entries: Iterable[str]) -> str:
    """Where the fob opens a way in."""
    return f"{listed(premises)}: lock by key as well after hours; do not rely on {listed(entries)}."


def delete_words(slots: tuple[str, ...], deletes_by: str | None) -> str:
    """How one fob that is not there goes out of a receiver's memory."""
    if deletes_by == "fob in hand":
        return (
            "this receiver deletes a fob only with that fob in hand: everything must be erased, and all"
            " others learned again; bring them, or come when they are there."
        )
    if slots:
        return f"delete slot {' and '.join(slots)}."
    return (
        "its slot is not written down: read the receiver's list first; erase everything and learn the others"
        " again only if nothing else is left."
    )
