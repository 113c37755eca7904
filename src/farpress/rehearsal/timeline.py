"""The time line of a played story: tracks, moments and what was broken."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Final

from farpress.rehearsal.search import time_text

__all__ = ["LONGEST_TICKS", "Broken", "PlayedMoment", "Span", "Timeline", "Track"]


LONGEST_TICKS: Final = 400_000
"""Ticks played at most; our choice, it catches a story of days at a tick of milliseconds."""


AT_ONCE_S: Final = 1.0
"""So soon after a press something has to move, or whoever pressed takes it for dead; our choice."""

_SAME_S: Final = 1e-6
"""Moments nearer than this are one; far below a tick."""

_REST: Final = {
    "on": "off",
    "up": "still",
    "down": "still",
    "opening": "closed",
    "closing": "closed",
    "locked": "released",
    "released": "locked",
    "set": "unset",
    "alarm": "unset",
    "exit time": "unset",
    "entry time": "unset",
    "open": "closed",
}


@dataclass(frozen=True)
class Span:
    """A thing in one state from one moment to another [s]."""

    from_s: float
    to_s: float
    state: str


@dataclass(frozen=True)
class Track:
    """One line of a time line: a thing and its states, the resting state left out.

    Attributes:
        name: what it is, as "larkfen/R1/1".
        says: what it does or works.
        spans: in order.
    """

    name: str
    says: str
    spans: tuple[Span, ...]


@dataclass(frozen=True)
class PlayedMoment:
    """Something that happens at a moment [s]; `is_press` where a fob is pressed."""

    at_s: float
    says: str
    is_press: bool = False


@dataclass(frozen=True)
class Broken:
    """A rule that the story breaks; `number` is None for what must never be in any job."""

    number: int | None
    never: str
    about: str
    says: str


@dataclass(frozen=True)
class Timeline:
    """A story played.

    Attributes:
        job, story: names.
        marks: what people and the power do, as far as it had an effect.
        tracks: what things do.
        ends_s: where the line ends [s].
        broken: rules that were broken on the way.
        last_s: moment of the last step [s].
        states: device, panel or output → its state at rest, where no span says another, then those others.
        asks, taken: what is missing; what was taken where the sheet is silent.
    """

    job: str
    story: str
    marks: tuple[PlayedMoment, ...]
    tracks: tuple[Track, ...]
    ends_s: float
    broken: tuple[Broken, ...]
    asks: tuple[str, ...] = ()
    taken: tuple[str, ...] = ()
    last_s: float = 0.0
    states: Mapping[str, tuple[str, ...]] = field(default_factory=dict)

    def at_last(self, name: str) -> str:
        """How a device, panel or output stands as the last step left it; empty where it is not played."""
        states = [
            span.state
            for track in self.tracks
            if track.name == name
            for span in track.spans
            if span.from_s <= self.last_s + _SAME_S
            and (span.to_s > self.last_s + _SAME_S or span.to_s >= self.ends_s)
        ]
        return " and ".join(dict.fromkeys(states)) or (self.states.get(name) or ("",))[0]

    @property
    def idle(self) -> tuple[PlayedMoment, ...]:
        """Presses after which nothing begins or ends at once: what a visitor would call a dead button."""
        changes = {
            moment for track in self.tracks for span in track.spans for moment in (span.from_s, span.to_s)
        }
        nexts = {mark: [other.at_s for other in self.marks if other.at_s > mark.at_s] for mark in self.marks}
        return tuple(
            mark
            for mark in self.marks
            if mark.is_press
            and not any(
                mark.at_s - _SAME_S <= moment < min([mark.at_s + AT_ONCE_S, *nexts[mark]]) - _SAME_S
                for moment in changes
            )
        )

    @property
    def lines(self) -> tuple[str, ...]:
        """The time line as text, one change a line."""
        changes = [(mark.at_s, 0, mark.says) for mark in self.marks]
        for track in self.tracks:
            for span in track.spans:
                if track.says != "supply":
                    changes.append((span.from_s, 2, f"{track.name} {span.state}"))
                if (
                    track.says not in ("pulses", "supply")
                    and span.to_s < self.ends_s
                    and not any(other.from_s == span.to_s for other in track.spans)
                ):
                    changes.append((span.to_s, 2, f"{track.name} {_REST.get(span.state, 'at rest')}"))
        return tuple(f"{time_text(at_s)}: {says}" for at_s, _, says in sorted(changes))
