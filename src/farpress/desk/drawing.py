"""The chain of a promise, drawn: a solid, thin, broken or dashed link for each verdict.

Shape carries the verdict, a word repeats it, colour only adds to both. Pure text, no style
attributes, so that the strict content policy of the desk lets it through.
"""

from __future__ import annotations

from typing import Final

from markupsafe import Markup

from farpress.domain.finding import Verdict

__all__ = ["link", "mark"]

WIDTH: Final = 76
HEIGHT: Final = 30


def link(verdict: Verdict) -> Markup:
    """One link of a chain, wide enough to interlock with its neighbours."""
    return Markup(
        f'<svg class="link {verdict}" viewBox="0 0 {WIDTH} {HEIGHT}" width="{WIDTH}" height="{HEIGHT}"'
        f' aria-hidden="true" focusable="false">{_SHAPES[verdict]}</svg>'
    )


def mark(verdict: Verdict) -> Markup:
    """A small link for lists and tables."""
    return Markup(
        f'<svg class="link mark {verdict}" viewBox="0 0 {WIDTH} {HEIGHT}" width="38" height="15"'
        f' aria-hidden="true" focusable="false">{_SHAPES[verdict]}</svg>'
    )


def _ring(width: float, dash: str = "") -> str:
    inset = 3
    dashed = f' stroke-dasharray="{dash}"' if dash else ""
    return (
        f'<rect x="{inset}" y="{inset}" width="{WIDTH - 2 * inset}" height="{HEIGHT - 2 * inset}"'
        f' rx="{HEIGHT / 2 - inset}" fill="none" stroke="currentColor" stroke-width="{width}"{dashed}/>'
    )


_SHAPES: Final = {
    Verdict.HOLDS: _ring(5),
    Verdict.THIN: _ring(1.6),
    Verdict.UNKNOWN: _ring(2.6, "7 6"),
    # two halves that came apart, bent away from each other, with the crack between them
    Verdict.FAILS: (
        '<g fill="none" stroke="currentColor" stroke-width="5">'
        '<path d="M30 3 H15 A12 12 0 0 0 15 27 H26"/><path d="M50 3 H61 A12 12 0 0 1 61 27 H46"/></g>'
        '<path d="M42 -1 L35 11 L42 17 L34 31" fill="none" stroke="currentColor" stroke-width="2"/>'
    ),
}
