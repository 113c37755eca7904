"""A design in sentences and figures: the variants beside each other, each in full, what is left, what to ask.

Terminal and desk show the same; nothing is counted or judged here.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Final

from farpress.design.choosing import Variant
from farpress.design.drawing import Decision
from farpress.design.result import Design, DesignFigures, Designs
from farpress.domain.finding import Verdict
from farpress.mending.result import MendingStep
from farpress.mending.telling import cured_told, hours_told, left_told
from farpress.phrases import listed, plural

__all__ = ["ChoiceTold", "DesignsTold", "VariantTold", "designs_told", "shown_variant"]


@dataclass(frozen=True)
class ChoiceTold:
    """One choice, or one change that came to the draft.

    Attributes:
        does: in words, without a stop at its end.
        lines: what it consists of, or why; one line each.
        fixes: what would keep it as it is in another run, each as "function.key=value".
    """

    does: str
    lines: tuple[str, ...]
    fixes: tuple[str, ...] = ()


@dataclass(frozen=True)
class VariantTold:
    """One variant in full.

    Attributes:
        name, title: of the variant, for programs and for people.
        choices: in the order of work.
        contradictions: wishes that cannot both be kept, a sentence each.
        left: what no change mends: a line, then what stands in the way or a person could do.
        fails: faults left.
        foot: what is still unknown.
    """

    name: str
    title: str
    choices: tuple[ChoiceTold, ...]
    contradictions: tuple[str, ...]
    left: tuple[tuple[str, tuple[str, ...]], ...]
    fails: int
    foot: str


@dataclass(frozen=True)
class DesignsTold:
    """All variants of one job.

    Attributes:
        fingerprint: of the job they were drawn for.
        head: what was looked at.
        cut_short: a sentence where it was stopped before its end; else empty.
        rows: a figure, then its value in each variant.
        notes: what is to be known of the figures, a sentence each.
        asks: what has to be asked first, a sentence each.
        variants: in the order of the columns.
        shown: number of the one with the fewest faults left, the first of several; None without any.
    """

    fingerprint: str
    head: str
    cut_short: str
    rows: tuple[tuple[str, tuple[str, ...]], ...]
    notes: tuple[str, ...]
    asks: tuple[str, ...]
    variants: tuple[VariantTold, ...]
    shown: int | None


def designs_told(designs: Designs) -> DesignsTold:
    """The variants in sentences."""
    best = shown_variant(designs)
    return DesignsTold(
        designs.case.fingerprint,
        f"{designs.case.job.job}: drawn up from what is wished; {plural(designs.places, 'place')} for boxes"
        " looked at.",
        "Stopped before the end: only the variants that were whole by then." if designs.is_cut_short else "",
        tuple(_rows(designs)),
        tuple(_notes(designs)),
        tuple(_asks(designs)),
        tuple(map(_variant, designs.variants)),
        next((n for n, design in enumerate(designs.variants) if design is best), None),
    )


def shown_variant(designs: Designs) -> Design | None:
    """The variant that is shown in full: the one with the fewest faults left, the first of several."""
    return min(designs.variants, key=lambda design: design.figures.fails, default=None)


def _rows(designs: Designs) -> Iterator[tuple[str, tuple[str, ...]]]:
    work = "work, by your norms" if designs.has_own_norms else "work, by invented norms"
    rows: list[tuple[str, Callable[[DesignFigures], str]]] = [
        ("new receivers", lambda figures: str(figures.boxes)),
        ("new supplies", lambda figures: str(figures.supplies)),
        ("relays and contactors", lambda figures: str(figures.relays)),
        ("cable, mains aside", lambda figures: f"{figures.metres:.0f} m"),
        (work, lambda figures: hours_told(figures.minutes)),
    ]
    if designs.has_prices:
        rows.append(("to pay, without tax", _money))
    rows += [
        ("promises that fail", lambda figures: f"{figures.promises - figures.kept} of {figures.promises}"),
        ("promises not known yet", lambda figures: f"{figures.open} of {figures.promises}"),
        ("nearest to its promise", _worst),
        ("faults left", lambda figures: str(figures.fails)),
        ("only just holds", lambda figures: str(figures.thin)),
        ("still unknown", lambda figures: str(figures.unknown)),
    ]
    for what, tell in rows:
        yield what, tuple(tell(design.figures) for design in designs.variants)


def _money(figures: DesignFigures) -> str:
    if figures.money is None:
        return "no price"
    more = " +" if figures.unpriced else ""
    return f"{figures.money:,} {figures.currency}".rstrip() + more


def _worst(figures: DesignFigures) -> str:
    if figures.worst is None:
        return "not known"
    _, share, wanted = figures.worst
    return f"{100 * share:.1f} of {100 * wanted:g} %"


def _notes(designs: Designs) -> Iterator[str]:
    near = {design.figures.worst[0] for design in designs.variants if design.figures.worst is not None}
    if near:
        yield f"Nearest to its promise: {listed(sorted(near), last='; ')}."
    unpriced = dict.fromkeys(name for design in designs.variants for name in design.figures.unpriced)
    for design in designs.variants:
        if design.instead_of is not None and design.drawn_as is not None:
            yield _instead(design, design.instead_of, design.drawn_as)
    if unpriced:
        yield f"Your price list has no price for {listed(list(unpriced))}: '+' stands for them."
    if designs.variants and not designs.has_prices:
        yield "No price list is kept: boxes, metres and minutes were weighed, no money."


def _instead(design: Design, own: DesignFigures, drawn_as: Variant) -> str:
    """Why two columns are the same: the draft that was chosen for this name came out as less of it."""
    return (
        f"{_TITLES[design.variant].capitalize()}: the draft chosen for it came, once it was mended, to"
        f" {plural(own.boxes, 'receiver')}, {own.metres:.0f} m, {hours_told(own.minutes)} and"
        f" {plural(own.fails, 'fault')} left; the one drawn as {_TITLES[drawn_as]} comes to less and stands"
        " here."
    )


def _asks(designs: Designs) -> Iterator[str]:
    yield from (ask for _, ask in designs.asks)
    yield from _not_heard_of(designs)
    for promise, share, where in designs.unheard:
        yield f"{promise}: heard nowhere as surely as promised; best {share:.1%} {where}."


def _not_heard_of(designs: Designs) -> Iterator[str]:
    """What must be known before the air of a promise can be told at all, each question once."""
    promises: dict[str, dict[str, None]] = {}
    for design in designs.variants:
        for finding in design.after.findings:
            if finding.code == "AIR-01" and finding.verdict is Verdict.UNKNOWN:
                for ask in finding.asks[:1]:
                    promises.setdefault(ask.says, {})[finding.about] = None
    for says, about in promises.items():
        yield f"{says.rstrip('.')}: until then the air of {plural(len(about), 'promise')} is not known."


def _variant(design: Design) -> VariantTold:
    return VariantTold(
        design.variant,
        _TITLES[design.variant],
        (
            *(_choice(decision) for decision in design.decisions if decision.at or decision.about),
            *map(_step, design.steps),
        ),
        design.contradictions,
        tuple(left_told(design.plan)),
        design.figures.fails,
        f"{plural(design.figures.unknown, 'finding')} still unknown: 'farpress assess' of the written job"
        " has the list. Mains side and alarm panels: only by those licensed for it.",
    )


_TITLES: Final = {"cheapest": "cheapest", "surest": "surest", "fewest": "fewest boxes"}


def _choice(decision: Decision) -> ChoiceTold:
    return ChoiceTold(decision.does, decision.kinds or (f"- {decision.because}",), decision.fixes)


def _step(step: MendingStep) -> ChoiceTold:
    places = ["/".join(place.split("/")[3:]) or place for place in sorted(step.candidate.places)]
    return ChoiceTold(
        f"{step.candidate.does}: {listed(places[:2])}",
        tuple(f"- {cured_told(cured)}" for cured in step.cures),
    )
