"""A list of the firm as rows with named cells: head found, columns told, every fault gathered."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Final, TypeVar

from farpress.errors import InputError
from farpress.keys.import_cells import column_heads, has_lost_letters, offered, plain_cell, shown
from farpress.keys.problems import Problem, told_together
from farpress.keys.table import CellNumber
from farpress.phrases import listed

__all__ = ["FirmListFaults", "ListRow", "ListRows", "require_no_problem", "rows_of_list"]

Value = TypeVar("Value")

LONGEST: Final = 200
"""Characters of a cell; more is two columns run together. Our choice."""


class FirmListFaults(InputError):
    """A list of the firm that cannot be used; `problems` holds every fault found in it."""

    def __init__(self, what: str, problems: Sequence[Problem]) -> None:
        """Keep the faults in the order of the list."""
        self.problems = tuple(sorted(set(problems)))
        count = len(self.problems)
        head = f"{count} fault{'s' if count != 1 else ''} in the {what}; nothing of it was taken."
        super().__init__("\n".join([head, *told_together(self.problems)]))


@dataclass(frozen=True)
class ListRow:
    """One row: its number as a spreadsheet counts, and its cells by column; "" for an empty one."""

    number: int
    cells: Mapping[str, str]


@dataclass
class ListRows:
    """The rows of a list and what is wrong with them so far.

    Attributes:
        heads: column → its head as it is written.
        ignored: heads that mean nothing here.
    """

    heads: Mapping[str, str]
    rows: list[ListRow]
    ignored: tuple[str, ...] = ()
    problems: list[Problem] = field(default_factory=list)

    def say(self, row: int, column: str, says: str) -> None:
        """Note a fault; row 0 for the whole list."""
        self.problems.append(Problem(row, column, says))

    def read(self, row: ListRow, column: str, reader: Callable[[str], Value]) -> Value | None:
        """A cell read by `reader`; None where it is empty or cannot be read, the fault noted."""
        text = row.cells.get(column, "")
        if not text:
            return None
        try:
            return reader(text)
        except InputError as error:
            self.say(row.number, column, f"{error}.".replace("..", "."))
            return None

    def need(self, row: ListRow, column: str, reader: Callable[[str], Value], what: str) -> Value | None:
        """The same where something must stand; `what` says what."""
        if not row.cells.get(column):
            self.say(row.number, column, f"nothing stands here; {what}.")
            return None
        return self.read(row, column, reader)


def rows_of_list(
    table: Sequence[Sequence[str]], columns: Mapping[str, Sequence[str]], *, needed: Sequence[str]
) -> ListRows:
    """Find the head of a list and its rows.

    Args:
        table: cells as they stand in the file.
        columns: column → heads it may have; a currency after a head, as "price, EUR", does not count.
        needed: columns without which there is no such list.
    """
    bare = [[_without_currency(plain_cell(cell)) for cell in row] for row in table[:20]]
    places = [column_heads(row, columns) for row in bare]
    head_at = next(
        (number for number, found in enumerate(places) if all(name in found for name in needed)), None
    )
    if head_at is None:
        found = listed([cell for cell in (bare[0] if bare else []) if cell])
        made = ListRows({}, [])
        made.say(0, "", f"No row is a head with the columns {listed(needed)}; the first row holds {found}.")
        return made
    place_of = places[head_at]
    heads = [plain_cell(cell) for cell in table[head_at]]
    taken = set(place_of.values())
    made = ListRows(
        {name: heads[place] for name, place in place_of.items()},
        [],
        tuple(head for place, head in enumerate(heads) if head and place not in taken),
    )
    width = max((place for place, head in enumerate(heads) if head), default=-1) + 1
    for number, raw in enumerate(table[head_at + 1 :], head_at + 2):
        if any(map(str.strip, raw)):
            made.rows += _row(made, number, raw, place_of, width)
    if not made.rows and not made.problems:
        made.say(0, "", "There is a head and no row under it.")
    return made


def _row(
    made: ListRows, number: int, raw: Sequence[str], place_of: Mapping[str, int], width: int
) -> Iterator[ListRow]:
    if len(raw) < width or any(map(str.strip, raw[width:])):
        made.say(
            number, "", f"{len(raw)} cells; the head has {width}. Is a separator missing, or one too many?"
        )
        return
    cells: dict[str, str] = {}
    for name, place in place_of.items():
        cell = raw[place]
        if has_lost_letters(cell):
            made.say(number, name, f"its bytes are not UTF-8; in Windows-1252 it would be '{offered(cell)}'.")
        elif len(cell) > LONGEST:
            made.say(
                number,
                name,
                f"{len(cell)} characters; up to {LONGEST} are taken. Did two columns run together?",
            )
        cells[name] = cell if isinstance(cell, CellNumber) else shown(plain_cell(cell))
    yield ListRow(number, cells)


def _without_currency(head: str) -> str:
    """A head without a currency at its end: "price, EUR" and "cost (EUR)" are price and cost."""
    bare = head.rstrip(")")
    code = bare[-3:]
    is_code = code.isalpha() and code.isupper() and not bare[:-3].rstrip()[-1:].isalnum()
    return bare[:-3].rstrip(" ,(") if is_code else head


def require_no_problem(rows: ListRows, what: str) -> None:
    """Refuse a list with faults, all of them at once.

    Raises:
        FirmListFaults: there is a fault.
    """
    if rows.problems:
        raise FirmListFaults(what, rows.problems)
