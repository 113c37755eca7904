"""What a price is for: a piece, a metre, a hundred metres, a drum, a box, an hour."""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import Decimal
from typing import Final, Literal

from farpress.errors import InputError
from farpress.quoting.figures import figure_of, plain_figure

__all__ = ["SellingUnit", "selling_unit"]

_NAMES: Final = {
    "piece": "piece",
    "pieces": "piece",
    "pc": "piece",
    "pcs": "piece",
    "each": "piece",
    "m": "m",
    "metre": "m",
    "metres": "m",
    "h": "h",
    "hour": "h",
    "hours": "h",
}

_PACKED: Final = re.compile(r"(?P<pack>box|pack|bag|drum|ring|reel) of (?P<size>[0-9.,]+) ?(?P<unit>[a-z]*)")
_SEVERAL: Final = re.compile(r"(?:per )?(?P<size>[0-9.,]+) ?(?P<unit>[a-z]+)")


@dataclass(frozen=True)
class SellingUnit:
    """What a price is for.

    Attributes:
        counts: what is counted.
        size: so much of it for one price.
        pack: only whole ones are sold: the word for one; empty where any amount is sold.
    """

    counts: Literal["piece", "m", "h"]
    size: Decimal = Decimal(1)
    pack: str = ""

    def __str__(self) -> str:
        """As a list writes it; `selling_unit` reads it back."""
        counted = "pieces" if self.counts == "piece" else self.counts
        amount = f"{plain_figure(self.size)} {counted}"
        if self.pack:
            return f"{self.pack} of {amount}"
        return self.counts if self.size == 1 else amount


def selling_unit(text: str) -> SellingUnit:
    """Read what a price is for.

    Raises:
        InputError: none of the forms that are known.

    Example:
        >>> str(selling_unit("Drum of 100 m")), str(selling_unit("each")), str(selling_unit("100 m"))
        ('drum of 100 m', 'piece', '100 m')
    """
    given = " ".join(text.casefold().split())
    if given in _NAMES:
        return SellingUnit(_NAMES[given])  # type: ignore[arg-type]
    found = _PACKED.fullmatch(given) or _SEVERAL.fullmatch(given)
    pack = found.groupdict().get("pack", "") or "" if found is not None else ""
    unit = (found["unit"] or ("piece" if pack in ("box", "pack", "bag") else "")) if found is not None else ""
    if found is None or unit not in _NAMES:
        raise InputError(
            f"'{text[:40]}' is no unit a price is for; write piece, box of 50 pieces, m, 100 m, drum of"
            " 100 m or h"
        )
    size = figure_of(found["size"])
    if size <= 0:
        raise InputError(f"'{text[:40]}' holds nothing; a box or a drum has something in it")
    if pack and _NAMES[unit] == "h":
        raise InputError(f"'{text[:40]}': hours are sold by the hour; write h")
    return SellingUnit(_NAMES[unit], size, pack)  # type: ignore[arg-type]
