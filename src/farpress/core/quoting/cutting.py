"""Pieces of cable cut out of drums, each in one piece: how many drums are needed."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

from farpress.errors import InputError
from farpress.sources import Mark, cites

__all__ = ["cut_from_drums"]


@cites(
    "first fit decreasing, Johnson 1973; at most 11/9 of the least number and 6/9, Dósa 2007",
    mark=Mark.MEMORY,
)
def cut_from_drums(*, pieces_m: Sequence[Decimal], drum_m: Decimal) -> tuple[tuple[Decimal, ...], ...]:
    """Lay the longest piece first into the first drum that it fits in; no piece is joined from two.

    Args:
        pieces_m: length of each piece, none of them longer than a drum [m].
        drum_m: length on a drum [m].

    Returns:
        The pieces of each drum, the longest first; as many drums as must be bought.

    Raises:
        InputError: a drum of no length, or a piece that no drum gives.

    Example:
        >>> cut_from_drums(pieces_m=[Decimal(60), Decimal(60), Decimal(40)], drum_m=Decimal(100))
        ((Decimal('60'), Decimal('40')), (Decimal('60'),))
    """
    if drum_m <= 0:
        raise InputError(f"A drum of {drum_m} m; it must hold something.")
    drums: list[list[Decimal]] = []
    for piece in sorted(pieces_m, reverse=True):
        if piece > drum_m:
            raise InputError(
                f"{piece.normalize():f} m are wanted in one piece, and a drum has"
                f" {drum_m.normalize():f} m. Order"
                " that length cut, or plan a joint in a box."
            )
        fitting = next((drum for drum in drums if sum(drum) + piece <= drum_m), None)
        if fitting is None:
            drums.append([piece])
        else:
            fitting.append(piece)
    return tuple(map(tuple, drums))
