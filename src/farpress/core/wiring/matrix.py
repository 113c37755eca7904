"""A square system of equations, given entry by entry: dense when small, sparse when large."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from farpress.sources import Mark, cites

__all__ = ["SMALL", "solve_entries"]

SMALL = 120
"""Unknowns up to which a dense matrix is solved: beyond, numpy's solver starts threads that wait for each other
where others work too (200 unknowns: 8.5 ms of processor time against 2.0 sparse), and a sparse one is as quick;
measured, our choice."""


@cites(
    "Gaussian elimination with pivots (numpy.linalg.solve); sparse: SuperLU, Li, ACM Trans. Mathematical"
    " Software 31 (3)",
    edition="2005",
    mark=Mark.MEMORY,
)
def solve_entries(
    rows: Sequence[int] | NDArray[np.int64],
    columns: Sequence[int] | NDArray[np.int64],
    values: Sequence[float] | NDArray[np.float64],
    right: NDArray[np.float64],
) -> NDArray[np.float64] | None:
    """Unknowns of a system whose matrix is the sum of its entries; None where it is singular.

    Args:
        rows, columns: of each entry; the same place may come several times.
        values: of the entries.
        right: right side, shape (n,).
    """
    size = right.size
    if size == 0:
        return right
    if size <= SMALL:
        matrix = np.zeros((size, size))
        np.add.at(matrix, (np.asarray(rows), np.asarray(columns)), np.asarray(values))
        try:
            dense = np.asarray(np.linalg.solve(matrix, right), dtype=np.float64)
        except np.linalg.LinAlgError:
            return None
        return dense if np.all(np.isfinite(dense)) else None
    from scipy.sparse import csc_array
    from scipy.sparse.linalg import splu

    system = csc_array((np.asarray(values), (np.asarray(rows), np.asarray(columns))), shape=(size, size))
    try:
        found = np.asarray(splu(system).solve(right), dtype=np.float64)
    except RuntimeError:
        return None
    return found if np.all(np.isfinite(found)) else None
