"""The register of fobs as a book: look things up, and record what happens to a fob.

Every change is looked at and written in one transaction of the record: two people who
give out the same fob at once cannot both succeed. Nothing here is ever overwritten.
"""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterable, Mapping
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from farpress.dates import day_wanted
from farpress.domain.acts import (
    FobAct,
    FobBlocked,
    FobDeleted,
    FobDestroyed,
    FobFound,
    FobHandedIn,
    FobIssued,
    FobLearned,
    FobLost,
    FobReceived,
    FobReleased,
    LossClosed,
    ReceiptSigned,
    ReceiverReplaced,
    RightsChanged,
)
from farpress.domain.event import Event, happened
from farpress.domain.register import Fob, FobState
from farpress.errors import InputError
from farpress.keys.asking import opened
from farpress.keys.find import find_fob, find_person, holder_of, plain_label
from farpress.keys.people import Done, PeopleBook
from farpress.record.persons import Person, put_person

if TYPE_CHECKING:
    from farpress.case.case import Case
    from farpress.keys.rights import Place

__all__ = ["RegisterBook", "open_register"]


def open_register(where: Case | Path | str, *, job: str | None = None, by: str = "installer") -> RegisterBook:
    """Open the register of a job for asking and writing; see `opened`."""
    return opened(RegisterBook, where, job=job, by=by)


class RegisterBook(PeopleBook):
    """A job's register: views are values, every change is one transaction of the record."""

    def events_of(self, fob: str) -> tuple[Event, ...]:
        """Everything recorded about one fob, and the replacements of receivers it was learned at."""
        self.needs_record()
        found = find_fob(self.register, fob)
        own = list(self.record.events(job=self.job, fob=found.label))
        receivers = {one.receiver for one in found.learned}
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
                work.append(
                    FobReceived(fob=label, **_stripped(serial=serial, type=type, cell_date=cell_date))
                )
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
            particulars = _stripped(
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
        self, fob: str, *, buttons: Mapping[str, Iterable[str]] | None = None, group: str = ""
    ) -> Done:
        """Give a fob other buttons; says what is to be learned anew and what to be deleted."""
        planned = self._buttons(group, buttons)
        with self._work() as (work, register):
            known = find_fob(register, fob)
            work.append(RightsChanged(fob=known.label, buttons=planned, **_stripped(group=group)))
        return Done((f"{known.label} has new buttons.", *self._to_learn(known, planned)), tuple(work.events))

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
        gone = [f"{one.receiver}" for one in known.learned if not one.is_known]
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

    def learn(
        self, fob: str, receiver: str, *, slot: str = "", outputs: Iterable[tuple[str, str]] | None = None
    ) -> Done:
        """Record that a fob was learned at a receiver.

        Args:
            fob: label.
            receiver: "premises/receiver".
            slot: where it went, so that it can be deleted without the fob.
            outputs: (output, button) pairs; by default what its buttons say.
        """
        self._is_receiver(receiver)
        with self._work() as (work, register):
            known = find_fob(register, fob)
            if known.state in (FobState.LOST, FobState.BLOCKED, FobState.DESTROYED):
                raise InputError(
                    f"{known.label} is {known.state}{self._with(known)}: such a fob must not be learned."
                    " Record first that it was found, or released."
                )
            pairs = (
                list(outputs)
                if outputs is not None
                else [
                    (one.output, one.button)
                    for one in self._places(known.buttons)
                    if one.receiver == receiver
                ]
            )
            if not pairs:
                raise InputError(
                    f"{known.label} has no button for {receiver}. Say output and button, or change its rights"
                    " first."
                )
            taken = [
                (other.label, one.slot)
                for other, one in register.known_at(receiver)
                if slot and one.slot == slot and other.label != known.label
            ]
            if taken:
                raise InputError(
                    f"Slot {slot} of {receiver} is taken by {taken[0][0]}; if that was overwritten, record"
                    " its deletion first."
                )
            for output, button in pairs:
                work.append(
                    FobLearned(
                        fob=known.label,
                        receiver=receiver,
                        output=output,
                        button=button,
                        **_stripped(slot=slot),
                    )
                )
        missing = "" if slot else " Its slot is not written down: deleting it later may need the fob itself."
        learned = ", ".join(f"button {button} on output {output}" for output, button in pairs)
        return Done((f"{known.label} is learned at {receiver}: {learned}.{missing}",), tuple(work.events))

    def delete(self, fob: str, receiver: str, *, evidence: str) -> Done:
        """Record that a fob was deleted at a receiver, with how that was proven; closes a loss at the last
        one.
        """
        if not evidence.strip():
            raise InputError(
                "A deletion counts only with evidence: how was it seen that the receiver does not obey any"
                " more?"
            )
        with self._work() as (work, register):
            known = find_fob(register, fob)
            at = list(dict.fromkeys(one.receiver for one in known.known_at))
            if receiver not in at:
                where = f"it is learned at {', '.join(at)}" if at else "it is learned nowhere any more"
                raise InputError(f"{known.label} is not learned at {receiver}; {where}.")
            work.append(FobDeleted(fob=known.label, receiver=receiver, evidence=evidence))
            rest = [one for one in at if one != receiver]
            says = [f"{known.label} is deleted at {receiver}."]
            if rest:
                says.append(f"Still to be deleted at {', '.join(rest)}.")
            elif known.state is FobState.LOST:
                proofs = {one.receiver: one.evidence for one in known.learned if not one.is_known} | {
                    receiver: evidence
                }
                told = "; ".join(f"{name}: {how}" for name, how in proofs.items())
                work.append(LossClosed(fob=known.label, evidence=told))
                says.append("It is deleted everywhere: the loss is closed.")
        return Done(tuple(says), tuple(work.events))

    def replace_receiver(self, receiver: str, *, why: str = "", copied: bool = False) -> Done:
        """A receiver was replaced; unless its records were carried over, everything must be learned again."""
        self._is_receiver(receiver)
        with self._work(begins=True) as (work, register):
            known = list(dict.fromkeys(fob.label for fob, _ in register.known_at(receiver)))
            work.append(ReceiverReplaced(receiver=receiver, copied=copied, **_stripped(why=why)))
        rest = (
            f"{len(known)} fobs were carried over: try some of them."
            if copied
            else f"{len(known)} fobs are to be learned again: see 'keys waves'."
        )
        return Done((f"{receiver} is replaced.", rest), tuple(work.events))

    def copy_rights(
        self, source: str, target: str, *, fobs: Iterable[str] = (), dry_run: bool = False
    ) -> Done:
        """Whoever has a function at one premises gets the function of the same kind at another, on the same
        button.

        Raises:
            InputError: no such premises, no job file, or no function of the same kind.
        """
        from farpress.keys.copy import copied_buttons, counterparts

        pairs = counterparts(self._case(), source, target)
        with self._work() as (work, register):
            chosen = [find_fob(register, one) for one in fobs] or [
                fob for _, fob in sorted(register.fobs.items()) if fob.state is FobState.ISSUED
            ]
            says: list[str] = []
            people = self.people
            for fob in chosen:
                buttons, without = copied_buttons(fob.buttons, pairs)
                if buttons != dict(fob.buttons):
                    old = self._places(fob.buttons)
                    new = [one for one in self._places(buttons) if one not in old]
                    holder = holder_of(fob, people)
                    says.append(
                        f"{fob.label}{f' ({holder})' if holder else ''}:"
                        f" {', '.join(f'{one.function} on button {one.button}' for one in new)}. Learn at"
                        f" {', '.join(dict.fromkeys(one.receiver for one in new))}."
                    )
                    if not dry_run:
                        work.append(RightsChanged(fob=fob.label, buttons=buttons))
                says += [f"{fob.label}: {target} has nothing of the kind of {name}." for name in without]
        if not says:
            says = [f"Nobody holds a fob with a function at {source}."]
        return Done(tuple(says), tuple(work.events))

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
            work.append(kind(fob=known.label, **_stripped(**particulars)))
        return Done((f"{known.label}{self._with(known)} {says}.",), tuple(work.events))

    def _and_known(self, done: Done, says: str) -> Done:
        known = self.register.fobs[done.fob]
        at = list(
            dict.fromkeys(
                f"{one.receiver}{f' (slot {one.slot})' if one.slot else ''}" for one in known.known_at
            )
        )
        return Done((*done.says, *([f"{says}: {', '.join(at)}."] if at else [])), done.events)

    def _with(self, fob: Fob) -> str:
        holder = holder_of(fob, self.people)
        return f" ({holder})" if holder else ""

    def _buttons(self, group: str, buttons: Mapping[str, Iterable[str]] | None) -> dict[str, tuple[str, ...]]:
        if buttons is not None:
            return {str(key): tuple(value) for key, value in buttons.items()}
        if not group:
            return {}
        case = self._case()
        if group not in case.job.groups:
            close = difflib.get_close_matches(group, case.job.groups, n=1)
            raise InputError(
                f"There is no group '{group}' in the job.{f' Closest: {close[0]}.' if close else ''} It has"
                f" {', '.join(case.job.groups)}."
            )
        from farpress.keys.rights import buttons_of

        return buttons_of(case.job.groups[group])

    def _organisation(self, group: str) -> str:
        return (
            (self.case.job.groups[group].organisation or "")
            if self.case is not None and group in self.case.job.groups
            else ""
        )

    def _places(self, buttons: Mapping[str, Iterable[str]]) -> tuple[Place, ...]:
        if not buttons or self.case is None:
            return ()
        from farpress.keys.rights import places_of

        return places_of(self.case, buttons)

    def _to_learn(self, fob: Fob, buttons: Mapping[str, Iterable[str]]) -> list[str]:
        wanted = {(one.receiver, one.output, one.button) for one in self._places(buttons)}
        known = {(one.receiver, one.output, one.button) for one in fob.known_at}
        new, old = sorted({one[0] for one in wanted - known}), sorted({one[0] for one in known - wanted})
        return ([f"Learn it at {', '.join(new)}."] if new else []) + (
            [f"It obeys there beyond its rights: delete at {', '.join(old)}."] if old and wanted else []
        )

    def _is_receiver(self, receiver: str) -> None:
        if self.case is not None and (
            receiver.count("/") != 1 or self.case.job.receiver_of(receiver) is None
        ):
            known = [
                f"{premises}/{name}"
                for premises, house in self.case.job.premises.items()
                for name in house.receivers
            ]
            close = difflib.get_close_matches(receiver, known, n=1)
            raise InputError(
                f"There is no receiver '{receiver}' in the job{f'; closest: {close[0]}' if close else ''}. It"
                f" has {', '.join(known)}."
            )

    def _case(self) -> Case:
        if self.case is None:
            raise InputError("This needs the job file; open the register by the job's folder.")
        return self.case


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


def _stripped(**values: str) -> dict[str, str]:
    return {name: value.strip() for name, value in values.items() if value and value.strip()}


def _named(people: Mapping[str, Person], name: str) -> bool:
    return any(person.name.casefold() == " ".join(name.split()).casefold() for person in people.values())


def _day(text: str) -> None:
    if text:
        day_wanted(text)
