"""What a piece of work reads of a case, noted while it reads: it is done again only where that differs.

`watched_case` gives a copy of a case that notes every field that is looked at, under the place where it
stands in the job. Work done within `noted` has its own list of reads; what a case keeps for later askers
(`Case.once`) keeps its list with it, and whoever asks for it has read that too.
"""

from __future__ import annotations

import threading
from collections.abc import Callable, Hashable, Iterator
from contextlib import contextmanager
from typing import Any, Final, Generic, TypeVar

__all__ = [
    "CASE",
    "NOW",
    "WHOLE",
    "Edit",
    "Found",
    "Memo",
    "ReadKey",
    "Reads",
    "aside",
    "kept_reads",
    "note",
    "noted",
    "unnoted",
]

ReadKey = tuple[str, str]
"""Where something stands in the job, the names on the way joined by NUL, and the name of the field."""

WHOLE: Final = "*"
"""Name of no field: everything that stands at a place, however deep."""

CASE: Final = "case"
"""The place of what belongs to a case and not to its job."""

_Made = TypeVar("_Made")


class Reads:
    """What one piece of work has read.

    Attributes:
        keys: fields it looked at itself.
        through: reads of what it was given that others had made before.
        besides: reads of what it made only to offer a remedy; they are not among its own.
    """

    __slots__ = ("_besides", "keys", "through")

    def __init__(self) -> None:
        self.keys: set[ReadKey] = set()
        self.through: set[Reads] = set()
        self._besides: Reads | None = None

    @property
    def has_besides(self) -> bool:
        """Whether anything was made only to offer a remedy."""
        return self._besides is not None

    @property
    def besides(self) -> Reads:
        """Made at the first call."""
        if self._besides is None:
            self._besides = Reads()
        return self._besides

    def take_over(self, other: Reads) -> None:
        """Add what was read when the same value was found again in another case."""
        self.keys |= other.keys
        self.through |= other.through


class Found(Reads):
    """Reads of a plain value that is compared: where it is found again, whoever asked for it need not know
    that what it was made from has changed.

    Attributes:
        value: the value.
        make, names: makes it of a case.
    """

    __slots__ = ("make", "names", "value")

    def __init__(self, make: Callable[..., Any], names: tuple[Hashable, ...]) -> None:
        super().__init__()
        self.make, self.names = make, names
        self.value: Any = None


class Edit:
    """A case held against one that was worked on before: which reads meet what is otherwise now."""

    def __init__(
        self, changed: frozenset[ReadKey], find: Callable[[Found], Found | None], *, is_noting: bool
    ) -> None:
        """Begin.

        Args:
            changed: fields that are otherwise.
            find: a plain value found anew in the case as it is now; None where it cannot be, or where it
                names a line that has moved.
            is_noting: the case as it is now notes what that reads.
        """
        self._changed, self._find, self._is_noting = changed, find, is_noting
        self._known: dict[Reads, bool] = {}

    def meets(self, reads: Reads) -> bool:
        """Whether what was made from these would be made otherwise now, remedies aside."""
        found = self._known.get(reads)
        if found is None:
            found = not reads.keys.isdisjoint(self._changed) or any(map(self.meets, reads.through))
            if found and isinstance(reads, Found):
                again = self._find(reads)
                found = again is None or not _are_alike(again.value, reads.value)
                if not found and again is not None and self._is_noting:
                    reads.take_over(again)
            self._known[reads] = found
        return found

    def meets_offers(self, reads: Reads) -> bool:
        """The same of what was read for remedies."""
        return reads.has_besides and self.meets(reads.besides)


def _are_alike(value: Any, other: Any) -> bool:
    """Whether two values are equal and would be written alike: a nought below nought is another number."""
    return value is other or (value == other and repr(value) == repr(other))


class _Noting(threading.local):
    """What is being done in this thread."""

    reads: Reads | None = None


NOW: Final = _Noting()
"""What is noted for whom in this thread; for those alone that note so often that a call is too dear."""


def note(place: str, field: str) -> None:
    """A field was looked at."""
    reads = NOW.reads
    if reads is not None:
        reads.keys.add((place, field))


@contextmanager
def noted(reads: Reads | None = None) -> Iterator[Reads]:
    """Work whose reads are noted for itself; whoever waits for it has not read them yet: see `kept_reads`."""
    before, own = NOW.reads, Reads() if reads is None else reads
    NOW.reads = own
    try:
        yield own
    finally:
        NOW.reads = before


def kept_reads(reads: Reads) -> None:
    """Whoever works now was given something made before, and has read what that was made from."""
    now = NOW.reads
    if now is not None and now is not reads:
        now.through.add(reads)
        if reads.has_besides:
            now.besides.through.add(reads.besides)


@contextmanager
def aside() -> Iterator[None]:
    """What is read meanwhile is read for a remedy alone."""
    before = NOW.reads
    if before is not None:
        NOW.reads = before.besides
    try:
        yield
    finally:
        NOW.reads = before


@contextmanager
def unnoted() -> Iterator[None]:
    """Nothing is noted meanwhile: for what copies a value without looking at it."""
    before, NOW.reads = NOW.reads, None
    try:
        yield
    finally:
        NOW.reads = before


class Memo(Generic[_Made]):
    """What was made of a case under some keys, each once, with what it was made from."""

    __slots__ = ("_made",)

    def __init__(self) -> None:
        self._made: dict[Hashable, tuple[_Made, Reads]] = {}

    def once(self, key: Hashable, make: Callable[[], _Made], reads: Reads | None = None) -> _Made:
        """What is kept under a key, made where there is nothing.

        Args:
            key: anything that tells it from others.
            make: makes it.
            reads: where its reads are noted; a list of its own if None.
        """
        found = self._made.get(key)
        if found is None:
            with noted(reads) as own:
                made = make()
            if isinstance(own, Found):
                own.value = made
            found = self._made[key] = made, own
        kept_reads(found[1])
        return found[0]

    def put(self, key: Hashable, made: _Made, reads: Reads) -> None:
        """Keep something that was made before."""
        self._made[key] = made, reads

    def reads_of(self, key: Hashable) -> Reads:
        """What the thing under a key was made from.

        Raises:
            KeyError: nothing is kept under it.
        """
        return self._made[key][1]
