"""A square system of equations, given entry by entry: dense when small, sparse when large."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from farpress.sources import Mark, cites

__all__ = ["SMALL", "LinearSystem", "eliminated", "solve_entries"]

SMALL = 120
"""Unknowns up to which a dense matrix is solved: beyond, numpy's solver starts threads that wait for each
other where others work too (200 unknowns: 8.5 ms of processor time against 2.0 sparse), and a sparse one
is as quick; measured, our choice."""

_FEW = 12
"""Equations up to which plain elimination is quicker than a call of numpy; measured, our choice."""


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
    if right.size == 0:
        return right
    system = LinearSystem(
        np.asarray(rows, dtype=np.intp), np.asarray(columns, dtype=np.intp), np.asarray(values), right.size
    )
    return system.solve(right)


class LinearSystem:
    """A square matrix that is the sum of its entries, solved for several right sides."""

    def __init__(
        self, rows: NDArray[np.intp], columns: NDArray[np.intp], values: NDArray[np.float64], size: int
    ) -> None:
        """Dense up to `SMALL` unknowns, sparse beyond.

        Args:
            rows, columns, values: of each entry, shape (k,); the same place may come several times.
            size: number of unknowns.
        """
        self.size = size
        self._entries = (rows, columns, values)
        self._flat: NDArray[np.float64] | None = None
        if 0 < size <= SMALL:
            self._flat = _summed(rows * size + columns, values, size)

    @classmethod
    def dense(cls, flat: list[float], size: int) -> LinearSystem:
        """A small one.

        Args:
            flat: row after row, size * size values.
            size: number of unknowns.
        """
        nothing = np.zeros(0, dtype=np.intp)
        made = cls(nothing, nothing, np.zeros(0), 0)
        made.size, made._flat = size, np.array(flat)
        return made

    def solve(
        self, right: NDArray[np.float64], extra: Sequence[tuple[int, int, float]] = ()
    ) -> NDArray[np.float64] | None:
        """The unknowns; None where the matrix is singular.

        Args:
            right: right side, shape (size,), or several beside each other, shape (size, k).
            extra: entries that are added for this time: row, column, value.
        """
        if self.size == 0:
            return right
        found = self._solve_sparse(right, extra) if self._flat is None else self._solve_dense(right, extra)
        return found if found is not None and math.isfinite(found.sum()) else None

    def _solve_dense(
        self, right: NDArray[np.float64], extra: Sequence[tuple[int, int, float]]
    ) -> NDArray[np.float64] | None:
        assert self._flat is not None
        size, flat = self.size, self._flat
        if extra:
            flat = flat.copy()
            for row, column, value in extra:
                flat[row * size + column] += value
        try:
            return np.asarray(np.linalg.solve(flat.reshape(size, size), right), dtype=np.float64)
        except np.linalg.LinAlgError:
            return None

    def _solve_sparse(
        self, right: NDArray[np.float64], extra: Sequence[tuple[int, int, float]]
    ) -> NDArray[np.float64] | None:
        from scipy.sparse import csc_array
        from scipy.sparse.linalg import splu

        rows, columns, values = self._entries
        if extra:
            more = np.array(extra)
            rows = np.concatenate([rows, more[:, 0].astype(np.intp)])
            columns = np.concatenate([columns, more[:, 1].astype(np.intp)])
            values = np.concatenate([values, more[:, 2]])
        matrix = csc_array((values, (rows, columns)), shape=(self.size, self.size))
        try:
            return np.asarray(splu(matrix).solve(right), dtype=np.float64)
        except RuntimeError:
            return None


@cites("Gaussian elimination with pivots", mark=Mark.COMPUTED)
def eliminated(rows: list[list[float]]) -> list[float] | None:
    """Unknowns of a few equations, by elimination with pivots; None where they have no single solution.

    Args:
        rows: coefficients of each equation and its right side behind them; used up.
    """
    count = len(rows)
    if count > _FEW:
        made = np.array(rows)
        try:
            return _listed(np.linalg.solve(made[:, :-1], made[:, -1]))
        except np.linalg.LinAlgError:
            return None
    for step in range(count):
        pivot = rows[step]
        largest = abs(pivot[step])
        for place in range(step + 1, count):
            if abs(rows[place][step]) > 10 * largest:  # else the diagonal will do
                rows[step], rows[place] = rows[place], pivot
                pivot = rows[step]
                largest = abs(pivot[step])
        if not 0 < largest < math.inf:
            return None
        behind = range(step + 1, count + 1)
        for row in rows[step + 1 :]:
            if share := row[step] / pivot[step]:
                for column in behind:
                    row[column] -= share * pivot[column]
    found = [0.0] * count
    for step in range(count - 1, -1, -1):
        row = rows[step]
        left = row[count]
        for column in range(step + 1, count):
            left -= row[column] * found[column]
        found[step] = left / row[step]
    return found


def _listed(found: NDArray[np.float64]) -> list[float]:
    numbers: list[float] = found.tolist()
    return numbers


def _summed(
    places: Sequence[int] | NDArray[np.intp], values: Sequence[float] | NDArray[np.float64], size: int
) -> NDArray[np.float64]:
    """Entries added up where they fall on the same place, shape (size * size,)."""
    return np.bincount(places, weights=values, minlength=size * size).astype(np.float64, copy=False)
