"""A design in a terminal: the variants beside each other, one of them in full, what is left and what to
ask.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from farpress.cli.text import to_ascii, wrapped

if TYPE_CHECKING:
    from farpress.design.telling import DesignsTold, VariantTold

__all__ = ["design_text"]

_COLUMN = 16


def design_text(told: DesignsTold, *, width: int = 80, plain: bool = False) -> str:
    """The variants as lines, without an end of line after the last."""
    lines = list(_lines(told, max(width, 60)))
    return "\n".join(to_ascii(line) if plain else line for line in lines)


def _lines(told: DesignsTold, width: int) -> Iterator[str]:
    yield from wrapped(told.head, width)
    if told.cut_short:
        yield from wrapped(told.cut_short, width)
    if told.variants:
        yield ""
        yield f"{'':28}" + "".join(f"{variant.title:>{_COLUMN}}" for variant in told.variants)
        for what, cells in told.rows:
            yield f"{what:<28}" + "".join(f"{cell:>{_COLUMN}}" for cell in cells)
        for note in told.notes:
            yield from wrapped(note, width, "  ", "    ")
    if told.asks:
        yield ""
        yield "ASK FIRST: not drawn, or drawn on trust"
        for ask in told.asks:
            yield from wrapped(ask, width, "  - ", "    ")
    if told.shown is not None:
        yield from _in_full(told.variants[told.shown], width)


def _in_full(shown: VariantTold, width: int) -> Iterator[str]:
    yield ""
    yield f"{shown.title.upper()}, in full"
    for number, choice in enumerate(shown.choices, start=1):
        yield from wrapped(choice.does, width, f"{number:2} ", "   ")
        for line in choice.lines:
            yield from wrapped(line, width, "   ", "     ")
    if shown.contradictions:
        yield ""
        yield "CANNOT BOTH BE KEPT: the customer decides"
        for sentence in shown.contradictions:
            yield from wrapped(sentence, width, "  - ", "    ")
    if shown.left:
        yield ""
        yield "LEFT FOR A PERSON: no change that was offered mends it without harm elsewhere"
    for says, lines in shown.left:
        yield from wrapped(says, width, "  - ", "    ")
        for line in lines:
            yield from wrapped(line, width, "    ", "      ")
    yield ""
    yield from wrapped(f"{shown.foot} To decide a choice yourself: --fix 'function.kind=pulse'.", width)
