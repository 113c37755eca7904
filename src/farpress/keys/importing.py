"""Bring a dirty list of fobs and people into the register: every problem by row, then all or nothing.

The table comes from `keys_table.read_table`. Column heads may be written in many
ways; what cannot be matched is said. Spaces, invisible characters and capitals are put in
order without a word; a duplicate, a gap or a contradiction is a problem, and nothing is
written while there is one.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import TYPE_CHECKING

from farpress.domain.acts import FobIssued
from farpress.errors import InputError
from farpress.keys.import_cells import COLUMNS, column_heads, plain_cell
from farpress.keys.import_reading import ImportPlan, ImportReader
from farpress.keys.people import Done
from farpress.keys.problems import Problem, told_together
from farpress.record.persons import put_people
from farpress.record.snapshot import drawn_in, keep_after

if TYPE_CHECKING:
    from farpress.case.case import Case
    from farpress.domain.register import FobRegister
    from farpress.keys.book import RegisterBook
    from farpress.record.persons import PersonEntry

__all__ = ["import_rows", "plan_import"]


def plan_import(
    table: Sequence[Sequence[str]],
    register: FobRegister,
    people: Mapping[str, PersonEntry],
    case: Case | None,
) -> ImportPlan:
    """Look at every row and give all problems, or all that is to be written."""
    rows = [[plain_cell(cell) for cell in row] for row in table]
    head_at = next(
        (number for number, row in enumerate(rows[:20]) if column_heads(row).get("fob") is not None), None
    )
    if head_at is None:
        found = ", ".join(cell for cell in (rows[0] if rows else []) if cell) or "nothing"
        return ImportPlan(
            (
                Problem(
                    0,
                    "",
                    f"No row is a head with a column for the fob's label; the first row holds {found}."
                    f" Name one"
                    f" column '{COLUMNS['fob'][0]}' or '{COLUMNS['fob'][1]}'.",
                ),
            )
        )
    return ImportReader(rows, head_at, register, people, case).plan()


def import_rows(
    book: RegisterBook, table: Sequence[Sequence[str]], *, progress: Callable[[int, int], None] | None = None
) -> Done:
    """Take a list over, all of it in one transaction.

    Args:
        book: the register.
        table: as from `keys_table.read_table`.
        progress: told (done, of); may raise to cancel, and then nothing is written.

    Raises:
        InputError: there are problems; nothing was written. All are listed.
    """
    with book.record.transaction(job=book.job, by=book.by) as work:
        before = drawn_in(work.connection, book.job)
        plan = plan_import(table, before.register, book._people_in(work), book.case)
        if plan.problems:
            raise InputError(
                "\n".join(
                    [
                        (
                            f"{len(plan.problems)} problem{'s' if len(plan.problems) != 1 else ''};"
                            f" nothing was"
                            " written."
                        ),
                        *told_together(plan.problems),
                    ]
                )
            )
        marks = {key: person.mark for key, person in zip(plan.people, put_people(work, plan.people.values()))}
        for number, act in enumerate(plan.entries):
            if progress is not None and number % 500 == 0:
                progress(number, len(plan.entries))
            if isinstance(act, FobIssued) and act.person in marks:
                act = act.model_copy(update={"person": marks[act.person]})
            work.append(act)
        keep_after(work, before)  # so that the next question is quick
    return Done(
        (
            (
                f"{plan.fobs} fobs from {plan.rows} rows, {len(plan.people)} new people, {len(work.events)}"
                " events."
            ),
        ),
        tuple(work.events),
    )
