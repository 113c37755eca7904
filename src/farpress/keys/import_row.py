"""What is wrong or odd in one row of a list, looked at by itself."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Final

from farpress.keys.find import plain_label
from farpress.keys.import_cells import date_in, has_hidden, has_lost_letters, offered, shown
from farpress.keys.import_places import Fault, PlacesOfList
from farpress.keys.import_state import state_faults
from farpress.keys.problems import RowClass, closest_or_all
from farpress.keys.rights import type_fault, type_named
from farpress.table_cells import looks_computed, unharmed

if TYPE_CHECKING:
    from farpress.case.case import Case

__all__ = ["RowReader"]

LONGEST: Final = 200
"""Characters of one field; longer is a slip (two columns run together)."""

_DAYS: Final = (
    "valid from",
    "valid to",
    "cell date",
    "issued",
    "signed",
    "lost",
    "back",
    "learned",
    "deleted",
)
"""Columns that hold a date."""

_FORMULA_COLUMNS: Final = ("fob", "person", "organisation", "contact", "remark", "pool")
"""Columns in which a text that looks like a formula is told; in a column of numbers it is wrong anyway."""


class RowReader:
    """Looks at rows one by one; what the job has is looked up once."""

    def __init__(self, case: Case | None, columns: dict[str, int], width: int) -> None:
        self.case, self.columns, self.width = case, columns, width
        self.places = PlacesOfList(case)
        self._types: dict[str, str] = {}
        self._no_types: dict[str, str] = {}

    def cells_faults(self, cells: Sequence[str]) -> Iterator[Fault]:
        """What keeps a row from being read at all, from its cells as they stand in the file."""
        too_many = len(cells) > self.width and any(cell.strip() for cell in cells[self.width :])
        if len(cells) < self.width or too_many:
            yield "", f"{len(cells)} cells; the head has {self.width}.", RowClass.COLUMNS
            return
        for name, column in self.columns.items():
            cell = cells[column]
            if has_lost_letters(cell):
                given = offered(cell)
                says = (
                    f"a letter of '{given}' was lost before the list came here; write it anew."
                    if given == cell
                    else f"its bytes are not UTF-8; in Windows-1252 (Latin-1) it would be '{given}'. Save the"
                    " list as UTF-8, or say in which encoding it is."
                )
                yield name, says, RowClass.LETTERS

    def cells_told(self, cells: Sequence[str]) -> Iterator[Fault]:
        """What is taken, and told, of a row's cells as they stand in the file."""
        for name, column in self.columns.items():
            cell = cells[column] if column < len(cells) else ""
            if has_hidden(cell):
                yield name, f"'{shown(cell[:80])}' has signs that cannot be seen.", RowClass.INVISIBLE
            if name in _FORMULA_COLUMNS and looks_computed(unharmed(cell)):
                yield name, f"'{shown(unharmed(cell)[:80])}' is kept as text.", RowClass.FORMULA

    def faults(self, values: dict[str, str]) -> Iterator[Fault]:
        """What is wrong in a row of the right form; puts its values in order on the way."""
        yield from self._days(values)
        if values.get("person") and values.get("pool"):
            says = (
                f"It belongs to {values['person']} and to pool {values['pool']}; only one of them can be"
                " right."
            )
            yield "pool", says, RowClass.OTHER
        yield from self._group_and_type(values)
        yield from self.places.faults(values)
        yield from state_faults(values)
        if not plain_label(values["fob"]):
            given = f"'{values['fob']}' has no letter or digit" if values["fob"] else "it is blank"
            yield "fob", f"A label is needed; {given}.", RowClass.OTHER

    @staticmethod
    def _days(values: dict[str, str]) -> Iterator[Fault]:
        for name, value in values.items():
            if len(value) > LONGEST:
                says = f"{len(value)} characters; up to {LONGEST} are taken. Did two columns run together?"
                yield name, says, RowClass.LONG
        for name in _DAYS:
            if not values.get(name):
                continue
            day = date_in(values[name], month_will_do=name == "cell date")
            if day is None:
                says = f"'{values[name]}' is not a date that has one meaning; write it as 2027-03-01."
                yield name, says, RowClass.DATE
                values[name] = ""
            else:
                values[name] = day
        begins = max(values.get("valid from", ""), values.get("issued", ""))
        if begins and values.get("valid to") and values["valid to"] < begins:
            what = "it begins" if begins == values.get("valid from") else "it was issued"
            says = f"{values['valid to']} comes before {what} on {begins}."
            yield "valid to", says, RowClass.PERIOD

    def _group_and_type(self, values: dict[str, str]) -> Iterator[Fault]:
        group = values.get("group", "")
        if group and self.case is not None:
            same = next((name for name in self.case.job.groups if name.casefold() == group.casefold()), None)
            if same is None:
                near = closest_or_all(group, self.case.job.groups)
                yield "group", f"The job has no group '{group}'{near}.", RowClass.OTHER
            values["group"] = same or ""
            values["no group"] = "" if same else "said already"
        kind = values.get("type", "")
        if kind and self.case is not None:
            if kind not in self._types:
                self._types[kind] = type_named(self.case, kind)
                self._no_types[kind] = "" if self._types[kind] else type_fault(self.case, kind)
            if self._no_types[kind]:
                yield "type", self._no_types[kind], RowClass.OTHER
            values["type"] = self._types[kind]
