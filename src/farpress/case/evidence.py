"""Evidence: presses and levels of the record, joined to a job as readings.

There is one way in. `open_job` and everybody who makes a `Case` from text come by here, so that no page,
command or paper predicts from less than another. Who needs the bare prediction, as a plan of trials does,
asks the case for it: `Case.without_evidence`.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Final, Literal

from farpress.domain.event import Event
from farpress.domain.job import Reading

if TYPE_CHECKING:
    from farpress.case.case import Case

__all__ = ["EVIDENCE_KINDS", "evidence_in", "record_stamp", "with_evidence"]

EVIDENCE_KINDS: Final = ("trial done", "reading taken")
"""Kinds of event that say how a press or a level really was."""


def with_evidence(case: Case, events: Iterable[Event]) -> Case:
    """The case with presses and levels of the record beside the readings of the job file.

    Each becomes a reading, so that the calibration of reach uses them like any other. A reading that
    names a place or receiver the job does not have is left out. What was joined before is replaced.
    """
    bare = case.without_evidence()
    readings: list[Reading] = []
    seen: set[str] = set()
    for event in events:
        client = event.body.get("client_id")
        if isinstance(client, str):
            if client in seen:
                continue
            seen.add(client)
        reading = _reading(bare, event)
        if reading is not None:
            readings.append(reading)
    if not readings:
        return bare
    job = bare.job.model_copy(update={"readings": (*bare.job.readings, *readings)})
    return replace(bare, job=job, job_without_evidence=bare.job)


def evidence_in(folder: Path, job: str) -> tuple[Event, ...]:
    """Presses and levels in the record beside a job file; none where there is no record. Nothing is written.

    Raises:
        RecordError: the record cannot be read.
    """
    from farpress.record.store import FILE_NAME, open_record

    if not (folder / FILE_NAME).is_file():
        return ()
    with open_record(folder) as record:
        return record.events(job=job, kinds=EVIDENCE_KINDS)


def record_stamp(folder: Path) -> tuple[tuple[int, int], ...]:
    """Time and size of the files of a record: another value whenever something was written into it."""
    from farpress.record.store import FILE_NAME

    return tuple(_stamp(folder / f"{FILE_NAME}{end}") for end in ("", "-wal"))


def _stamp(file: Path) -> tuple[int, int]:
    try:
        status = file.stat()
    except OSError:
        return (0, 0)
    return (status.st_mtime_ns, status.st_size)


def _reading(case: Case, event: Event) -> Reading | None:
    body = event.body
    place = str(body.get("place") or "")
    if event.kind == "reading taken":
        kind, _, name = str(body.get("where", "")).partition(":")
        place = name if kind == "place" else ""
        if body.get("what") != "level" or body.get("unit") != "dBm":
            return None
    elif event.kind != "trial done":
        return None
    receiver = str(body.get("receiver") or "")
    where, _, spot = place.partition("/")
    house = case.job.premises.get(where)
    if house is None or spot not in house.places or case.job.receiver_of(receiver) is None:
        return None
    given = body.get("held")
    held = next((one for one in _WAYS if one == given), house.places[spot].pressed)
    pad, says = _float(body.get("pad_db")), f"entered {event.at[:10]}"
    if event.kind == "reading taken":
        return Reading(
            receiver=receiver,
            place=place,
            level_dbm=_float(body.get("value")),
            pad_db=pad,
            held=held,
            says=says,
        )
    presses = int(_float(body.get("presses")) or 0)
    if presses < 1:
        return None
    return Reading(
        receiver=receiver,
        place=place,
        heard=int(_float(body.get("heard")) or 0),
        of=presses,
        pad_db=pad,
        held=held,
        says=says,
    )


_WAYS: Final[tuple[Literal["in hand", "in pocket", "in car"], ...]] = ("in hand", "in pocket", "in car")


def _float(value: object) -> float | None:
    return float(value) if isinstance(value, int | float) else None
