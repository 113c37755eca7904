"""How likely the resistors of a loop stray out of the band in which the panel knows them.

Each resistor is evenly spread over its tolerance, as nothing better is known of a bag of
parts; the worst case of all at one edge is in `loops`.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence

from farpress.errors import require_range
from farpress.sources import Mark, cites

__all__ = ["outside_share", "parallel_outside_share"]

_PIECES = 2000


@cites(
    "distribution of a sum of evenly spread values",
    place="volume of a cut cube, by inclusion and exclusion",
    mark=Mark.COMPUTED,
)
def outside_share(
    *,
    resistors_ohm: Sequence[float],
    tolerance_share: float,
    low_ohm: float,
    high_ohm: float,
    added_ohm: float = 0.0,
) -> float:
    """Share of loops whose resistors in series, with the cable, lie outside a band.

    Args:
        resistors_ohm: nominal values in series, one to four [ohm].
        tolerance_share: of each, 0.05 for 5 %.
        low_ohm, high_ohm: band of the panel; may be infinite above [ohm].
        added_ohm: cable and contacts [ohm].

    >>> outside_share(
    ...     resistors_ohm=(2200.0,), tolerance_share=0.05, low_ohm=2112.0, high_ohm=2288.0, added_ohm=11.52
    ... )
    0.2
    """
    require_range("resistors_ohm", resistors_ohm, "ohm", low=1.0, because="resistors of a loop")
    require_range(
        "len(resistors_ohm)",
        len(resistors_ohm),
        "",
        low=1,
        high=4,
        because="a loop has one to four resistors in series",
    )
    require_range(
        "tolerance_share",
        tolerance_share,
        "",
        low=0.0,
        high=0.5,
        because="our choice",
        hint="Was that per cent?",
    )
    require_range("added_ohm", added_ohm, "ohm", low=0.0, because="a resistance")
    least = math.fsum(resistors_ohm) * (1 - tolerance_share) + added_ohm
    widths = [2 * tolerance_share * ohm for ohm in resistors_ohm]
    inside = _below(high_ohm - least, widths) - _below(low_ohm - least, widths)
    return min(max(1 - inside, 0.0), 1.0)


@cites(
    "two evenly spread resistors in parallel, the second one integrated in 2000 pieces", mark=Mark.COMPUTED
)
def parallel_outside_share(
    *,
    one_ohm: float,
    other_ohm: float,
    tolerance_share: float,
    low_ohm: float,
    high_ohm: float,
    added_ohm: float = 0.0,
) -> float:
    """The same for two resistors in parallel, as a two-resistor loop has them in alarm.

    Args:
        one_ohm, other_ohm: nominal values [ohm].
        tolerance_share: of each, 0.05 for 5 %.
        low_ohm, high_ohm: band of the panel [ohm].
        added_ohm: cable and contacts [ohm].
    """
    for name, value in (("one_ohm", one_ohm), ("other_ohm", other_ohm)):
        require_range(name, value, "ohm", low=1.0, because="resistors of a loop")
    require_range(
        "tolerance_share",
        tolerance_share,
        "",
        low=0.0,
        high=0.5,
        because="our choice",
        hint="Was that per cent?",
    )
    inside = 0.0
    for piece in range(_PIECES):
        other = other_ohm * (1 + tolerance_share * (2 * (piece + 0.5) / _PIECES - 1))
        edges = [_other_side(edge - added_ohm, other) for edge in (low_ohm, high_ohm)]
        shares = [
            _below(edge - one_ohm * (1 - tolerance_share), [2 * tolerance_share * one_ohm]) for edge in edges
        ]
        inside += (shares[1] - shares[0]) / _PIECES
    return min(max(1 - inside, 0.0), 1.0)


def _other_side(together_ohm: float, one_ohm: float) -> float:
    """What must lie beside a resistor for both to make a value; infinite where even nothing beside it makes
    less.
    """
    if together_ohm <= 0:
        return 0.0
    return math.inf if together_ohm >= one_ohm else together_ohm * one_ohm / (one_ohm - together_ohm)


def _below(height: float, widths: Sequence[float]) -> float:
    """Share of a box with these sides in which the sum of coordinates stays below a height."""
    sides = [width for width in widths if width > 0]
    if height <= 0:
        return 0.0 if sides or height < 0 else 1.0
    if height >= math.fsum(sides):
        return 1.0
    number = len(sides)
    volume = 0.0
    for count in range(number + 1):
        for cut in itertools.combinations(sides, count):
            left = height - math.fsum(cut)
            if left > 0:
                volume += (-1) ** count * left**number
    return volume / math.factorial(number) / math.prod(sides)
