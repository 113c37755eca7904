"""Changes that could be made: the edits that findings offer, each once, with what they take."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from typing import Final

from farpress.domain.finding import Change, Finding, Link, Verdict

__all__ = ["Candidate", "candidates_of", "is_allowed", "is_forbidden", "minutes_of", "touches"]

_MINUTES: Final[dict[str, int]] = {
    "antenna": 60,
    "battery": 20,
    "cable": 45,
    "contact": 10,
    "fed": 45,
    "for": 5,
    "fuse": 15,
    "interlock": 10,
    "kind": 5,
    "limits_inrush": 20,
    "part": 30,
    "separation_relay": 40,
    "suppression": 15,
    "via": 30,
}
"""Last key of a change that decides → minutes it takes on site; our choice, a firm's own norms come first."""

_OTHER_MINUTES: Final = 20
"""Any other change; our choice."""


@dataclass(frozen=True)
class Candidate:
    """One change of the job that a finding offers.

    Attributes:
        does: in words.
        changes: the edits.
        link: where in the chain the work is.
        minutes: on site.
    """

    does: str
    changes: tuple[Change, ...]
    link: Link
    minutes: int

    @property
    def key(self) -> tuple[tuple[tuple[str, ...], str], ...]:
        """Equal for equal edits."""
        return tuple(sorted((tuple(map(str, change.path)), repr(change.value)) for change in self.changes))

    def with_more(self, others: Iterable[Candidate]) -> Candidate:
        """This change and others as one: made together or not at all."""
        does, changes, minutes = [self.does], list(self.changes), self.minutes
        for other in others:
            does.append(f"{other.does[:1].lower()}{other.does[1:]}")
            changes += [change for change in other.changes if change not in changes]
            minutes += other.minutes
        return Candidate("; ".join(dict.fromkeys(does)), tuple(changes), self.link, minutes)

    def clashes(self, other: Candidate) -> bool:
        """Whether both write the same place of the file, or one a place within what the other writes; not
        where both write the same there.
        """
        return any(
            mine != its
            and (mine.path[: len(its.path)] == its.path or its.path[: len(mine.path)] == mine.path)
            for mine in self.changes
            for its in other.changes
        )

    @property
    def places(self) -> frozenset[str]:
        """Places of the file that it writes, as one text each."""
        return frozenset("/".join(map(str, change.path)) for change in self.changes)


def candidates_of(findings: Iterable[Finding]) -> tuple[Candidate, ...]:
    """Edits that findings that fail offer, each once, in the order of the findings."""
    found: dict[object, Candidate] = {}
    for finding in findings:
        if finding.verdict is not Verdict.FAILS:
            continue
        for remedy in finding.remedies:
            if remedy.changes:
                made = Candidate(
                    remedy.does.rstrip("."), remedy.changes, finding.link, minutes_of(remedy.changes)
                )
                found.setdefault(made.key, made)
    return tuple(found.values())


def minutes_of(changes: Iterable[Change]) -> int:
    """Minutes on site that edits take together: the longest piece of work, and a little for each more."""
    each = [_minutes(change) for change in changes]
    return max(each, default=0) + 5 * max(len(each) - 1, 0)


def is_allowed(candidate: Candidate, *, forbid: Collection[str] = (), keep: Collection[str] = ()) -> bool:
    """Whether a change uses nothing that is forbidden and touches nothing that is kept.

    Args:
        candidate: the change.
        forbid: words; an edit that names one, as a part or in its sentence, is not allowed.
        keep: things that stay as they are, as "R1" or "larkfen/R1/2": no edit below their keys.
    """
    return not any(is_forbidden(candidate, word) for word in forbid) and not any(
        touches(candidate, thing) for thing in keep
    )


def is_forbidden(candidate: Candidate, word: str) -> bool:
    """Whether a change names a word, as a part or in its sentence."""
    text = " ".join([candidate.does, *(str(change.value) for change in candidate.changes)]).casefold()
    return word.casefold() in text


def touches(candidate: Candidate, thing: str) -> bool:
    """Whether a change writes below the keys of a thing, as "R1" or "larkfen/R1/2"."""
    return any(_is_below(change.path, thing) for change in candidate.changes)


def _minutes(change: Change) -> int:
    known = [_MINUTES[key] for key in map(str, change.path) if key in _MINUTES]
    return known[-1] if known else _OTHER_MINUTES


def _is_below(path: tuple[str | int, ...], thing: str) -> bool:
    """Whether a path of the file lies in a thing: the names of the thing stand in it, one after the other; a
    number is that of an output, and not of an input beside it.
    """
    keys = list(map(str, path))
    for name in thing.split("/"):
        places = [
            place
            for place, key in enumerate(keys)
            if key == name and (not name.isdigit() or keys[place - 1 : place] == ["outputs"])
        ]
        if not places:
            return False
        keys = keys[places[0] + 1 :]
    return True
