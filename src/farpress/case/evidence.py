"""Evidence: presses and levels of the record, joined to a job as readings.

There is one way in. `open_job` and everybody who makes a `Case` from text come by here, so that no page,
command or paper predicts from less than another. Who needs the bare prediction, as a plan of trials does,
asks the case for it: `Case.without_evidence`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Final

from farpress.domain.event import Event, happened
from farpress.domain.job import Reading

if TYPE_CHECKING:
    from farpress.case.case import Case
    from farpress.domain.acts import ReadingTaken, TrialDone
    from farpress.domain.premises import Place
    from farpress.domain.volts_read import VoltsRead

__all__ = ["EVIDENCE_KINDS", "evidence_in", "record_stamp", "with_evidence"]

EVIDENCE_KINDS: Final = ("trial done", "reading taken")
"""Kinds of event that say how a press or a level really was."""


def with_evidence(case: Case, events: Sequence[Event]) -> Case:
    """The case with presses and levels of the record beside the readings of the job file.

    Each becomes a reading, so that the calibration of reach uses them like any other. A reading that
    names a place or receiver the job does not have is left out. What was joined before is replaced.
    """
    bare = case.without_evidence()
    if not events:
        return bare
    from farpress.domain.acts import ReadingTaken, TrialDone  # most jobs have no record yet

    readings: list[Reading] = []
    volts: dict[str, list[VoltsRead]] = {}
    seen: set[str] = set()
    for event, act in happened(events, TrialDone, ReadingTaken):
        if act.client_id is not None:
            if act.client_id in seen:
                continue
            seen.add(act.client_id)
        says = f"entered {event.moment[:10]}"
        if isinstance(act, ReadingTaken) and act.what == "volts":
            _put_volts(bare, act, says, volts)
            continue
        reading = _heard(bare, act, says) if isinstance(act, TrialDone) else _level(bare, act, says)
        if reading is not None:
            readings.append(reading)
    if not readings and not volts:
        return bare
    houses = {
        name: house.model_copy(update={"volts_read": (*house.volts_read, *volts[name])})
        for name, house in bare.job.premises.items()
        if name in volts
    }
    update: dict[str, object] = {"readings": (*bare.job.readings, *readings)}
    if houses:
        update["premises"] = {**bare.job.premises, **houses}
    job = bare.job.model_copy(update=update)
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


def _level(case: Case, act: ReadingTaken, says: str) -> Reading | None:
    """A level as a reading of the job; None for another quantity, or a place or receiver it does not have."""
    kind, _, path = act.where.partition(":")
    place = _place(case, path, act.receiver) if kind == "place" else None
    if place is None or act.what != "level" or act.unit != "dBm":
        return None
    return Reading(
        receiver=act.receiver,
        place=path,
        level_dbm=act.value,
        pad_db=act.pad_db,
        held=act.held or place.pressed,
        says=says,
    )


def _put_volts(case: Case, act: ReadingTaken, says: str, volts: dict[str, list[VoltsRead]]) -> None:
    """Volts between two terminals, where the job has their address."""
    from farpress.domain.volts_read import VoltsRead

    kind, _, path = act.where.partition(":")
    premises, _, between = path.partition("/")
    first, parted, second = between.partition(" to ")
    if kind == "terminals" and parted and premises in case.job.premises:
        read = VoltsRead(
            between=(first, second), volts_v=act.value, during=act.during or "at rest", says=says
        )
        volts.setdefault(premises, []).append(read)


def _heard(case: Case, act: TrialDone, says: str) -> Reading | None:
    """Presses as a reading of the job; None for none, or a place or receiver it does not have."""
    place = _place(case, act.place, act.receiver)
    if place is None or act.presses < 1:
        return None
    return Reading(
        receiver=act.receiver,
        place=act.place,
        heard=act.heard,
        of=act.presses,
        pad_db=act.pad_db,
        held=act.held or place.pressed,
        says=says,
    )


def _place(case: Case, path: str, receiver: str) -> Place | None:
    """A place of the job by "premises/place", where the job has the receiver too."""
    name, _, where = path.partition("/")
    premises = case.job.premises.get(name)
    if premises is None or case.job.receiver_of(receiver) is None:
        return None
    return premises.places.get(where)
