"""Times as people at the premises read them: the record keeps UTC, papers and rounds say local time.

The zone is that of the job (`time_zone`). A job without one: a command or page takes the
machine's own zone, where the person sits who asks; a paper takes UTC and says so, since the
same job must give the same paper on every machine.
"""

from __future__ import annotations

from datetime import UTC, datetime, tzinfo
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

if TYPE_CHECKING:
    from farpress.domain.job import Job

__all__ = ["NO_ZONE", "clock_name", "in_zone", "now_in", "paper_zone", "zone_of"]

NO_ZONE = (
    "The job gives no time zone: times are UTC, and opening hours were taken as UTC too. Give 'time_zone' in"
    " the job file, as Europe/London."
)
"""Said on a paper that had to take UTC."""


def zone_of(job: Job | None) -> tzinfo | None:
    """The zone of a job; None for that of this machine."""
    return ZoneInfo(job.time_zone) if job is not None and job.time_zone else None


def paper_zone(job: Job) -> tzinfo:
    """The zone of a job for its papers; UTC where it gives none."""
    return zone_of(job) or UTC


def in_zone(moment: str, zone: tzinfo | None) -> datetime:
    """A moment of the record as a local time without a zone.

    Args:
        moment: UTC, as "2026-11-25T14:03:07.000001Z".
        zone: None for that of this machine.

    Example:
        Half an hour after the clocks went forward:

        >>> str(in_zone("2026-03-29T01:30:00.000000Z", ZoneInfo("Europe/London")))
        '2026-03-29 02:30:00'
    """
    return datetime.fromisoformat(moment.replace("Z", "+00:00")).astimezone(zone).replace(tzinfo=None)


def now_in(zone: tzinfo | None) -> datetime:
    """The minute it is there, without a zone."""
    return datetime.now(UTC).astimezone(zone).replace(tzinfo=None, second=0, microsecond=0)


def clock_name(job: Job) -> str:
    """How a paper calls its times: "time in Europe/London", or "UTC"."""
    return f"time in {job.time_zone}" if job.time_zone else "UTC"
