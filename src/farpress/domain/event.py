"""An event: one thing that happened, kept for ever in the order it was written.

Events are written in chains: each origin (one laptop's record, one firm's database)
numbers its own events and binds each to the one before by a hash. Two records of one job
are joined by taking the union of their chains; nothing is ever rewritten. A person stands
in an event only as an opaque mark, so that a name can be deleted while the event stays.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Final, TypeVar, overload

if TYPE_CHECKING:
    from farpress.domain.acts import Act, AnyAct

    A = TypeVar("A", bound=Act)
    B = TypeVar("B", bound=Act)
    C = TypeVar("C", bound=Act)

__all__ = ["Event", "canonical", "digest_of", "digest_of_fields", "happened"]


@dataclass(frozen=True)
class Event:
    """One entry of the record: when, by whom, in which chain; what was done is its `act`.

    Attributes:
        origin: which record wrote it first; random, says nothing about a machine.
        number: 1, 2, 3 … within its origin.
        job: the job it belongs to, by its key.
        moment: when, UTC, as "2026-11-25T14:03:07.000001Z"; never runs backwards in an origin.
        by: who wrote it: a role or a person's mark.
        kind: as recorded; `ACT_KINDS` has those that this version knows.
        text: its body, the JSON text that is stored and hashed.
        previous: digest of the event before it in its origin; empty for the first.
        digest: of all the above.
    """

    origin: str
    number: int
    job: str
    moment: str
    by: str
    kind: str
    text: str = "{}"
    previous: str = ""
    digest: str = ""

    @cached_property
    def act(self) -> AnyAct:
        """What was done, with typed fields; read when it is first asked for."""
        # an event that is only counted, passed on or verified needs no classes of acts: they load pydantic
        from farpress.domain.acts import read_act

        return read_act(self.kind, self.text)

    @property
    def particulars(self) -> dict[str, object]:
        """Every recorded field and its plain value, those of a later version too: for printing, not for
        reading.
        """
        return dict(json.loads(self.text))


@overload
def happened(events: Iterable[Event], first: type[A], /) -> Iterator[tuple[Event, A]]: ...


@overload
def happened(
    events: Iterable[Event], first: type[A], second: type[B], /
) -> Iterator[tuple[Event, A | B]]: ...


@overload
def happened(
    events: Iterable[Event], first: type[A], second: type[B], third: type[C], /
) -> Iterator[tuple[Event, A | B | C]]: ...


def happened(events: Iterable[Event], *kinds: type[Act]) -> Iterator[tuple[Event, Act]]:
    """Events of some kinds, each with its act; entries of those kinds that cannot be read are passed over."""
    names = {kind.kind for kind in kinds}
    for event in events:
        if event.kind in names and isinstance(act := event.act, kinds):
            yield event, act


def canonical(body: Mapping[str, object]) -> str:
    """A body as the one text that is hashed and stored: sorted keys, no spaces, no NaN."""
    return _CANONICAL.encode(body)


def digest_of(event: Event) -> str:
    """SHA-256 over every field of an event but the digest itself, in hexadecimal."""
    return digest_of_fields(
        event.origin, event.number, event.job, event.moment, event.by, event.kind, event.text, event.previous
    )


def digest_of_fields(
    origin: str, number: int, job: str, moment: str, by: str, kind: str, text: str, previous: str
) -> str:
    """The same from the fields, the body given as its canonical text."""
    # the JSON list of the fields, put together by hand: a verified chain is 100 000 of them
    words = ",".join(map(_quoted, (job, moment, by, kind, text, previous)))
    return hashlib.sha256(f"[{_quoted(origin)},{number:d},{words}]".encode()).hexdigest()


_CANONICAL: Final = json.JSONEncoder(
    sort_keys=True, ensure_ascii=False, separators=(",", ":"), allow_nan=False
)
_quoted: Final = json.encoder.encode_basestring
