"""The cell plan: which cells are due when, how many to order."""

from __future__ import annotations

from typing import Final

from farpress.case.driven import holders
from farpress.domain.cautions import CAUTIONS
from farpress.domain.refs import GroupRef, refs_of
from farpress.domain.register import Fob, FobState
from farpress.judging.fob.cell_plan import CellPlan
from farpress.judging.fob.cell_plan import cell_plan as used_up
from farpress.papers.builders.basis import Basis
from farpress.papers.builders.cell_months import change_by, put_in
from farpress.papers.typesetting.paper import (
    Cautions,
    Cell,
    Column,
    Fields,
    Paper,
    PaperField,
    PaperTable,
    Section,
    Text,
)
from farpress.sources import Citation, Mark
from farpress.upkeep.cells import GroupCells, cells_ahead

__all__ = ["cell_plan"]

Row = tuple[Cell | str | None, ...]


_SPARE: Final = Citation("one cell in twenty more than fobs", mark=Mark.CHOICE)


_EARLY: Final = Citation(
    "the cheapest age to change all at once, an empty cell counted as ten changes", mark=Mark.CHOICE
)


_USED_UP: Final = (
    Citation("charge of presses, sleep and self-discharge; voltage in the cold", mark=Mark.COMPUTED),
)


def cell_plan(basis: Basis) -> Paper:
    """Which cells are due when, how many to order, where the old ones go."""
    life = {
        ref.path: finding
        for finding in basis.of_code("FOB-04")
        for ref in refs_of(GroupRef, finding.subjects)
    }
    rows: list[Row] = []
    order: dict[str, int] = {}
    for name, group in basis.case.job.groups.items():
        cell = basis.case.equipment.cells.get(name)
        number = holders(group)
        finding = life.get(name)
        used = used_up(basis.case, name)
        rows.append(
            (
                name,
                group.fob,
                (cell.says or cell.name) if cell is not None else None,
                str(number) if number is not None else None,
                f"{group.spares}",
                f"{used.years:.1f} years" if used is not None else None,
                f"{used.limited_by}{f'; {used.assumed}' if used.assumed else ''}" if used is not None else "",
                *_months(basis, name, used),
                basis.judged([finding] if finding is not None else []),
            )
        )
        if cell is not None and number is not None:
            order[cell.says or cell.name] = order.get(cell.says or cell.name, 0) + number + group.spares
    columns = (
        Column("group", 0.9),
        Column("fob", 0.4),
        Column("cell", 1),
        Column("fobs", 0.45, True, basis.given),
        Column("spares", 0.45, True, basis.given),
        Column("lasts about", 0.6, sources=_USED_UP),
        Column("limited by", 0.8),
        Column("put in", 0.7, sources=basis.recorded),
        Column("change by", 0.6, sources=(_EARLY, *_USED_UP)),
        Column("judged", 1.2),
    )
    orders: list[Row] = [(name, f"{count}", f"{count + (count + 19) // 20}") for name, count in order.items()]
    recorded: list[Row] = [
        (
            Cell(fob.label, "", basis.recorded, is_for_row=True),
            fob.group,
            fob.cell or "",
            fob.cell_date or None,
            _by(basis, fob),
            fob.low_cell_at[:10] or "",
        )
        for _, fob in sorted(basis.register.fobs.items())
        if fob.low_cell_at or fob.cell_date
    ]
    return Paper(
        "cell-plan",
        "Cell plan",
        "For the register keeper: cells are changed before they are empty, together and on a fixed day.",
        (
            Section("Danger", (Cautions((CAUTIONS["cell"],)),)),
            Section(
                "Forecast",
                (PaperTable("forecast", columns, tuple(rows), empty="No group is described yet."),),
            ),
            Section(
                "Order",
                (
                    PaperTable(
                        "order",
                        (
                            Column("cell", 2),
                            Column("in fobs", 0.5, True, basis.given),
                            Column("order for one change", 0.8, True, (_SPARE,)),
                        ),
                        tuple(orders),
                        empty="Which cells the fobs have is not known.",
                    ),
                ),
            ),
            Section(
                "By date",
                (
                    Text(
                        "A cell of unknown age is taken as new on the day of this paper: look into the fobs"
                        " and write the month down.",
                        is_note=True,
                    ),
                    _by_date(basis),
                ),
            ),
            Section(
                "Cells recorded",
                (
                    PaperTable(
                        "cells",
                        (
                            Column("label"),
                            Column("group"),
                            Column("cell"),
                            Column("of, or changed"),
                            Column("change by", sources=(_EARLY, *_USED_UP)),
                            Column("low cell reported"),
                        ),
                        tuple(recorded),
                        empty="No change of a cell is recorded yet.",
                        blank_rows=0 if recorded else 4,
                    ),
                ),
            ),
            Section(
                "Next change",
                (
                    Fields(
                        (
                            PaperField("On", None),
                            PaperField("By", None),
                            PaperField(
                                "Where used cells are taken to",
                                None,
                                "a collection point; tape each cell first",
                            ),
                            PaperField("Measured under load before and after", None),
                        )
                    ),
                ),
            ),
        ),
        missing=(
            *(
                f"{name}: number of holders not given"
                for name, group in basis.case.job.groups.items()
                if holders(group) is None
            ),
            *(
                ("Months in which the cells were put in: look into the fobs, enter them in the record",)
                if any(row[7] is None for row in rows)
                else ()
            ),
        ),
    )


def _months(basis: Basis, group: str, plan: CellPlan | None) -> tuple[str | None, str | None]:
    """When the cells of a group were put in, first to last, and when the first of them is to be changed; None
    where none is known.
    """
    held = [
        fob
        for fob in basis.register.fobs.values()
        if fob.group == group and fob.state in (FobState.ISSUED, FobState.BLOCKED)
    ]
    known = sorted(day for day in (put_in(fob.cell_date) for fob in held) if day is not None)
    if not known:
        return None, None
    span = f"{known[0]:%Y-%m}" + (f" to {known[-1]:%Y-%m}" if known[-1] != known[0] else "")
    return f"{span}{f'; not known of {len(held) - len(known)}' if len(held) > len(known) else ''}", (
        f"{change_by(known[0], plan):%Y-%m}" if plan is not None else None
    )


def _by(basis: Basis, fob: Fob) -> str:
    since = put_in(fob.cell_date)
    used = used_up(basis.case, fob.group) if fob.group in basis.case.job.groups else None
    return f"{change_by(since, used):%Y-%m}" if since is not None and used is not None else ""


def _by_date(basis: Basis) -> PaperTable:
    """From the dates of the cells in the record: how many become empty, and when to change all at once."""
    found = (
        cells_ahead(basis.case, basis.register, basis.events, today=basis.day, months=12)
        if basis.day is not None
        else ()
    )
    sources = tuple(dict.fromkeys(source for group in found for source in group.sources))
    rows: list[Row] = [
        (
            group.group,
            f"{group.fobs}",
            f"{group.ages_known}",
            f"{sum(group.expected):.1f}",
            f"{group.low} to {group.high}",
            group.batch_on.isoformat() if group.batch_on is not None else "one by one",
            _why(group),
        )
        for group in found
    ]
    columns = (
        Column("group", 0.8),
        Column("fobs", 0.4, True, basis.given),
        Column("age known of", 0.45, True, basis.recorded),
        Column("empty within a year", 0.6, True, sources),
        Column("nine times in ten", 0.5),
        Column("change all on", 0.6),
        Column("why then", 2, sources=sources),
    )
    return PaperTable("by-date", columns, tuple(rows), empty="Print with a date to see what falls due when.")


def _why(group: GroupCells) -> str:
    """What the numbers beside it do not say: age and cost of a change of all, signals that came."""
    signals = group.signals_say
    if group.batch_on is None:
        return f"change each when its signal comes, and at the end of the shelf life. {signals}".strip()
    return (
        f"at an age of {group.batch.age_years:.1f} years: {group.batch.cost_per_year:.2f} changes a year for"
        f" each fob, {group.batch.waiting_cost_per_year:.2f} when waiting for each to fail;"
        f" {group.batch.empty_before_share:.0%} are empty before. {signals}"
    ).strip()
