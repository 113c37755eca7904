"""What a round still costs at least from any point of it, opening hours left aside.

Without hours nobody waits, and the least sum of weight times minutes still to come depends
only on which sites are done and where one stands: Held and Karp's recursion, exact. With
hours it is a bound: waiting never makes anything earlier.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Final

from farpress.errors import InputError
from farpress.sources import Mark, cites

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

__all__ = ["TABLE_SITES", "exposure_to_go"]

TABLE_SITES: Final = 18
"""Up to so many sites the table is made: 262 144 sets times 19 places, some seconds."""


@cites("Held and Karp's recursion over sets for the sum of weighted completion times", mark=Mark.COMPUTED)
def exposure_to_go(
    *, travel_min: Sequence[Sequence[float]], weights: Sequence[float], work_min: Sequence[float]
) -> NDArray[np.float64]:
    """Least sum of weight times minutes from now on, for each set of sites done and each place.

    Args:
        travel_min: minutes from row to column; row and column 0 are the start, site i is i + 1.
        weights: of each site, per minute.
        work_min: minutes of work at each site.

    Returns:
        Array of shape (2^n, n + 1): bit i of the row says that site i is done; the column is
        the place, 0 the start. Row 0, column 0 is the whole round.

    Raises:
        InputError: more sites than a table is made for.

    Example:
        Two sites, 10 min away each and from each other, no work; the heavy one goes first:

        >>> float(
        ...     exposure_to_go(
        ...         travel_min=[[0, 10, 10], [10, 0, 10], [10, 10, 0]], weights=[1, 3], work_min=[0, 0]
        ...     )[0, 0]
        ... )
        50.0
    """
    import numpy as np

    count = len(weights)
    if count > TABLE_SITES:
        raise InputError(f"{count} sites need a table of 2^{count} rows; up to {TABLE_SITES} are possible.")
    sets = np.arange(1 << count)
    done = np.array(
        [[number >> i & 1 for i in range(count)] for number in range(1 << count)], dtype=bool
    ).reshape(1 << count, count)
    waiting = (~done).astype(np.float64) @ np.asarray(weights, dtype=np.float64)
    size = done.sum(axis=1)
    leg = np.asarray(travel_min, dtype=np.float64)[:, 1:] + np.asarray(work_min, dtype=np.float64)
    table = np.full((1 << count, count + 1), np.inf)
    table[-1] = 0.0
    for left in range(1, count + 1):
        rows = sets[size == count - left]
        for i in range(count):
            some = rows[~done[rows, i]]
            table[some] = np.minimum(
                table[some], waiting[some, None] * leg[None, :, i] + table[some | 1 << i, i + 1, None]
            )
    return table
