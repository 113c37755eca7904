"""The table of a power cut, for proposal and proving record: how everything stands before, during and
after.
"""

from __future__ import annotations

from farpress.papers.builders.basis import Basis
from farpress.papers.typesetting.paper import Cell, Column, PaperTable
from farpress.rehearsal.power import PowerRow
from farpress.sources import Citation, Mark

__all__ = ["power_cut"]

_PLAYED = (
    Citation("played in the model of outputs, devices and panels, nobody pressing", mark=Mark.COMPUTED),
)


def power_cut(basis: Basis, *, is_form: bool = False) -> PaperTable:
    """Before, during, after; as a form with three tries and room for what was found."""
    rows: list[tuple[Cell | str | None, ...]] = []
    for row in basis.power_cuts:
        alone = "".join(f"; {cut.cut}: {cut.after}" for cut in row.alone)
        after = Cell(f"{row.after}{f': {row.asks}' if row.asks else ''}{alone}", _verdict(row), _PLAYED)
        rows.append(
            (
                row.path,
                row.what,
                row.before,
                row.during,
                after,
                *((None, None, None, None) if is_form else ()),
            )
        )
    columns = (
        Column("where", 1),
        Column("what", 1.2),
        Column("before", 0.6),
        Column("during", 0.6),
        Column("after, nobody pressing", 1.6),
    )
    form = (
        (Column("1st try", 0.45), Column("2nd", 0.4), Column("3rd", 0.4), Column("date, by", 0.7))
        if is_form
        else ()
    )
    return PaperTable("power-cut", (*columns, *form), tuple(rows), empty="No output is described yet.")


def _verdict(row: PowerRow) -> str:
    if row.comes_on:
        return "fails"
    return "unknown" if row.asks or row.after == "not known" else "holds"
