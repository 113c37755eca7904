"""A case after a change: it takes over what was made of the case before, wherever that is the same still."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Mapping
from functools import partial
from typing import Any, Final, TypeVar

from farpress.case.case import Case
from farpress.case.moved_lines import MovedLines, with_lines_moved
from farpress.case.reads import Edit, Found, ReadKey, Reads, unnoted
from farpress.errors import FarpressError

__all__ = ["CaseAfter", "Made", "TakenOver", "plain_after"]

Made = tuple[Any, Reads]
"""What was made, and what it was made from."""

_Value = TypeVar("_Value")

_NOTHING_MOVED: Final[MovedLines] = {}


class CaseAfter(Case):
    """A case that knows what was made of the one before it."""

    def after(
        self,
        before: Mapping[Hashable, Made],
        changed: frozenset[ReadKey],
        *,
        lines: MovedLines = _NOTHING_MOVED,
        is_noting: bool,
        offers: bool,
    ) -> TakenOver:
        """Take over from now on what was made of another case.

        Args:
            before: what was made of it.
            changed: the fields that are otherwise; see `differences`.
            lines: of the job file that stand elsewhere and are the same.
            is_noting: this case notes what is read of it, so that what is made of it can be taken over too.
            offers: remedies have to be the same too.
        """
        edit = Edit(changed, partial(self._again, lines=lines), is_noting=is_noting)
        taken = TakenOver(before, edit, lines, offers=offers)
        self.__dict__["_taken"] = taken
        return taken

    def kept(self, key: Hashable, make: Callable[[], _Value]) -> _Value:
        """Taken over from the case before, where it would be the same now."""
        taken: TakenOver | None = self.__dict__.get("_taken")
        if taken is None:  # a copy of such a case with something else in it
            return super().kept(key, make)
        if key not in taken.made:
            before = taken.before(key)
            if before is not None:
                self._made.put(key, *before)
            made = super().kept(key, make)
            taken.made[key] = made, self._made.reads_of(key)
            return made
        return super().kept(key, make)

    def _again(self, reads: Found, lines: MovedLines) -> Found | None:
        """A plain value of the case before found in this one; None where it cannot be, or named other lines
        then.
        """
        if with_lines_moved(reads.value, lines) is not reads.value:
            return None
        with unnoted():
            try:
                self.found(reads.make, *reads.names)
            except (FarpressError, LookupError):  # what it was asked of is not there any more
                return None
        again = self._made.reads_of((reads.make, *reads.names))
        return again if isinstance(again, Found) else None


def plain_after(case: Case) -> CaseAfter:
    """A copy of a case that can take over, and notes nothing: for one that nobody comes back to."""
    return CaseAfter(
        case.job,
        case.equipment,
        case.fingerprint,
        case.folder,
        case.document,
        case.job_without_evidence,
        case.doubted,
    )


class TakenOver:
    """What was made of a case, and what of the case before it is the same still.

    Attributes:
        made: key → what was made, or taken over.
    """

    def __init__(
        self, before: Mapping[Hashable, Made], edit: Edit, lines: MovedLines, *, offers: bool
    ) -> None:
        """Begin.

        Args:
            before: what was made of the case before.
            edit: the case as it is now held against it.
            lines: of the job file that stand elsewhere and are the same.
            offers: remedies have to be the same too.
        """
        self.made: dict[Hashable, Made] = {}
        self._before, self._edit, self._lines, self._offers = before, edit, lines, offers

    def before(self, key: Hashable) -> Made | None:
        """What was made of the case before under a key and would be the same now."""
        found = self._before.get(key)
        if found is None or self._edit.meets(found[1]):
            return None
        if self._offers and self._edit.meets_offers(found[1]):
            return None
        return with_lines_moved(found[0], self._lines), found[1]

    def all_the_same(self) -> dict[Hashable, Made]:
        """All that was made, and of what nobody asked for all that is the same still."""
        others = ((key, self.before(key)) for key in self._before if key not in self.made)
        return {**{key: found for key, found in others if found is not None}, **self.made}
