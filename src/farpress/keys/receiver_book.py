"""Changes of the register at a receiver: a fob learned, deleted, a receiver replaced, rights copied."""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING

from farpress.domain.acts import FobDeleted, FobLearned, LossClosed, ReceiverReplaced, RightsChanged
from farpress.domain.register import Fob, FobRegister, FobState
from farpress.errors import InputError
from farpress.keys.find import find_fob, holder_of
from farpress.keys.people import Done, PeopleBook
from farpress.phrases import plural

if TYPE_CHECKING:
    from farpress.case.case import Case
    from farpress.keys.rights import LearningPlace
    from farpress.record.chain import Writing

__all__ = ["ReceiverBook", "stripped"]


class ReceiverBook(PeopleBook):
    """What is done at receivers; every change is one transaction of the record."""

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
                    (place.output, place.button)
                    for place in self._places(known.buttons)
                    if place.receiver == receiver
                ]
            )
            if not pairs:
                raise InputError(
                    f"{known.label} has no button for {receiver}. Say output and button, or change its rights"
                    " first."
                )
            taken = [
                (other.label, taken_by.slot)
                for other, taken_by in register.known_at(receiver)
                if slot and taken_by.slot == slot and other.label != known.label
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
                        **stripped(slot=slot),
                    )
                )
        missing = "" if slot else " Its slot is not written down: deleting it later may need the fob itself."
        learned = ", ".join(f"button {button} on output {output}" for output, button in pairs)
        return Done((f"{known.label} is learned at {receiver}: {learned}.{missing}",), tuple(work.events))

    def delete(self, *fobs: str, receiver: str, evidence: str) -> Done:
        """Record that fobs were deleted at a receiver, with how it was proven; closes a loss at the last one.

        Raises:
            InputError: no evidence, or fobs not learned there; all are told, and nothing is recorded.
        """
        if not evidence.strip():
            raise InputError(
                "A deletion counts only with evidence: how was it seen that the receiver does not obey any"
                " more?"
            )
        says: list[str] = []
        with self._work() as (work, register):
            for known in self._learned_at(register, fobs, receiver):
                says += self._deleted(work, known, receiver, evidence)
        return Done(tuple(says), tuple(work.events))

    def _learned_at(self, register: FobRegister, fobs: Iterable[str], receiver: str) -> list[Fob]:
        """The fobs that are named, each once; refused together where one is not learned at the receiver."""
        found, faults = dict[str, Fob](), []
        for fob in fobs:
            try:
                known = find_fob(register, fob)
            except InputError as error:
                faults.append(str(error))
                continue
            found[known.label] = known
            receivers = list(dict.fromkeys(entry.receiver for entry in known.known_at))
            if receiver not in receivers:
                where = f"learned at {', '.join(receivers)}" if receivers else "learned nowhere any more"
                faults.append(f"{known.label} is not learned at {receiver}; it is {where}.")
        if faults:
            raise InputError(" ".join(faults))
        return list(found.values())

    def _deleted(self, work: Writing, known: Fob, receiver: str, evidence: str) -> list[str]:
        work.append(FobDeleted(fob=known.label, receiver=receiver, evidence=evidence))
        rest = [place for entry in known.known_at if (place := entry.receiver) != receiver]
        says = [f"{known.label} is deleted at {receiver}."]
        if rest:
            says.append(f"Still to be deleted at {', '.join(dict.fromkeys(rest))}.")
        elif known.state is FobState.LOST:
            proofs = {entry.receiver: entry.evidence for entry in known.learned if not entry.is_known} | {
                receiver: evidence
            }
            told = "; ".join(f"{name}: {how}" for name, how in proofs.items())
            work.append(LossClosed(fob=known.label, evidence=told))
            says.append("It is deleted everywhere: the loss is closed.")
        return says

    def replace_receiver(self, receiver: str, *, why: str = "", copied: bool = False) -> Done:
        """A receiver was replaced; unless its records were carried over, everything must be learned again."""
        self._is_receiver(receiver)
        with self._work(begins=True) as (work, register):
            known = list(dict.fromkeys(fob.label for fob, _ in register.known_at(receiver)))
            work.append(ReceiverReplaced(receiver=receiver, copied=copied, **stripped(why=why)))
        rest = (
            f"{plural(len(known), 'fob')} carried over: try some of them."
            if copied
            else f"{plural(len(known), 'fob')} to be learned again: see 'keys waves'."
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
            chosen = [find_fob(register, label) for label in fobs] or [
                fob for _, fob in sorted(register.fobs.items()) if fob.state is FobState.ISSUED
            ]
            says: list[str] = []
            people = self.people
            for fob in chosen:
                buttons, without = copied_buttons(fob.buttons, pairs)
                if buttons != dict(fob.buttons):
                    old = self._places(fob.buttons)
                    new = [place for place in self._places(buttons) if place not in old]
                    holder = holder_of(fob, people)
                    says.append(
                        f"{fob.label}{f' ({holder})' if holder else ''}:"
                        f" {', '.join(f'{place.function} on button {place.button}' for place in new)}. Learn"
                        f" at {', '.join(dict.fromkeys(place.receiver for place in new))}."
                    )
                    if not dry_run:
                        work.append(RightsChanged(fob=fob.label, buttons=buttons))
                says += [f"{fob.label}: {target} has nothing of the kind of {name}." for name in without]
        if not says:
            says = [f"Nobody holds a fob with a function at {source}."]
        return Done(tuple(says), tuple(work.events))

    # -- helpers

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

    def _places(self, buttons: Mapping[str, Iterable[str]]) -> tuple[LearningPlace, ...]:
        if not buttons or self.case is None:
            return ()
        from farpress.keys.rights import places_of

        return places_of(self.case, buttons)

    def meant_at(self, label: str) -> tuple[str, ...]:
        """Receivers that a fob's buttons are meant for and at which nothing was ever recorded of it."""
        fob = self.register.fobs[label]
        recorded = {entry.receiver for entry in fob.learned}
        return tuple(sorted({place.receiver for place in self._places(fob.buttons)} - recorded))

    def _to_learn(self, fob: Fob, buttons: Mapping[str, Iterable[str]]) -> list[str]:
        wanted = {(place.receiver, place.output, place.button) for place in self._places(buttons)}
        known = {(entry.receiver, entry.output, entry.button) for entry in fob.known_at}
        new, old = (
            sorted({place[0] for place in wanted - known}),
            sorted({place[0] for place in known - wanted}),
        )
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


def stripped(**values: str) -> dict[str, str]:
    """Words without spaces around them; those that are empty are left out."""
    return {name: value.strip() for name, value in values.items() if value and value.strip()}
