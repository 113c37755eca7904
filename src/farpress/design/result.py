"""A design as it is shown and written: its decisions, what came to it in mending, its figures, what is
left.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from farpress.case.case import Case
from farpress.design.choosing import Variant
from farpress.design.drawing import Decision
from farpress.domain.finding import Assessment, Change, Finding
from farpress.mending.result import MendingPlan, MendingStep

__all__ = ["Design", "DesignFigures", "Designs"]


@dataclass(frozen=True)
class DesignFigures:
    """What a variant takes and what it gives.

    Attributes:
        boxes: new receivers.
        supplies: new supplies.
        relays: relays, contactors and separation relays fitted.
        metres: of cable drawn, coaxial cable too [m].
        minutes: of work [min].
        promises, kept: promises, and those of which nothing fails.
        open: promises of which something is not known yet, and nothing fails.
        worst: the promise with the least reserve in the air, its chance and what was promised; None where
            none
            is known.
        fails, thin, unknown: findings.
        money: more to pay without tax than as it stands, wishes too, by the firm's price list; None where it
            tells none.
        currency: code of ISO 4217; empty where the lists say none.
        unpriced: what is new and has no price.
    """

    boxes: int
    supplies: int
    relays: int
    metres: float
    minutes: int
    promises: int
    kept: int
    worst: tuple[str, float, float] | None
    fails: int
    thin: int
    unknown: int
    money: Decimal | None = None
    currency: str = ""
    unpriced: tuple[str, ...] = ()
    open: int = 0


@dataclass(frozen=True)
class Design:
    """One variant.

    Attributes:
        variant: what it is to be first of all.
        decisions: in the order of work.
        steps: what came to the draft, each for a fault that it had.
        plan: what mending left, and why.
        case: the whole as it would be read.
        figures: of it.
        stages: changes of the file, in this order: each stage is made in the file that the one before left.
        contradictions: wishes of the customer that cannot both be kept, a sentence each.
        instead_of: figures of the draft that was chosen for this name, where another variant came out as more
            of it; its variant is `drawn_as`.
        drawn_as: the variant that it was drawn as.
    """

    variant: Variant
    decisions: tuple[Decision, ...]
    steps: tuple[MendingStep, ...]
    plan: MendingPlan
    case: Case
    figures: DesignFigures
    stages: tuple[tuple[Change, ...], ...]
    contradictions: tuple[str, ...] = ()
    instead_of: DesignFigures | None = None
    drawn_as: Variant | None = None

    @property
    def after(self) -> Assessment:
        """The assessment of the whole."""
        return self.plan.after

    @property
    def left(self) -> tuple[Finding, ...]:
        """What still fails and is not only a wish that had to be asked about first."""
        return self.plan.left


@dataclass(frozen=True)
class Designs:
    """All variants of one job.

    Attributes:
        case: as it stands.
        variants: in the order they were asked for; equal ones stay.
        asks: function or premises → the question for which something is not drawn.
        places: how many places for boxes were looked at.
        unheard: promises that no place hears well enough: with the best chance, and where.
        is_cut_short: it was cancelled; what was whole by then is here.
        has_own_norms: minutes are the firm's own, as far as it has them.
        has_prices: money was weighed and is told, by the firm's price list.
    """

    case: Case
    variants: tuple[Design, ...]
    asks: tuple[tuple[str, str], ...] = ()
    places: int = 0
    unheard: tuple[tuple[str, float, str], ...] = ()
    is_cut_short: bool = False
    has_own_norms: bool = False
    has_prices: bool = False
