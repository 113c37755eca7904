"""A list that is taken over, row by row: every problem, or all that is to be written."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence, Set
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Final

from farpress.domain.acts import (
    FobAct,
    FobDeleted,
    FobIssued,
    FobLearned,
    FobReceived,
    ReceiptSigned,
    RightsChanged,
)
from farpress.keys.button_text import buttons_of_text
from farpress.keys.find import plain_label
from farpress.keys.import_cells import column_heads, plain_cell
from farpress.keys.import_row import RowReader
from farpress.keys.import_state import standing, was_issued
from farpress.keys.problems import MOST_NAMED, Problem, RowClass
from farpress.keys.rights import LearningPlace, buttons_of, places_of

if TYPE_CHECKING:
    from farpress.case.case import Case
    from farpress.domain.register import FobRegister
    from farpress.record.persons import PersonEntry

__all__ = ["ROW_OF_LIST", "WHY", "ImportPlan", "ImportReader"]

ROW_OF_LIST: Final = "row of the list"
WHY: Final = "why"
"""Heads of the two columns before the cells of a row that was set aside; not read again."""

MOST_ROWS: Final = 200_000
"""Rows of a list; more is a slip or no list of fobs; our choice."""

_ONE_OF_A_FOB: Final = (
    "serial",
    "type",
    "person",
    "organisation",
    "group",
    "pool",
    "valid from",
    "valid to",
    "state",
    "issued",
    "signed",
    "lost",
    "back",
    "buttons",
    "remark",
)
"""Columns that say one thing of a fob, in whatever row of it they stand."""

_LOOKS: Final = str.maketrans("OI", "01")
"""Letters that are read as digits on a small label."""


@dataclass(frozen=True)
class ImportPlan:
    """What taking a list over would do.

    Attributes:
        problems: empty if it can be taken over.
        entries: events to write; a person stands in them as "row N" until they are written.
        people: "row N" → name, organisation, contact, of people to be entered.
        rows, fobs: how many rows were read, how many fobs they make.
        ignored: heads of columns that mean nothing here.
        told: rows that are taken and have something odd, each in a class.
        notes: what was taken for granted, to be looked at before it is written.
        rooms: receivers that would be full, or nearly.
        aside: row → why it cannot be taken; other rows of the same fob too.
    """

    problems: tuple[Problem, ...]
    entries: tuple[FobAct, ...] = ()
    people: Mapping[str, tuple[str, str, str]] = field(default_factory=dict)
    rows: int = 0
    fobs: int = 0
    ignored: tuple[str, ...] = ()
    told: tuple[Problem, ...] = ()
    notes: tuple[str, ...] = ()
    rooms: tuple[str, ...] = ()
    aside: Mapping[int, str] = field(default_factory=dict)


class ImportReader:
    """Looks at every row of a table, once."""

    def __init__(
        self,
        rows: Sequence[Sequence[str]],
        head_at: int,
        register: FobRegister,
        people: Mapping[str, PersonEntry],
        case: Case | None,
        *,
        without: Set[int] = frozenset(),
    ) -> None:
        """Read a table whose head stands at `head_at`; rows `without` are passed over."""
        self.rows, self.head_at, self.register, self.case = rows, head_at, register, case
        self.without = without
        self.heads = [plain_cell(cell) for cell in rows[head_at]]
        while self.heads and not self.heads[-1]:
            self.heads.pop()
        self.columns = column_heads(self.heads)
        self.row_reader = RowReader(case, self.columns, len(self.heads))
        self.spelled: dict[str, tuple[int, str]] = {}
        self.slot_rows: dict[tuple[str, str], int] = {}
        self.labels: dict[int, str] = {}
        self.has_slots = False
        self.slotless: list[tuple[int, str]] = []
        self.known = {plain_label(label): label for label in register.fobs}
        self.serials = {fob.serial.casefold(): label for label, fob in register.fobs.items() if fob.serial}
        self.slots = {
            (entry.receiver, entry.slot): fob.label
            for fob in register.fobs.values()
            for entry in fob.known_at
            if entry.slot
        }
        self.persons = {
            (person.name.casefold(), person.organisation.casefold()): person.mark
            for person in people.values()
        }
        self.by_name: dict[str, list[tuple[str, str]]] = {}
        for key in self.persons:
            self.by_name.setdefault(key[0], []).append(key)
        self.places: dict[str, tuple[LearningPlace, ...]] = {}
        self.buttons: dict[str, dict[str, tuple[str, ...]]] = {}
        self.holds: dict[tuple[str, str], list[str]] = {}
        self.problems: list[Problem] = []
        self.told: list[Problem] = []
        self.new_people: dict[str, tuple[str, str, str]] = {}

    def plan(self) -> ImportPlan:
        """All problems, or all that is to be written."""
        ignored = tuple(
            head
            for column, head in enumerate(self.heads)
            if head and column not in self.columns.values() and head not in (ROW_OF_LIST, WHY)
        )
        by_fob: dict[str, list[tuple[int, dict[str, str]]]] = {}
        seen: dict[tuple[str, ...], int] = {}
        count = 0
        if len(self.rows) - self.head_at > MOST_ROWS:
            says = f"{len(self.rows)} rows; up to {MOST_ROWS} are taken at once. Cut the list in parts."
            return ImportPlan((Problem(0, "", says),))
        for number, raw in enumerate(self.rows[self.head_at + 1 :], self.head_at + 2):
            if number in self.without or not any(map(str.strip, raw)):
                continue
            count += 1
            values = self._values(number, raw, seen)
            if values is not None:
                by_fob.setdefault(plain_label(values["fob"]), []).append((number, values))
        entries: list[FobAct] = []
        for plain, rows in by_fob.items():
            entries += self._fob(plain, rows)
        self._across()
        if not count and not self.without:
            self._say(0, "", "There is a head and no row under it.")
        told = tuple(sorted(set(self.told)))
        if self.problems:
            problems = tuple(sorted(set(self.problems)))
            return ImportPlan(
                problems,
                rows=count,
                fobs=len(by_fob),
                ignored=ignored,
                told=told,
                aside=self._aside(problems),
            )
        return ImportPlan(
            (),
            tuple(entries),
            self.new_people,
            count,
            len(by_fob),
            ignored,
            told,
            self._notes(),
            self._rooms(entries),
        )

    def _values(
        self, number: int, raw: Sequence[str], seen: dict[tuple[str, ...], int]
    ) -> dict[str, str] | None:
        """The values of a row in order, by column; None for a row that there is nothing to go on with."""
        at_label = self.columns["fob"]
        self.labels[number] = plain_label(plain_cell(raw[at_label])) if at_label < len(raw) else ""
        broken = list(self.row_reader.cells_faults(raw))
        for fault in broken:
            self._say(number, *fault)
        if broken:
            return None
        values = {
            name: plain_cell(raw[column]) if column < len(raw) else ""
            for name, column in self.columns.items()
        }
        if not any(values.values()):
            return None
        key = tuple(values.values())
        if key in seen:
            says = f"{values['fob']} stands here as in row {seen[key]}: a duplicate; remove one of them."
            self._say(number, "fob", says, RowClass.COPY)
            return None
        seen[key] = number
        for fault in self.row_reader.cells_told(raw):
            self._say(number, *fault)
        self._names(values)
        for fault in self.row_reader.faults(values):
            self._say(number, *fault)
        plain = plain_label(values["fob"])
        if not plain:
            return None
        first, spelling = self.spelled.setdefault(plain, (number, values["fob"]))
        if spelling != values["fob"]:
            says = f"'{values['fob']}' here is '{spelling}' in row {first}."
            self._say(number, "fob", says, RowClass.TWIN, also=(first,))
        if values.get("receiver"):
            self.has_slots = self.has_slots or bool(values.get("slot"))
            if not values.get("slot") and not values.get("deleted") and "slot" in self.columns:
                self.slotless.append((number, values["receiver"]))
        return values

    def _across(self) -> None:
        """What only shows when all rows are known."""
        if self.has_slots:
            bad = {problem.row for problem in self.problems if problem.kind is RowClass.SLOT}
            for row, receiver in self.slotless:
                if row not in bad:
                    self._say(row, "slot", f"no slot of {receiver} is written down.", RowClass.NO_SLOT)
        looks: dict[str, tuple[int, str]] = {
            plain.translate(_LOOKS): (0, label) for plain, label in self.known.items()
        }
        for plain, (row, label) in self.spelled.items():
            first, other = looks.setdefault(plain.translate(_LOOKS), (row, label))
            if plain_label(other) != plain:
                where = f"in row {first}" if first else "in the register"
                says = f"'{label}' here and '{other}' {where} look alike."
                self._say(row, "fob", says, RowClass.LOOK_ALIKE)

    def _aside(self, problems: Sequence[Problem]) -> dict[int, str]:
        """Row → why it cannot be taken. A fob is taken whole or not at all; only a copy goes by itself."""
        why: dict[int, list[str]] = {}
        fobs: dict[str, int] = {}
        for problem in problems:
            if not problem.row:
                continue
            says = f"{problem.column}: {problem.says}" if problem.column else problem.says
            why.setdefault(problem.row, []).append(f"{problem.kind}: {says}")
            for row in (problem.row, *problem.also):
                if problem.kind is not RowClass.COPY and self.labels.get(row):
                    fobs.setdefault(self.labels[row], problem.row)
        for row, label in self.labels.items():
            if label in fobs and row not in why:
                why[row] = [f"waits with row {fobs[label]}"]
        return {row: "; ".join(reasons) for row, reasons in sorted(why.items())}

    def _rooms(self, entries: Sequence[FobAct]) -> tuple[str, ...]:
        """Receivers without room, as the register would judge it once the list is in."""
        from farpress.keys.due import room_matters
        from farpress.record.register import drawn_after

        matters = sorted(room_matters(drawn_after(entries, self.register), self.case))
        return tuple(matter.says for matter in matters)

    def _notes(self) -> tuple[str, ...]:
        several = sorted(
            (name, organisation, labels)
            for (name, organisation), labels in self.holds.items()
            if len(labels) > 1
        )
        if not several:
            return ()
        shown = [
            f"{name}{f' of {organisation}' if organisation else ''} ({', '.join(labels)})"
            for name, organisation, labels in several[:MOST_NAMED]
        ]
        more = f" and {len(several) - MOST_NAMED} more" if len(several) > MOST_NAMED else ""
        return (
            (
                f"Of one name with several fobs, and taken for one person each: {'; '.join(shown)}{more}."
                " Give two of one name an organisation each, or an initial, where they are two people."
            ),
        )

    def _say(
        self, row: int, column: str, says: str, kind: RowClass = RowClass.OTHER, *, also: tuple[int, ...] = ()
    ) -> None:
        (self.problems if kind.stops else self.told).append(Problem(row, column, says, kind, also))

    @staticmethod
    def _names(values: dict[str, str]) -> None:
        if not values.get("person"):
            values["person"] = " ".join(
                part for part in (values.get("first name", ""), values.get("last name", "")) if part
            )

    def _fob(self, plain: str, rows: list[tuple[int, dict[str, str]]]) -> Iterator[FobAct]:
        first, values = rows[0]
        if plain in self.known:
            self._say(first, "fob", f"{self.known[plain]} is in the register already.", RowClass.KNOWN)
        learned: dict[tuple[str, ...], int] = {}
        for row, other in rows:
            for name in _ONE_OF_A_FOB:
                if other.get(name) and values.get(name) and other[name] != values[name]:
                    self._say(
                        row,
                        name,
                        f"{other['fob']} has {name} '{other[name]}' here and '{values[name]}' in row {first};"
                        " one of them is wrong.",
                        RowClass.HOLDERS if name in ("person", "pool") else RowClass.OTHER,
                    )
                values[name] = values.get(name) or other.get(name, "")
            key = tuple(other.get(name, "") for name in ("receiver", "output", "button", "slot", "deleted"))
            if key in learned:
                self._say(
                    row,
                    "fob",
                    f"{other['fob']} stands here as in row {learned[key]}: a duplicate; remove one of them.",
                    RowClass.COPY,
                )
            learned.setdefault(key, row)
        serial = values.get("serial", "").casefold()
        if serial:
            if serial in self.serials and plain_label(self.serials[serial]) != plain:
                self._say(
                    first, "serial", f"Serial {values['serial']} belongs to {self.serials[serial]} already."
                )
            self.serials.setdefault(serial, values["fob"])
        label, group = values["fob"], values.get("group", "")
        yield FobReceived(
            fob=label,
            serial=values.get("serial", ""),
            type=values.get("type", ""),
            cell_date=values.get("cell date", ""),
            **({"remark": values["remark"]} if values.get("remark") else {}),
        )
        buttons = buttons_of_text(values["buttons"]) if values.get("buttons") else self._buttons(group)
        self._buttons(group)
        if values.get("person") or values.get("pool") or was_issued(values):
            yield FobIssued(
                fob=label,
                group=group,
                pool=values.get("pool", ""),
                organisation=values.get("organisation", ""),
                valid_from=values.get("valid from", ""),
                valid_to=values.get("valid to", ""),
                person=self._person(first, values) if values.get("person") else "",
                buttons=buttons or None,
                on=values.get("issued", ""),
            )
            if values.get("signed"):
                yield ReceiptSigned(fob=label, on=values["signed"])
        elif buttons:
            yield RightsChanged(fob=label, group=group, buttons=buttons)
        yield from self._memory(rows, label, group)
        yield from standing(label, values)

    def _memory(
        self, rows: list[tuple[int, dict[str, str]]], label: str, group: str
    ) -> Iterator[FobLearned | FobDeleted]:
        """What receivers learned and what was deleted there again, the deleted first, day by day."""
        gone: dict[tuple[str, str, str], list[tuple[int, dict[str, str]]]] = {}
        for row, values in rows:
            if values.get("deleted") and values.get("receiver"):
                key = (values["deleted"], values["receiver"], values.get("evidence", ""))
                gone.setdefault(key, []).append((row, values))
        for (day, receiver, evidence), deleted in sorted(gone.items()):
            for row, values in deleted:
                yield from self._learned(row, values, label, group)
            yield FobDeleted(fob=label, receiver=receiver, evidence=evidence or "as a list says", on=day)
        for row, values in rows:
            if not values.get("deleted"):
                yield from self._learned(row, values, label, group)

    def _buttons(self, group: str) -> dict[str, tuple[str, ...]]:
        """Buttons of a group, and on the way the places where they are learned; looked up once."""
        if group not in self.buttons:
            self.buttons[group] = (
                buttons_of(self.case.job.groups[group]) if self.case is not None and group else {}
            )
            self.places[group] = places_of(self.case, self.buttons[group]) if self.case is not None else ()
        return self.buttons[group]

    def _learned(self, row: int, values: dict[str, str], label: str, group: str) -> Iterator[FobLearned]:
        receiver, slot = values.get("receiver", ""), values.get("slot", "")
        if not receiver:
            return
        if slot and not values.get("deleted"):
            holder = self.slots.setdefault((receiver, slot), label)
            other = self.slot_rows.setdefault((receiver, slot), row)
            if plain_label(holder) != plain_label(label):
                says = f"Slot {slot} of {receiver} is taken by {holder}."
                self._say(row, "slot", says, RowClass.TAKEN, also=(other,))
        if values.get("output") or values.get("button"):
            if not (values.get("output") and values.get("button")):
                self._say(
                    row, "output", "Give both output and button, or neither: then the group says which."
                )
            pairs = [(values.get("output", ""), values.get("button", ""))]
        else:
            pairs = [
                (place.output, place.button) for place in self.places[group] if place.receiver == receiver
            ]
            if not pairs and not values.get("no group"):
                self._say(
                    row,
                    "receiver",
                    f"Which button is learned at {receiver}? Give output and button, or a group that has a"
                    " button for it.",
                )
        for output, button in pairs:
            yield FobLearned(
                fob=label,
                receiver=receiver,
                output=output,
                button=button,
                slot=slot,
                on=values.get("learned", ""),
            )

    def _person(self, row: int, values: dict[str, str]) -> str:
        name, organisation = values["person"], values.get("organisation", "")
        self.holds.setdefault((name, organisation), []).append(values["fob"])
        key = (name.casefold(), organisation.casefold())
        mark = self.persons.get(key)
        if mark is None:
            same = self.by_name.get(key[0], [])
            if same and not organisation:
                if len(same) > 1:
                    self._say(
                        row, "person", f"There are {len(same)} people called {name}; give the organisation."
                    )
                mark = self.persons[same[0]]
        if mark is None:
            mark = f"row {row}"
            self.new_people[mark] = (name, organisation, values.get("contact", ""))
        if key not in self.persons:
            self.persons[key] = mark
            self.by_name.setdefault(key[0], []).append(key)
        return mark
