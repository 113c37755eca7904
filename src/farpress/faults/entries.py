"""Faults in the record: what was reported, answered and closed."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from farpress.case.case import Case
from farpress.domain.acts import FaultAnswered, FaultClosed, FaultReported
from farpress.domain.event import Event, happened
from farpress.domain.fault import FaultTest

if TYPE_CHECKING:
    from farpress.faults.ask import FaultHunt
    from farpress.record.store import Record

__all__ = ["fault_ids", "record_answer", "record_close", "record_report"]


def fault_ids(events: Iterable[Event]) -> tuple[str, ...]:
    """Ids of the faults of a record that are not closed yet, the oldest first."""
    still: dict[str, bool] = {}
    for _, act in happened(events, FaultReported, FaultClosed):
        still[act.fault] = isinstance(act, FaultReported)
    return tuple(fault for fault, is_open in still.items() if is_open)


def record_report(record: Record, case: Case, words: str, hunt: FaultHunt, *, by: str) -> str:
    """Write the complaint into the record and give its id, as "F0007"."""
    known = len(record.events(job=case.job.job, kinds=(FaultReported.kind,)))
    fault = f"F{known + 1:04d}"
    told = hunt.complaint.says if words.strip() in ("", str(hunt.complaint.number)) else words
    report = FaultReported(fault=fault, complaint=f"{hunt.complaint.number}: {told}", about=str(hunt.about))
    record.append(report, job=case.job.job, by=by)
    return fault


def record_answer(
    record: Record, case: Case, fault: str, test: FaultTest, points_to_a_cause: bool, *, by: str
) -> None:
    """Write one answer into the record."""
    answer = test.yes if points_to_a_cause else test.no
    record.append(FaultAnswered(fault=fault, test=test.name, answer=answer), job=case.job.job, by=by)


def record_close(
    record: Record, case: Case, fault: str, cause: str, cure: str, *, by: str, minutes: float | None = None
) -> None:
    """Write cause and cure into the record."""
    record.append(FaultClosed(fault=fault, cause=cause, cure=cure, minutes=minutes), job=case.job.job, by=by)
