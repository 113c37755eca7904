"""The register of fobs as a book: look things up, and record what happens to a fob.

Every change is looked at and written in one transaction of the record: two people who
give out the same fob at once cannot both succeed. Nothing here is ever overwritten.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from farpress.dates import day_wanted
from farpress.domain.acts import (
    FobAct,
    FobBlocked,
    FobDestroyed,
    FobFound,
    FobHandedIn,
    FobIssued,
    FobLost,
    FobReceived,
    FobReleased,
    ReceiptSigned,
    ReceiverReplaced,
    RightsChanged,
)
from farpress.domain.event import Event, happened
from farpress.domain.register import FobState
from farpress.errors import InputError
from farpress.keys.asking import opened
from farpress.keys.find import find_fob, find_person, plain_label
from farpress.keys.people import Done
from farpress.keys.receiver_book import ReceiverBook, stripped
from farpress.record.persons import PersonEntry, put_person

if TYPE_CHECKING:
    from farpress.case.case import Case

__all__ = ["RegisterBook", "open_register"]


def open_register(where: Case | Path | str, *, job: str | None = None, by: str = "installer") -> RegisterBook:
    """Open the register of a job for asking and writing; see `opened`."""
    return opened(RegisterBook, where, job=job, by=by)


class RegisterBook(ReceiverBook):
    """A job's register: views are values, every change is one transaction of the record."""

    def events_of(self, fob: str) -> tuple[Event, ...]:
        """Everything recorded about one fob, and the replacements of receivers it was learned at."""
        self.needs_record()
        found = find_fob(self.register, fob)
        own = list(self.record.events(job=self.job, fob=found.label))
        receivers = {learned.receiver for learned in found.learned}
        own += [
            event
            for event, replaced in happened(
                self.record.events(job=self.job, kinds=[ReceiverReplaced.kind]), ReceiverReplaced
            )
            if replaced.receiver in receivers and event.moment > own[0].moment
        ]
        return tuple(sorted(own, key=lambda event: (event.moment, event.origin, event.number)))

    # -- fobs

    def receive(self, *labels: str, serial: str = "", type: str = "", cell_date: str = "") -> Done:
        """Fobs come into stock, all of them or none; the date of their cells as 2026-11 or 2026-11-30.

        Raises:
            InputError: no such type, a label that is none or is there already, a date that is none; all
                faults at once.
        """
        faults: list[str] = []
        if not labels:
            faults.append("A fob needs a label with a letter or a digit.")
        if serial and len(labels) > 1:
            faults.append("A serial belongs to one fob; take them into stock one by one.")
        if type and self.case is not None:
            from farpress.keys.rights import type_fault, type_named

            faults += [] if type_named(self.case, type) else [type_fault(self.case, type)]
            type = type_named(self.case, type)
        try:
            _day(f"{cell_date}-01" if re.fullmatch(r"\d{4}-\d{2}", cell_date) else cell_date)
        except InputError as error:
            faults.append(str(error))
        given = [label.strip() for label in labels]
        if not self.record.is_there:
            _no_faults([*faults, *_label_faults(given, ())])
        with self._work(begins=True) as (work, register):
            _no_faults([*faults, *_label_faults(given, register.fobs)])
            for label in given:
                work.append(FobReceived(fob=label, **stripped(serial=serial, type=type, cell_date=cell_date)))
        return Done(tuple(f"{label} is in stock." for label in given), tuple(work.events))

    def issue(
        self,
        fob: str,
        *,
        person: str = "",
        group: str = "",
        pool: str = "",
        organisation: str = "",
        valid_from: str = "",
        valid_to: str = "",
        buttons: Mapping[str, Iterable[str]] | None = None,
        new_person: bool = False,
    ) -> Done:
        """Give a fob to a person or a pool; its buttons are those of the group unless they are given.

        Raises:
            InputError: no such fob, person or group, or the fob is not free.
        """
        if bool(person) == bool(pool):
            raise InputError("Say who gets it: a person, or a pool.")
        for day in (valid_from, valid_to):
            _day(day)
        if valid_from and valid_to and valid_to < valid_from:
            raise InputError(f"It would be valid until {valid_to}, before it begins on {valid_from}.")
        planned = self._buttons(group, buttons)
        with self._work() as (work, register):
            known = find_fob(register, fob)
            if known.state not in (FobState.SPARE, FobState.HANDED_IN):
                raise InputError(
                    f"{known.label} is {known.state}{self._with(known)}; only a spare or a fob that was"
                    " handed in can be given out."
                )
            people = self._people_in(work)
            holder = None
            if person:
                holder = (
                    put_person(work, person, organisation=organisation)
                    if new_person and not _named(people, person)
                    else find_person(people, person)
                )
                if holder.mark in register.left:
                    raise InputError(f"{holder.name} left on {register.left[holder.mark]}.")
            particulars = stripped(
                person=holder.mark if holder else "",
                pool=pool,
                group=group,
                valid_from=valid_from,
                valid_to=valid_to,
                organisation=organisation
                or (holder.organisation if holder else "")
                or self._organisation(group),
            )
            work.append(FobIssued(fob=known.label, buttons=planned, **particulars))
        says = [
            f"{known.label} is issued to {holder.name if holder else f'pool {pool}'}.",
            "Have it signed for.",
        ]
        if valid_to and valid_to < date.today().isoformat():
            says.append(
                f"It was valid until {valid_to}, which has passed: 'keys due' asks for it back from now on."
            )
        return Done((*says, *self._to_learn(known, planned)), tuple(work.events))

    def change_rights(
        self, *fobs: str, buttons: Mapping[str, Iterable[str]] | None = None, group: str = ""
    ) -> Done:
        """Give fobs other buttons; says what is to be learned anew and what to be deleted.

        Raises:
            InputError: a fob that is not there, or no such buttons; nothing is recorded.
        """
        planned = self._buttons(group, buttons)
        says: list[str] = []
        with self._work() as (work, register):
            for known in {fob.label: fob for fob in (find_fob(register, text) for text in fobs)}.values():
                work.append(RightsChanged(fob=known.label, buttons=planned, **stripped(group=group)))
                says += [f"{known.label} has new buttons.", *self._to_learn(known, planned)]
        return Done(tuple(says), tuple(work.events))

    def sign(self, fob: str, *, evidence: str = "") -> Done:
        """The holder signed for a fob."""
        return self._simple(
            fob, ReceiptSigned, "is signed for", allowed=(FobState.ISSUED,), evidence=evidence
        )

    def hand_in(self, fob: str, *, condition: str = "") -> Done:
        """A fob comes back."""
        allowed = (FobState.ISSUED, FobState.BLOCKED, FobState.LOST)
        done = self._simple(fob, FobHandedIn, "is back", allowed=allowed, condition=condition)
        return self._and_known(
            done, "It is still learned there: delete it, or keep it locked away as a spare"
        )

    def lost(self, fob: str, *, between: str = "", reported_by: str = "") -> Done:
        """A fob is reported lost; says where it must be deleted."""
        allowed = (FobState.ISSUED, FobState.SPARE, FobState.HANDED_IN, FobState.BLOCKED)
        done = self._simple(
            fob, FobLost, "is reported lost", allowed=allowed, between=between, reported_by=reported_by
        )
        return self._and_known(done, "A lost fob is a lost key. It works until it is deleted")

    def found(self, fob: str) -> Done:
        """A lost fob turned up."""
        done = self._simple(fob, FobFound, "is found", allowed=(FobState.LOST,))
        known = self.register.fobs[done.fob]
        gone = [f"{learned.receiver}" for learned in known.learned if not learned.is_known]
        return Done(
            (
                *done.says,
                *(
                    [f"It was deleted at {', '.join(dict.fromkeys(gone))}: learn it again there."]
                    if gone
                    else []
                ),
            ),
            done.events,
        )

    def block(self, fob: str, *, why: str = "") -> Done:
        """A fob shall not work for the time being; receivers obey until it is deleted there."""
        done = self._simple(
            fob,
            FobBlocked,
            "is blocked in the register",
            allowed=(FobState.ISSUED, FobState.SPARE, FobState.HANDED_IN),
            why=why,
        )
        return self._and_known(done, "A receiver does not know that: it obeys until the fob is deleted")

    def release(self, fob: str) -> Done:
        """A blocked fob may work again."""
        return self._simple(fob, FobReleased, "may work again", allowed=(FobState.BLOCKED,))

    def destroy(self, fob: str) -> Done:
        """A fob is destroyed."""
        done = self._simple(
            fob, FobDestroyed, "is destroyed", allowed=(FobState.SPARE, FobState.HANDED_IN, FobState.BLOCKED)
        )
        return self._and_known(done, "Its record stays there until it is deleted")

    # -- helpers

    def _simple(
        self, fob: str, kind: type[FobAct], says: str, *, allowed: Iterable[FobState], **particulars: str
    ) -> Done:
        with self._work() as (work, register):
            known = find_fob(register, fob)
            if known.state not in allowed:
                raise InputError(
                    f"{known.label} is {known.state}{self._with(known)}; this needs a fob that is"
                    f" {' or '.join(allowed)}."
                )
            work.append(kind(fob=known.label, **stripped(**particulars)))
        return Done((f"{known.label}{self._with(known)} {says}.",), tuple(work.events))

    def _and_known(self, done: Done, says: str) -> Done:
        known = self.register.fobs[done.fob]
        places = list(
            dict.fromkeys(
                f"{entry.receiver}{f' (slot {entry.slot})' if entry.slot else ''}" for entry in known.known_at
            )
        )
        return Done((*done.says, *([f"{says}: {', '.join(places)}."] if places else [])), done.events)


def _label_faults(labels: Iterable[str], known: Iterable[str]) -> list[str]:
    """Labels that are none, twice given, or in the register already."""
    there = {plain_label(label): label for label in known}
    faults, seen = [], set()
    for label in labels:
        plain = plain_label(label)
        if not plain:
            faults.append(f"A fob needs a label with a letter or a digit; '{label}' has none.")
        elif plain in there:
            faults.append(f"{there[plain]} is in the register already.")
        elif plain in seen:
            faults.append(f"{label} is given twice.")
        seen.add(plain)
    return faults


def _no_faults(faults: list[str]) -> None:
    if faults:
        raise InputError(
            "\n".join(
                faults if len(faults) == 1 else [f"{len(faults)} problems; nothing was written.", *faults]
            )
        )


def _named(people: Mapping[str, PersonEntry], name: str) -> bool:
    return any(person.name.casefold() == " ".join(name.split()).casefold() for person in people.values())


def _day(text: str) -> None:
    if text:
        day_wanted(text)
