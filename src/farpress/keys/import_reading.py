"""A list that is taken over, row by row: every problem, or all that is to be written."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
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
from farpress.keys.import_cells import column_heads, date_in
from farpress.keys.import_state import standing, state_faults, was_issued
from farpress.keys.problems import MOST_NAMED, Problem, closest_or_all
from farpress.keys.rights import LearningPlace, buttons_of, places_of, type_fault, type_named
from farpress.phrases import listed

if TYPE_CHECKING:
    from farpress.case.case import Case
    from farpress.domain.register import FobRegister
    from farpress.record.persons import PersonEntry

__all__ = ["ImportPlan", "ImportReader"]

MOST_ROWS: Final = 200_000
"""Rows of a list; more is a slip or no list of fobs; our choice."""

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


@dataclass(frozen=True)
class ImportPlan:
    """What taking a list over would do.

    Attributes:
        problems: empty if it can be taken over.
        entries: events to write; a person stands in them as "row N" until they are written.
        people: "row N" → name, organisation, contact, of people to be entered.
        rows, fobs: how many rows were read, how many fobs they make.
        ignored: heads of columns that mean nothing here.
        notes: what was taken for granted, to be looked at before it is written.
    """

    problems: tuple[Problem, ...]
    entries: tuple[FobAct, ...] = ()
    people: Mapping[str, tuple[str, str, str]] = field(default_factory=dict)
    rows: int = 0
    fobs: int = 0
    ignored: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()


class ImportReader:
    """Looks at every row of a table, once."""

    def __init__(
        self,
        rows: list[list[str]],
        head_at: int,
        register: FobRegister,
        people: Mapping[str, PersonEntry],
        case: Case | None,
    ) -> None:
        self.rows, self.head_at, self.register, self.case = rows, head_at, register, case
        self.columns = column_heads(rows[head_at])
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
        self.types: dict[str, str] = {}
        self.no_types: dict[str, str] = {}
        self.boxes = (
            [
                f"{premises}/{name}"
                for premises, house in case.job.premises.items()
                for name in house.receivers
            ]
            if case is not None
            else []
        )
        self.holds: dict[tuple[str, str], list[str]] = {}
        self.problems: list[Problem] = []
        self.new_people: dict[str, tuple[str, str, str]] = {}

    def plan(self) -> ImportPlan:
        """All problems, or all that is to be written."""
        heads = self.rows[self.head_at]
        ignored = tuple(
            head for column, head in enumerate(heads) if head and column not in self.columns.values()
        )
        by_fob: dict[str, list[tuple[int, dict[str, str]]]] = {}
        count = 0
        if len(self.rows) - self.head_at > MOST_ROWS:
            return ImportPlan(
                (
                    Problem(
                        0,
                        "",
                        f"{len(self.rows)} rows; up to {MOST_ROWS} are taken at once. Cut the list in parts.",
                    ),
                )
            )
        for number, cells in enumerate(self.rows[self.head_at + 1 :], self.head_at + 2):
            values = {
                name: cells[column] if column < len(cells) else "" for name, column in self.columns.items()
            }
            if not any(values.values()):
                continue
            count += 1
            self._names(values)
            if self._row(number, values):
                by_fob.setdefault(plain_label(values["fob"]), []).append((number, values))
        entries: list[FobAct] = []
        for plain, rows in by_fob.items():
            entries += self._fob(plain, rows)
        if not count:
            self.problems.append(Problem(0, "", "There is a head and no row under it."))
        if self.problems:
            return ImportPlan(
                tuple(sorted(set(self.problems))), rows=count, fobs=len(by_fob), ignored=ignored
            )
        return ImportPlan((), tuple(entries), self.new_people, count, len(by_fob), ignored, self._notes())

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

    def _say(self, row: int, column: str, says: str) -> None:
        self.problems.append(Problem(row, column, says))

    @staticmethod
    def _names(values: dict[str, str]) -> None:
        if not values.get("person"):
            values["person"] = " ".join(
                part for part in (values.get("first name", ""), values.get("last name", "")) if part
            )

    def _row(self, row: int, values: dict[str, str]) -> bool:
        """Problems of one row by itself; whether it has a label to go on with."""
        for name, value in values.items():
            if len(value) > LONGEST:
                self._say(
                    row,
                    name,
                    f"{len(value)} characters; up to {LONGEST} are taken. Did two columns run together?",
                )
        for name in _DAYS:
            if values.get(name):
                day = date_in(values[name], month_will_do=name == "cell date")
                if day is None:
                    self._say(
                        row,
                        name,
                        f"'{values[name]}' is not a date that has one meaning; write it as 2027-03-01.",
                    )
                else:
                    values[name] = day
        if values.get("valid from") and values.get("valid to") and values["valid to"] < values["valid from"]:
            self._say(
                row, "valid to", f"{values['valid to']} comes before it begins on {values['valid from']}."
            )
        if values.get("person") and values.get("pool"):
            self._say(
                row,
                "pool",
                f"It belongs to {values['person']} and to pool {values['pool']}; only one of them can be"
                " right.",
            )
        group = values.get("group", "")
        if group and self.case is not None:
            same = next((name for name in self.case.job.groups if name.casefold() == group.casefold()), None)
            if same is None:
                near = closest_or_all(group, self.case.job.groups)
                self._say(row, "group", f"The job has no group '{group}'{near}.")
            values["group"] = same or ""
            values["no group"] = "" if same else "said already"
        kind = values.get("type", "")
        if kind and self.case is not None:
            if kind not in self.types:
                self.types[kind] = type_named(self.case, kind)
                self.no_types[kind] = "" if self.types[kind] else type_fault(self.case, kind)
            if self.no_types[kind]:
                self._say(row, "type", self.no_types[kind])
            values["type"] = self.types[kind]
        receiver = values.get("receiver", "")
        if receiver and self.case is not None and receiver not in self.boxes:
            # a list often says 'n1' where the job has one N1 only, at north
            meant = [
                path
                for path in self.boxes
                if receiver.casefold() in (path.casefold(), path.casefold().rpartition("/")[2])
            ]
            if len(meant) != 1:
                hint = f"; it can be {listed(meant)}" if meant else closest_or_all(receiver, self.boxes)
                self._say(row, "receiver", f"The job has no receiver '{receiver}'{hint}.")
                values["slot"] = ""
            values["receiver"] = receiver = meant[0] if len(meant) == 1 else ""
        if values.get("slot") and not receiver:
            self._say(row, "slot", f"Slot {values['slot']} of which receiver? Fill in the column 'receiver'.")
        for column, says in state_faults(values):
            self._say(row, column, says)
        if not plain_label(values["fob"]):
            given = f"'{values['fob']}' has no letter or digit" if values["fob"] else "it is blank"
            self._say(row, "fob", f"A label is needed; {given}.")
            return False
        return True

    def _fob(self, plain: str, rows: list[tuple[int, dict[str, str]]]) -> Iterator[FobAct]:
        first, values = rows[0]
        if plain in self.known:
            self._say(first, "fob", f"{self.known[plain]} is in the register already.")
        learned: dict[tuple[str, ...], int] = {}
        for row, other in rows:
            for name in (
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
            ):
                if other.get(name) and values.get(name) and other[name] != values[name]:
                    self._say(
                        row,
                        name,
                        f"{other['fob']} has {name} '{other[name]}' here and '{values[name]}' in row {first};"
                        " one of them is wrong.",
                    )
                values[name] = values.get(name) or other.get(name, "")
            key = tuple(other.get(name, "") for name in ("receiver", "output", "button", "slot", "deleted"))
            if key in learned:
                self._say(
                    row,
                    "fob",
                    f"{other['fob']} stands here as in row {learned[key]}: a duplicate; remove one of them.",
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
            if plain_label(holder) != plain_label(label):
                self._say(row, "slot", f"Slot {slot} of {receiver} is taken by {holder}.")
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
