"""What happened between two visits, written into the record: low-cell signals, new cells and batteries,
levels.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

from farpress.case.case import Case
from farpress.domain.acts import Act, BatteryChanged, CellChanged, LowCell, ReadingTaken
from farpress.domain.event import Event
from farpress.errors import InputError

if TYPE_CHECKING:
    from farpress.record.store import Record

__all__ = ["log_battery", "log_cell", "log_level", "log_low_cell"]

LOWEST_DBM, HIGHEST_DBM = -150.0, 20.0
"""A level beyond these is a slip; our choice."""


def log_low_cell(record: Record, case: Case, *, fob: str, receiver: str, by: str) -> Event:
    """A receiver reported a fob's low cell.

    Raises:
        InputError: no such receiver, or no label.
    """
    return _append(record, case, LowCell(fob=_label(fob), receiver=_receiver(case, receiver)), by)


def log_cell(
    record: Record, case: Case, *, fob: str, by: str, cell: str = "", volts: float | None = None
) -> Event:
    """A fob got a new cell today.

    Raises:
        InputError: no label.
    """
    return _append(record, case, CellChanged(fob=_label(fob), cell=cell, volts=volts), by)


def log_battery(record: Record, case: Case, *, supply: str, by: str) -> Event:
    """A supply got a new battery today.

    Raises:
        InputError: no such supply, or one without a battery.
    """
    known = [
        f"{premises}/{name}"
        for premises, house in case.job.premises.items()
        for name, source in house.supplies.items()
        if source.battery is not None
    ]
    return _append(record, case, BatteryChanged(supply=_named("supply with a battery", supply, known)), by)


def log_level(
    record: Record,
    case: Case,
    *,
    place: str,
    receiver: str,
    level_dbm: float,
    by: str,
    held: Literal["in hand", "in pocket", "in car"] = "in hand",
    pad_db: float = 0.0,
) -> Event:
    """A level was read from a place at a receiver.

    Args:
        record: of the job.
        case: the job.
        place: "premises/place", or the place where its name is unlike all others.
        receiver: "premises/receiver", likewise.
        level_dbm: as read [dBm].
        by: who read it.
        held: in hand, in pocket or in car.
        pad_db: pad in the way [dB].

    Raises:
        InputError: no such place, receiver or way to hold a fob, or a level that is none.
    """
    if not LOWEST_DBM <= level_dbm <= HIGHEST_DBM:
        raise InputError(
            f"{level_dbm:g} dBm is no level; {LOWEST_DBM:g} to {HIGHEST_DBM:g} dBm are allowed (our choice)."
            " Levels are negative: -84"
        )
    if not 0.0 <= pad_db <= 60.0:
        raise InputError(f"a pad of {pad_db:g} dB was given; 0 to 60 dB are allowed (our choice)")
    places = [f"{premises}/{name}" for premises, house in case.job.premises.items() for name in house.places]
    taken = ReadingTaken(
        what="level",
        where=f"place:{_named('place', place, places)}",
        receiver=_receiver(case, receiver),
        value=level_dbm,
        unit="dBm",
        held=held,
        pad_db=pad_db,
    )
    return _append(record, case, taken, by)


def _append(record: Record, case: Case, act: Act, by: str) -> Event:
    return record.append(act, job=case.job.job, by=by)


def _label(fob: str) -> str:
    if not fob.strip():
        raise InputError("give the label of the fob, as it is printed on it")
    return fob.strip()


def _receiver(case: Case, name: str) -> str:
    return _named(
        "receiver",
        name,
        [
            f"{premises}/{receiver}"
            for premises, house in case.job.premises.items()
            for receiver in house.receivers
        ],
    )


def _named(kind: str, name: str, known: list[str]) -> str:
    """The full name of one of several things; its last part is enough where only one has it."""
    meant = [path for path in known if name in (path, path.partition("/")[2])]
    if len(meant) == 1:
        return meant[0]
    if meant:
        raise InputError(f"there are several of '{name}': {', '.join(meant)}; give the whole name")
    raise InputError(f"there is no {kind} '{name}'; there are {', '.join(known) or 'none'}")
