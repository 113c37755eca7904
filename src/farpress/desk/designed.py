"""Designs as the desk has them drawn beside the serving of pages. Plain values in, plain values out."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from farpress.desk.mended import stops_when

if TYPE_CHECKING:
    from farpress.design.telling import DesignsTold

__all__ = ["DesignWish", "DrawnUp", "drawn_up"]


@dataclass(frozen=True)
class DesignWish:
    """What a design must keep to.

    Attributes:
        fix: choices that are taken as they are, each as "function.key=value".
        anew: receivers that are drawn anew though they stand, or "all".
        keep: things that stay as they are.
        forbid: words of what must not be used.
    """

    fix: tuple[str, ...] = ()
    anew: tuple[str, ...] = ()
    keep: tuple[str, ...] = ()
    forbid: tuple[str, ...] = ()


@dataclass(frozen=True)
class DrawnUp:
    """Variants of one job.

    Attributes:
        told: in sentences and figures.
        before: text of the job they were drawn for.
        texts: of the job with each of them in it.
        plans: for each of them premises → drawing of where everything hangs, as SVG.
    """

    told: DesignsTold
    before: str
    texts: tuple[str, ...]
    plans: tuple[dict[str, str], ...]


def drawn_up(folder: Path, wish: DesignWish, enough: Path, tell: Callable[[int, int, str], None]) -> DrawnUp:
    """The variants of `farpress design` for the job in a folder, by the firm's lists as they are kept.

    Args:
        folder: of the job.
        wish: what they must keep to.
        enough: as soon as there is such a file the variants that are whole by then are taken.
        tell: told (done, of, what is done); may raise to cancel.

    Raises:
        InputError: there is nothing to draw, or a wish means nothing.
        JobFileError: the job cannot be used.
    """
    from dataclasses import replace

    from farpress.case.door import open_job
    from farpress.design.anew import anew_from
    from farpress.design.design import design
    from farpress.design.fixes import fixes_from
    from farpress.design.telling import designs_told
    from farpress.design.writing import designed_text
    from farpress.papers.builders.drawings import located
    from farpress.quoting.firm_lists import firm_lists

    tell(0, 0, "reading the job")
    case = open_job(folder)
    assert case.document is not None
    bare = anew_from(case, wish.anew)
    designs = design(
        bare.case,
        fixes=fixes_from(bare.case, wish.fix).or_else(bare.fixes),
        keep=wish.keep,
        forbid=wish.forbid,
        lists=firm_lists(),
        signals=bare.signals,
        progress=stops_when(enough, lambda what, done, of: tell(done, of, what)),
    )
    tell(0, 0, "drawing the plans")
    whole = replace(designs, case=case, asks=(*bare.asks, *designs.asks))
    return DrawnUp(
        designs_told(whole),
        case.document.source.text,
        tuple(designed_text(case, bare.with_design(design)) for design in designs.variants),
        tuple(located(design.case, small=True) for design in designs.variants),
    )
