"""A design in a terminal: the variants beside each other, one of them in full, what is left and what to
ask.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from farpress.cli.text import to_ascii, wrapped
from farpress.mending.telling import cured_told, hours_told, left_told
from farpress.phrases import listed, plural

if TYPE_CHECKING:
    from farpress.design.result import Design, DesignFigures, Designs

__all__ = ["design_text", "shown_variant"]

_COLUMN = 16
_WORK = "work, by your norms"


def design_text(designs: Designs, *, width: int = 80, plain: bool = False) -> str:
    """The variants as lines, without an end of line after the last."""
    lines = list(_lines(designs, max(width, 60)))
    return "\n".join(to_ascii(line) if plain else line for line in lines)


def shown_variant(designs: Designs) -> Design | None:
    """The variant that is shown in full: the one with the fewest faults left, the first of several."""
    return min(designs.variants, key=lambda design: design.figures.fails, default=None)


def _lines(designs: Designs, width: int) -> Iterator[str]:
    shown = shown_variant(designs)
    yield from wrapped(
        f"{designs.case.job.job}: drawn up from what is wished; {plural(designs.places, 'place')} for boxes"
        " looked at.",
        width,
    )
    if designs.is_cut_short:
        yield from wrapped("Stopped before the end: only the variants that were whole by then.", width)
    if designs.variants:
        yield ""
        yield from _table(designs)
    if designs.asks:
        yield ""
        yield "ASK FIRST: not drawn, or drawn on trust"
        for _, ask in designs.asks:
            yield from wrapped(ask, width, "  - ", "    ")
    for promise, share, where in designs.unheard:
        told = f"{promise}: heard nowhere as surely as promised; best {share:.1%} {where}"
        yield from wrapped(told, width, "  - ", "    ")
    if shown is None:
        return
    yield ""
    yield f"{shown.variant.upper()}, in full"
    yield from _in_full(shown, width)
    if shown.contradictions:
        yield ""
        yield "CANNOT BOTH BE KEPT: the customer decides"
        for sentence in shown.contradictions:
            yield from wrapped(sentence, width, "  - ", "    ")
    left = tuple(left_told(shown.plan))
    if left:
        yield ""
        yield "LEFT FOR A PERSON: no change that was offered mends it without harm elsewhere"
    for says, lines in left:
        yield from wrapped(says, width, "  - ", "    ")
        for line in lines:
            yield from wrapped(line, width, "    ", "      ")
    yield ""
    yield from wrapped(
        f"{plural(shown.figures.unknown, 'finding')} still unknown: 'farpress assess' of the written job has"
        " the list. To decide a choice yourself: --fix 'function.kind=pulse'. Mains side and alarm panels:"
        " only by those licensed for it.",
        width,
    )


def _table(designs: Designs) -> Iterator[str]:
    """One row a figure, one column a variant."""
    names = "".join(f"{_NAMES[design.variant]:>{_COLUMN}}" for design in designs.variants)
    yield f"{'':28}{names}"
    for what, tell in _ROWS:
        if what == _WORK and not designs.has_own_norms:
            what = "work, by invented norms"
        cells = "".join(f"{tell(design.figures):>{_COLUMN}}" for design in designs.variants)
        yield f"{what:<28}{cells}"
    worst = {design.figures.worst[0] for design in designs.variants if design.figures.worst is not None}
    if worst:
        yield f"  nearest: {listed(sorted(worst), last=', ')}"


_NAMES = {"cheapest": "cheapest", "surest": "surest", "fewest": "fewest boxes"}


def _worst(figures: DesignFigures) -> str:
    if figures.worst is None:
        return "not known"
    _, share, wanted = figures.worst
    return f"{100 * share:.1f} of {100 * wanted:g} %"


_ROWS = (
    ("new receivers", lambda f: str(f.boxes)),
    ("new supplies", lambda f: str(f.supplies)),
    ("relays and contactors", lambda f: str(f.relays)),
    ("cable, mains aside", lambda f: f"{f.metres:.0f} m"),
    (_WORK, lambda f: hours_told(f.minutes)),
    ("promises of which none fails", lambda f: f"{f.kept} of {f.promises}"),
    ("nearest to its promise", _worst),
    ("faults left", lambda f: str(f.fails)),
    ("only just holds", lambda f: str(f.thin)),
    ("still unknown", lambda f: str(f.unknown)),
)


def _in_full(design: Design, width: int) -> Iterator[str]:
    number = 0
    for decision in design.decisions:
        if not decision.at and not decision.about:
            continue
        number += 1
        yield from wrapped(f"{decision.does}", width, f"{number:2} ", "   ")
        for kind in decision.kinds:
            yield from wrapped(kind, width, "   ", "     ")
        if not decision.kinds:
            yield from wrapped(f"- {decision.because}", width, "   ", "     ")
    for step in design.steps:
        number += 1
        places = listed(
            ["/".join(place.split("/")[3:]) or place for place in sorted(step.candidate.places)][:2]
        )
        yield from wrapped(f"{step.candidate.does}: {places}", width, f"{number:2} ", "   ")
        for cured in step.cures:
            yield from wrapped(cured_told(cured), width, "   - ", "     ")
