"""The people of a register: their names come and go, the log stays.

Also what every change of the register gives back, and the transaction it is made in.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime
from typing import TYPE_CHECKING, Final

from farpress.domain.acts import PersonDeleted, PersonLeft
from farpress.domain.event import Event, happened
from farpress.domain.register import FobRegister, FobState
from farpress.errors import InputError
from farpress.keys.asking import AskedBook
from farpress.keys.find import find_person
from farpress.keys.leavers import leavers_named, what_leavers_hold
from farpress.phrases import plural
from farpress.record.persons import PersonEntry, delete_person, delete_persons_due, put_person
from farpress.record.snapshot import WORTH_KEEPING, DrawnRegister, drawn_in, keep_after

if TYPE_CHECKING:
    from farpress.record.chain import Writing

__all__ = ["Done", "PeopleBook", "Work"]

KEPT_AT_ONCE: Final = 500
"""Fobs up to which the register is kept with every change, in a millisecond or two; our choice: the next
question then reads no event and loads no class of one."""


@dataclass(frozen=True)
class Done:
    """A change that is on disk.

    Attributes:
        says: what was recorded, and what is to be done next, as sentences.
        events: as written.
    """

    says: tuple[str, ...]
    events: tuple[Event, ...]

    @property
    def fob(self) -> str:
        """Label of the first fob that an event is about; empty for none."""
        return next((fob for event in self.events if (fob := getattr(event.act, "fob", ""))), "")


class PeopleBook(AskedBook):
    """The names of one job and what changes them; the base of the whole book."""

    def add_person(self, name: str, *, organisation: str = "", contact: str = "") -> PersonEntry:
        """Enter a person; two of the same name and organisation are taken for one and refused."""
        with self._work(begins=True) as (work, _):
            for known in self._people_in(work).values():
                if (
                    known.name.casefold() == " ".join(name.split()).casefold()
                    and known.organisation.casefold() == organisation.strip().casefold()
                ):
                    raise InputError(
                        f"{known.name} is in the register already (mark {known.mark}); add the organisation"
                        " to tell two of one name apart."
                    )
            return put_person(work, name, organisation=organisation, contact=contact)

    def people_left(self, names: Sequence[str], *, on: date | None = None) -> Done:
        """Nobody of them belongs to the customer any more: what to call in, where else to delete it, and the
        date their names are deleted.

        Args:
            names: names, parts of names or marks; all are found, or nothing is recorded.
            on: the day they left; today by default.

        Raises:
            InputError: some of them cannot be found, or are named twice; all of them are told.
        """
        from sqlalchemy import update

        from farpress.keys.due import keep_days
        from farpress.record.tables import PERSON

        day = on or datetime.now(UTC).date()
        until = date.fromordinal(day.toordinal() + keep_days(self.case))
        with self._work() as (work, register):
            leaving = leavers_named(self._people_in(work), names)
            for person in leaving:
                work.append(PersonLeft(person=person.mark, on=day.isoformat()))
                work.connection.execute(
                    update(PERSON).where(PERSON.c.mark == person.mark).values(keep_until=until.isoformat())
                )
        marks = {person.mark: person for person in leaving}
        held = [
            fob
            for fob in register.fobs.values()
            if fob.person in marks and fob.state is not FobState.HANDED_IN
        ]
        whose = leaving[0].name if len(leaving) == 1 else plural(len(leaving), "person", "people")
        kept = "The name is" if len(leaving) == 1 else "Their names are"
        says = [f"{whose} left on {day}. {kept} kept until {until}."]
        if held:
            says += what_leavers_hold(self.case, held, marks)
        return Done(tuple(says), tuple(work.events))

    def delete_person(self, who: str, *, why: str = "") -> Done:
        """Delete a name; the event is the proof."""
        self.needs_record()
        person = find_person(self.people, who)
        held = [
            fob.label
            for fob in self.register.fobs.values()
            if fob.person == person.mark and fob.state is FobState.ISSUED
        ]
        if held:
            raise InputError(
                f"{person.name} still holds {', '.join(held)}; have {'it' if len(held) == 1 else 'them'}"
                " handed in or reported lost first."
            )
        event = delete_person(self.record, person.mark, job=self.job, by=self.by, why=why)
        return Done(
            (
                (
                    f"The name behind {person.mark} is deleted; event {event.number} of {event.origin} proves"
                    f" it ({event.digest[:16]})."
                ),
            ),
            (event,),
        )

    def delete_people_due(self, today: date) -> Done:
        """Delete every name whose time has ended and who has no fob any more; one proof each. Says whose name
        stays, and why.
        """
        self.needs_record()
        held: dict[str, list[str]] = {}
        for fob in self.register.fobs.values():
            if fob.person and fob.state is FobState.ISSUED:
                held.setdefault(fob.person, []).append(fob.label)
        stays = [
            person
            for person in self.people.values()
            if person.keep_until and person.keep_until < today.isoformat() and person.mark in held
        ]
        events = delete_persons_due(self.record, job=self.job, by=self.by, today=today, keeps=held)
        says = [
            f"The name behind {gone.person} is deleted; event {event.number} proves it ({event.digest[:16]})."
            for event, gone in happened(events, PersonDeleted)
        ]
        says += [
            f"{person.name} still holds {', '.join(held[person.mark])} and stays: have it handed in, or"
            " report it lost; then the name can go."
            for person in stays
        ]
        return Done(tuple(says), events)

    def _work(self, *, begins: bool = False) -> Work:
        """A change; only what can be the first entry of a record `begins` one, so that a slip leaves no empty
        file.
        """
        if not begins:
            self.needs_record()
        return Work(self)

    def _people_in(self, work: Writing) -> dict[str, PersonEntry]:
        from sqlalchemy import select

        from farpress.record.tables import PERSON

        rows = work.connection.execute(select(PERSON).where(PERSON.c.job == self.job)).mappings()
        return {row["mark"]: PersonEntry(**row) for row in rows}


class Work:
    """A transaction, and the register as it stands in it."""

    def __init__(self, book: PeopleBook) -> None:
        self._within = book.record.transaction(job=book.job, by=book.by)
        self._job = book.job
        self._open: tuple[Writing, DrawnRegister] | None = None

    def __enter__(self) -> tuple[Writing, FobRegister]:
        work = self._within.__enter__()
        before = drawn_in(work.connection, self._job)
        self._open = (work, before)
        return work, before.register

    def __exit__(self, *error: object) -> None:
        if self._open is not None and error[0] is None:
            work, before = self._open
            if len(before.register.fobs) + len(work.events) <= KEPT_AT_ONCE or before.newer >= WORTH_KEEPING:
                keep_after(work, before)
        self._within.__exit__(*error)  # type: ignore[arg-type]
