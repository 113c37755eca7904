"""Bring a dirty list of fobs and people into the register: every problem by row, then all or nothing.

The table comes from `keys_table.read_table`. Column heads may be written in many
ways; what cannot be matched is said. Spaces and the capitals of groups and receivers are put
in order without a word; a duplicate, a gap or a contradiction is a problem, and nothing is
written while there is one, unless its rows are set aside.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence, Set
from typing import TYPE_CHECKING

from farpress.domain.acts import FobIssued, ListTaken
from farpress.errors import InputError
from farpress.keys.import_cells import COLUMNS, column_heads, offered, plain_cell
from farpress.keys.import_reading import ROW_OF_LIST, WHY, ImportPlan, ImportReader
from farpress.keys.people import Done
from farpress.keys.problems import Problem, told_together
from farpress.phrases import plural
from farpress.record.persons import put_people
from farpress.record.snapshot import drawn_in, keep_after

if TYPE_CHECKING:
    from farpress.case.case import Case
    from farpress.domain.register import FobRegister
    from farpress.keys.book import RegisterBook
    from farpress.record.persons import PersonEntry

__all__ = ["aside_table", "import_rows", "plan_good_rows", "plan_import"]


def plan_import(
    table: Sequence[Sequence[str]],
    register: FobRegister,
    people: Mapping[str, PersonEntry],
    case: Case | None,
    *,
    without: Set[int] = frozenset(),
) -> ImportPlan:
    """Look at every row, those `without` apart, and give all problems, or all that is to be written."""
    heads = [[plain_cell(cell) for cell in row] for row in table[:20]]
    head_at = next(
        (number for number, row in enumerate(heads) if column_heads(row).get("fob") is not None), None
    )
    if head_at is None:
        found = ", ".join(cell for cell in (heads[0] if heads else []) if cell) or "nothing"
        says = (
            f"No row is a head with a column for the fob's label; the first row holds {found}. Name one"
            f" column '{COLUMNS['fob'][0]}' or '{COLUMNS['fob'][1]}'."
        )
        return ImportPlan((Problem(0, "", says),))
    return ImportReader(table, head_at, register, people, case, without=without).plan()


def plan_good_rows(
    table: Sequence[Sequence[str]],
    register: FobRegister,
    people: Mapping[str, PersonEntry],
    case: Case | None,
) -> tuple[ImportPlan, Mapping[int, str]]:
    """What is to be written of the rows in order, and of every other row why it is set aside.

    A problem of the list as a whole stays in the plan.
    """
    aside: dict[int, str] = {}
    while True:
        plan = plan_import(table, register, people, case, without=aside.keys())
        if not plan.aside:
            return plan, dict(sorted(aside.items()))
        aside |= plan.aside


def aside_table(table: Sequence[Sequence[str]], aside: Mapping[int, str]) -> list[list[str]]:
    """Rows that were set aside as a list of their own: each with its row and why, then its cells as they
    were; bytes that are not UTF-8 as they would read in Windows-1252. The same list, mended, can be taken
    over.
    """
    head = next(row for row in table if "fob" in column_heads([plain_cell(cell) for cell in row]))
    return [
        [ROW_OF_LIST, WHY, *head],
        *([str(row), why, *(offered(cell) for cell in table[row - 1])] for row, why in aside.items()),
    ]


def import_rows(
    book: RegisterBook,
    table: Sequence[Sequence[str]],
    *,
    name: str = "",
    without: Set[int] = frozenset(),
    progress: Callable[[int, int], None] | None = None,
) -> Done:
    """Take a list over, all of it in one transaction.

    Args:
        book: the register.
        table: as from `keys_table.read_table`.
        name: of the list; it stands in the record, and the list can be undone by `undo_list`.
        without: rows that are passed over, see `plan_good_rows`.
        progress: told (done, of); may raise to cancel, and then nothing is written.

    Raises:
        InputError: there are problems; nothing was written. All are listed.
    """
    with book.record.transaction(job=book.job, by=book.by) as work:
        before = drawn_in(work.connection, book.job)
        plan = plan_import(table, before.register, book._people_in(work), book.case, without=without)
        if plan.problems:
            says = f"{plural(len(plan.problems), 'problem')}; nothing was written."
            raise InputError("\n".join([says, *told_together(plan.problems)]))
        if not plan.entries:
            raise InputError("No row is left that can be taken over; nothing was written.")
        if name:
            entries = len(plan.people) + len(plan.entries)
            taken = ListTaken(list=name, rows=plan.rows, fobs=plan.fobs, entries=entries, aside=len(without))
            work.append(taken)
        marks = {key: person.mark for key, person in zip(plan.people, put_people(work, plan.people.values()))}
        for number, act in enumerate(plan.entries):
            if progress is not None and number % 500 == 0:
                progress(number, len(plan.entries))
            if isinstance(act, FobIssued) and act.person in marks:
                act = act.model_copy(update={"person": marks[act.person]})
            work.append(act)
        keep_after(work, before)  # so that the next question is quick
    says = (
        f"{plural(plan.fobs, 'fob')} from {plural(plan.rows, 'row')},"
        f" {plural(len(plan.people), 'new person', 'new people')}, {plural(len(work.events), 'event')}."
    )
    return Done((says,), tuple(work.events))
