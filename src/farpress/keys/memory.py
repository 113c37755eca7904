"""What a receiver really holds, and which fobs it heard: the two things only the site can tell.

A list read out of a receiver is recorded whole; `keys_due.check_register` then lays it
beside the register. A fob that was heard keeps its counter in step from that moment on.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from farpress.domain.acts import FobHeard, MemoryRead
from farpress.domain.event import happened
from farpress.domain.register import FobRegister, FobState
from farpress.errors import InputError
from farpress.keys.find import find_fob
from farpress.keys.import_cells import COLUMNS, column_heads, plain_cell
from farpress.keys.people import Done
from farpress.keys.problems import Problem

if TYPE_CHECKING:
    from farpress.keys.book import RegisterBook
    from farpress.keys.memory_matters import Matter

__all__ = ["look_heard", "look_memory", "memory_rows", "record_heard", "record_memory"]

FIELDS = ("fob", "serial", "slot", "output", "button")
"""What is kept of each row."""


def record_memory(book: RegisterBook, receiver: str, table: Sequence[Sequence[str]]) -> Done:
    """Record what a receiver was seen to hold; a head without rows under it says that it is empty.

    Args:
        book: the register.
        receiver: "premises/receiver".
        table: as from `keys_table.read_table`, with a head.

    Raises:
        InputError: no such receiver, or rows that say nothing; all are listed, nothing was written.
    """
    from farpress.keys.memory_matters import memory_matters

    book._is_receiver(receiver)
    records, problems = memory_rows(table)
    if problems:
        raise InputError(
            "\n".join(
                [
                    f"{len(problems)} problem{'s' if len(problems) != 1 else ''}; nothing was written.",
                    *map(str, problems),
                ]
            )
        )
    with book._work(begins=True) as (work, _):
        work.append(MemoryRead(receiver=receiver, records=records))
    matters = memory_matters(book.register, receiver)
    says = f"{receiver} holds {len(records)} record{'s' if len(records) != 1 else ''}; "
    says += (
        "all of them stand in the register, and all that the register has are there."
        if not matters
        else f"{len(matters)} thing{'s' if len(matters) != 1 else ''} to attend to ('keys check' keeps them):"
    )
    return Done((says, *(matter.says for matter in matters)), tuple(work.events))


def record_heard(book: RegisterBook, receiver: str, fobs: Iterable[str]) -> Done:
    """Record that fobs were heard at a receiver just now.

    Raises:
        InputError: no such receiver or fob, or one that the receiver should not know; nothing was written.
    """
    book._is_receiver(receiver)
    with book._work() as (work, register):
        for label in _heard(register, receiver, fobs):
            work.append(FobHeard(fob=label, receiver=receiver))
    labels = [heard.fob for _, heard in happened(work.events, FobHeard)]
    return Done(
        (f"{', '.join(labels)} {'was' if len(labels) == 1 else 'were'} heard at {receiver}.",),
        tuple(work.events),
    )


def look_memory(
    book: RegisterBook, receiver: str, table: Sequence[Sequence[str]]
) -> tuple[int, list[Problem], tuple[Matter, ...]]:
    """What `record_memory` would do, and write nothing.

    Returns:
        How many records the list has, what is wrong with its rows, and where it differs from the register.

    Raises:
        InputError: no such receiver.
    """
    from farpress.keys.memory_matters import memory_matters

    book._is_receiver(receiver)
    records, problems = memory_rows(table)
    if problems:
        return len(records), problems, ()
    register = book.register
    return (
        len(records),
        [],
        memory_matters(
            replace(
                register, memory={**register.memory, receiver: {"at": register.as_of, "records": records}}
            ),
            receiver,
        ),
    )


def look_heard(book: RegisterBook, receiver: str, fobs: Iterable[str]) -> list[str]:
    """Labels of the fobs that `record_heard` would write down; writes nothing.

    Raises:
        InputError: as `record_heard`.
    """
    book._is_receiver(receiver)
    return _heard(book.register, receiver, fobs)


def _heard(register: FobRegister, receiver: str, fobs: Iterable[str]) -> list[str]:
    """Labels, each once; every fault of every fob at once."""
    labels: list[str] = []
    faults: list[str] = []
    for text in fobs:
        try:
            fob = find_fob(register, text)
        except InputError as error:
            faults.append(str(error))
            continue
        if all(entry.receiver != receiver for entry in fob.known_at):
            receivers = ", ".join(dict.fromkeys(entry.receiver for entry in fob.known_at))
            faults.append(
                f"By the register {fob.label} is"
                f" {f'not learned at {receiver}, but at {receivers}' if receivers else 'learned nowhere'}."
                f" If the receiver"
                " really obeyed it, record that first: 'keys learn', or 'keys memory' with its whole list."
            )
        elif fob.state is FobState.DESTROYED:
            faults.append(f"{fob.label} is destroyed and cannot have been heard: read its label again.")
        elif fob.label not in labels:
            labels.append(fob.label)
    if faults:
        raise InputError("\n".join(faults))
    return labels


def memory_rows(table: Sequence[Sequence[str]]) -> tuple[list[dict[str, str]], list[Problem]]:
    """Rows of a list read out of a receiver, and what is wrong with them."""
    rows = [[plain_cell(cell) for cell in row] for row in table]
    head_at = next(
        (
            number
            for number, row in enumerate(rows[:20])
            if {"fob", "serial", "slot"} & set(column_heads(row))
        ),
        None,
    )
    if head_at is None:
        heads = ", ".join(COLUMNS[name][0] for name in FIELDS)
        return [], [
            Problem(
                0,
                "",
                "No row is a head with a column for the fob's label, its serial or its slot. Columns that"
                f" are understood: {heads}.",
            )
        ]
    columns = column_heads(rows[head_at])
    records: list[dict[str, str]] = []
    problems = []
    seen: dict[tuple[tuple[str, str], ...], int] = {}
    for number, cells in enumerate(rows[head_at + 1 :], head_at + 2):
        if not any(cells):
            continue
        entry = {
            name: cells[columns[name]]
            for name in FIELDS
            if name in columns and columns[name] < len(cells) and cells[columns[name]]
        }
        key = tuple(sorted(entry.items()))
        if not {"fob", "serial", "slot"} & set(entry):
            problems.append(Problem(number, "", "It names no fob: give its label, its serial or its slot."))
        elif key in seen:
            problems.append(Problem(number, "", f"It stands in row {seen[key]} already; remove one of them."))
        seen.setdefault(key, number)
        records.append(entry)
    return records, problems
