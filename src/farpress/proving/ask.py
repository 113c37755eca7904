"""Proving: what has to be tried, what was entered, and what is shown by it.

The door of this room for pages, papers and commands; the parts stand in `proving_plan`,
`proving_checks`, `proving_entry` and `proving_proof`.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from pathlib import Path
from typing import Final, Literal

from farpress.case.case import Case, open_case
from farpress.domain.event import Event
from farpress.domain.job import Reading
from farpress.proving.entry import Entry, enter, entries_from_csv, plan_csv
from farpress.proving.plan import proving_plan
from farpress.proving.proof import OutputProof, Proof, TestProof, proof_of, proven_tests
from farpress.proving.tests import METHODS, PressPlan, ProvingPlan, ProvingTest

__all__ = [
    "METHODS",
    "Entry",
    "OutputProof",
    "PressPlan",
    "Proof",
    "ProvingPlan",
    "ProvingTest",
    "TestProof",
    "case_with_evidence",
    "enter",
    "entries_from_csv",
    "plan_csv",
    "proof_of",
    "proven_tests",
    "proving_plan",
    "with_evidence",
]


def with_evidence(case: Case, events: Iterable[Event]) -> Case:
    """The case with presses and levels of the record beside the readings of the job file.

    Each becomes a reading, so that the calibration of reach uses them like any other. A
    reading that names a place or receiver the job does not have is left out.
    """
    found: list[Reading] = []
    seen: set[str] = set()
    for event in events:
        client = event.body.get("client_id")
        if isinstance(client, str):
            if client in seen:
                continue
            seen.add(client)
        reading = _reading(case, event)
        if reading is not None:
            found.append(reading)
    if not found:
        return case
    return replace(case, job=case.job.model_copy(update={"readings": (*case.job.readings, *found)}))


def case_with_evidence(folder: Path) -> Case:
    """Read a job folder, with presses and levels of its record joined to its readings.

    A folder without a record is read as it is; nothing is written. A plan of trials is made
    from the job alone (`open_case`): its prediction must not know the trials that test it.

    Raises:
        JobFileError: the file cannot be used; every fault of it is listed.
        RecordError: the record cannot be read.
    """
    from farpress.record.store import FILE_NAME, open_record

    case = open_case(folder)
    where = case.folder or folder
    if not (where / FILE_NAME).is_file():
        return case
    with open_record(where) as record:
        return with_evidence(case, record.events(job=case.job.job, kinds=("trial done", "reading taken")))


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
