"""Sentences of the round after a loss, in any language: whom to ring, what to lock, how to delete."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Final

from farpress.domain.cautions import CAUTIONS, LOCAL_CODES
from farpress.phrases import Say, in_english, listed

__all__ = ["IN_ENGLISH", "LostWords"]


@dataclass(frozen=True)
class LostWords:
    """The language of a round.

    Attributes:
        say: a sentence, its {names} filled in.
        listed: names in a row.
        own: a name of the job.
    """

    say: Say
    listed: Callable[[Iterable[str]], str]
    own: Callable[[str], str]

    def names(self, names: Iterable[str]) -> str:
        """Names of the job in a row."""
        return self.listed(self.own(name) for name in names)

    def reach(self, fob: str, receivers: int, premises: int, unsets_at: Sequence[str]) -> str:
        """What a fob can do, and that it is a key."""
        say = self.say
        first = say(
            "Receivers at which {fob} works: {receivers}; premises: {premises}.",
            fob=fob,
            receivers=receivers,
            premises=premises,
        )
        unsets = say("It unsets the alarm at {premises}.", premises=self.names(unsets_at))
        return " ".join((first, *((unsets,) if unsets_at else ()), say(CAUTIONS["lost fob"])))

    def ring(self, premises: Iterable[str]) -> str:
        """Where the fob unsets an alarm."""
        sentence = self.say(
            "{premises}: ring at once. Have somebody stay, or have whoever may sign at the panel take the"
            " radio's unset input out of use until the fob is deleted. Tell the insurer.",
            premises=self.names(premises),
        )
        return f"{sentence} {self.say(LOCAL_CODES)}"

    def lock(self, premises: Iterable[str], entries: Iterable[str]) -> str:
        """Where the fob opens a way in."""
        return self.say(
            "{premises}: lock by key as well after hours; do not rely on {entries}.",
            premises=self.names(premises),
            entries=self.names(entries),
        )

    def delete_at(self, fob: str, serial: str, premises: str) -> str:
        """Which fob goes at one premises."""
        where = self.own(premises)
        if serial:
            return self.say(
                "Delete {fob}, serial {serial}, at {premises}.", fob=fob, serial=serial, premises=where
            )
        return self.say("Delete {fob} at {premises}.", fob=fob, premises=where)

    def delete(
        self, receiver: str, slots: tuple[str, ...], deletes_by: str | None, access: str | None
    ) -> str:
        """How one fob that is not there goes out of a receiver's memory, and how that is shown."""
        say = self.say
        if deletes_by == "fob in hand":
            way = say(
                "this receiver deletes a fob only with that fob in hand: everything must be erased, and all"
                " others learned again; bring them, or come when they are there."
            )
        elif slots:
            way = say("delete slot {slots}.", slots=self.listed(slots))
        else:
            way = say(
                "its slot is not written down: read the receiver's list first; erase everything and learn"
                " the others again only if nothing else is left."
            )
        proof = say(
            "Then show that it is gone: look the slot up again, photograph the list, and press a fob that"
            " has to work there still. Evidence: ______"
        )
        entry = (say("Access: {access}.", access=self.own(access)),) if access else ()
        return " ".join((f"{receiver}: {way}", *entry, proof))

    def too_short(self, premises: str, open_min: float, work_min: float) -> str:
        """Where the hours do not hold the work."""
        return self.say(
            "{premises} is open for {open} min, less than the {work} min of work: taken as always open, ask.",
            premises=self.own(premises),
            open=f"{open_min:.0f}",
            work=f"{work_min:.0f}",
        )

    def hours_unknown(self, premises: Iterable[str]) -> str:
        """Where nobody says when one is let in."""
        return self.say(
            "When somebody can be let in at {premises} is not given; taken as always.",
            premises=self.names(premises),
        )

    def hours_odd(self, premises: str, hours: str) -> str:
        """Where it is said in a way that cannot be read."""
        return self.say(
            "The hours of {premises}, '{hours}', are not of the form 07:00-18:00; taken as always.",
            premises=self.own(premises),
            hours=hours,
        )

    def erased(self, receivers: Iterable[str], work_min: float) -> str:
        """Where one fob cannot be deleted alone."""
        return self.say(
            "{receivers} must be erased and learned again as a whole: that takes far longer than the"
            " {work} min reckoned here.",
            receivers=self.listed(receivers),
            work=f"{work_min:g}",
        )

    def weekend(self, premises: Iterable[str]) -> str:
        """Where somebody would come on a day of which nothing is said."""
        return self.say(
            "{premises} would be visited at a weekend; the hours of the job were taken to hold then too,"
            " ask.",
            premises=self.names(premises),
        )

    def way_round(self, roads: Iterable[tuple[str, str, float]]) -> str:
        """Roads that were put together of others."""
        return self.say(
            "Roads that are not given; the shortest way over others was taken: {roads}.",
            roads=self.listed(f"{self._road(a, b)} {minutes:.0f} min" for a, b, minutes in roads),
        )

    def no_way(self, roads: Iterable[tuple[str, str]], taken_min: float) -> str:
        """Roads of which nothing is known."""
        return self.say(
            "Roads that are not given, nor a way round; {taken} min were taken for each: {roads}.",
            taken=f"{taken_min:.0f}",
            roads=self.listed(self._road(a, b) for a, b in roads),
        )

    def _road(self, start: str, end: str) -> str:
        return f"{self.own(start)} – {self.own(end)}"


IN_ENGLISH: Final = LostWords(in_english, listed, str)
"""As the terminal and the desk say it."""
