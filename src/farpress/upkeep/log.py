"""What happened between two visits, written into the record: low-cell signals, new cells and batteries,
levels.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from farpress.case.case import Case
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
    return _append(record, case, "low cell", {"fob": _label(fob), "receiver": _receiver(case, receiver)}, by)


def log_cell(
    record: Record, case: Case, *, fob: str, by: str, cell: str = "", volts: float | None = None
) -> Event:
    """A fob got a new cell today.

    Raises:
        InputError: no label.
    """
    return _append(
        record,
        case,
        "cell changed",
        {
            "fob": _label(fob),
            **({"cell": cell} if cell else {}),
            **({} if volts is None else {"volts": volts}),
        },
        by,
    )


def log_battery(record: Record, case: Case, *, supply: str, by: str) -> Event:
    """A supply got a new battery today.

    Raises:
        InputError: no such supply, or one without a battery.
    """
    known = [
        f"{premises}/{name}"
        for premises, house in case.job.premises.items()
        for name, one in house.supplies.items()
        if one.battery is not None
    ]
    return _append(
        record, case, "battery changed", {"supply": _one_of("supply with a battery", supply, known)}, by
    )


def log_level(
    record: Record,
    case: Case,
    *,
    place: str,
    receiver: str,
    level_dbm: float,
    by: str,
    held: str = "in hand",
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
        InputError: no such place or receiver, or a level that is none.
    """
    if not LOWEST_DBM <= level_dbm <= HIGHEST_DBM:
        raise InputError(
            f"{level_dbm:g} dBm is no level; {LOWEST_DBM:g} to {HIGHEST_DBM:g} dBm are allowed (our choice)."
            " Levels are negative: -84"
        )
    if held not in ("in hand", "in pocket", "in car"):
        raise InputError(f"'{held}' is not in hand, in pocket or in car")
    if not 0.0 <= pad_db <= 60.0:
        raise InputError(f"a pad of {pad_db:g} dB was given; 0 to 60 dB are allowed (our choice)")
    places = [f"{premises}/{name}" for premises, house in case.job.premises.items() for name in house.places]
    body = {
        "what": "level",
        "where": f"place:{_one_of('place', place, places)}",
        "receiver": _receiver(case, receiver),
        "value": level_dbm,
        "unit": "dBm",
        "held": held,
        "pad_db": pad_db,
    }
    return _append(record, case, "reading taken", body, by)


def _append(record: Record, case: Case, kind: str, body: Mapping[str, object], by: str) -> Event:
    return record.append(kind, body, job=case.job.job, by=by)


def _label(fob: str) -> str:
    if not fob.strip():
        raise InputError("give the label of the fob, as it is printed on it")
    return fob.strip()


def _receiver(case: Case, name: str) -> str:
    return _one_of(
        "receiver",
        name,
        [
            f"{premises}/{receiver}"
            for premises, house in case.job.premises.items()
            for receiver in house.receivers
        ],
    )


def _one_of(kind: str, name: str, known: list[str]) -> str:
    """The full name of one of several things; its last part is enough where only one has it."""
    found = [one for one in known if name in (one, one.partition("/")[2])]
    if len(found) == 1:
        return found[0]
    if found:
        raise InputError(f"there are several of '{name}': {', '.join(found)}; give the whole name")
    raise InputError(f"there is no {kind} '{name}'; there are {', '.join(known) or 'none'}")
