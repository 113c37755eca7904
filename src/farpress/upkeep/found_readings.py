"""What was read on an installation as it was found, out of a table: levels, and volts at terminals."""

from __future__ import annotations

import hashlib
import math
from collections.abc import Mapping, Sequence
from typing import Final, Literal

from farpress.case.case import Case
from farpress.case.terminals_there import found_terminals
from farpress.domain.acts import ReadingTaken
from farpress.errors import InputError
from farpress.phrases import listed

__all__ = ["HEADS", "readings_of", "receiver_named"]

HEADS: Final = ("what", "where", "receiver", "value", "held", "pad", "during")
"""Columns: 'what' is level or volts; 'where' a place, or two terminals as "R1.+ to R1.0"."""

_HOW: Final[dict[str, Literal["in hand", "in pocket", "in car"]]] = {
    "in hand": "in hand",
    "in pocket": "in pocket",
    "in car": "in car",
}
_LEVELS_DBM: Final = (-150.0, 30.0)
_VOLTS: Final = (-1000.0, 1000.0)
_PAD_DB: Final = (0.0, 60.0)


def readings_of(case: Case, rows: Sequence[Sequence[str]]) -> list[ReadingTaken]:
    """Each row as what was read.

    Raises:
        InputError: every fault of every row.
    """
    head = [cell.strip().casefold() for cell in rows[0]] if rows else []
    lacking = [name for name in ("what", "where", "value") if name not in head]
    if lacking:
        raise InputError(
            f"the first row has {listed(head) or 'nothing'}; {listed(lacking)} is wanted, of {listed(HEADS)}."
        )
    found, faults = [], []
    for number, row in enumerate(rows[1:], 2):
        cells = dict(zip(head, (cell.strip() for cell in row)))
        if not any(cells.values()):
            continue
        try:
            found.append(_reading(case, cells, number))
        except InputError as error:
            faults.append(f"row {number}: {error}")
    if faults:
        raise InputError("\n".join(faults))
    return found


def _reading(case: Case, cells: Mapping[str, str], number: int) -> ReadingTaken:
    what = cells.get("what", "").casefold()
    mark = hashlib.sha256(f"{number} {sorted(cells.items())}".encode()).hexdigest()[:32]
    if what == "level":
        held = cells.get("held", "").casefold() or "in hand"
        if held not in _HOW:
            raise InputError(f"'{held}' is no way to hold a fob: {listed(list(_HOW))}.")
        return ReadingTaken(
            what="level",
            where=f"place:{_place(case, cells.get('where', ''))}",
            receiver=receiver_named(case, cells.get("receiver", "")),
            value=_number(cells.get("value", ""), "dBm", _LEVELS_DBM),
            unit="dBm",
            held=_HOW[held],
            pad_db=_number(cells.get("pad") or "0", "dB", _PAD_DB) or None,
            client_id=mark,
        )
    if what == "volts":
        return ReadingTaken(
            what="volts",
            where=f"terminals:{_terminals(case, cells.get('where', ''))}",
            value=_number(cells.get("value", ""), "V", _VOLTS),
            unit="V",
            during=cells.get("during", ""),
            client_id=mark,
        )
    raise InputError(f"'{cells.get('what', '')}' is not read here: level or volts.")


def receiver_named(case: Case, name: str) -> str:
    """A receiver by its full name, or by its last part where only one has it.

    Raises:
        InputError: no such receiver, or several.
    """
    known = [f"{place}/{box}" for place, house in case.job.premises.items() for box in house.receivers]
    return _one_of("receiver", name, known)


def _place(case: Case, name: str) -> str:
    known = [f"{premises}/{place}" for premises, house in case.job.premises.items() for place in house.places]
    return _one_of("place", name, known)


def _one_of(kind: str, name: str, known: Sequence[str]) -> str:
    wanted = " ".join(name.split()).casefold()
    meant = [path for path in known if wanted in (path.casefold(), path.partition("/")[2].casefold())]
    if len(meant) != 1:
        which = f"is no {kind} of this job" if not meant else f"may be several {kind}s"
        raise InputError(f"'{name}' {which}; there are {listed(list(known)) or 'none'}.")
    return meant[0]


def _terminals(case: Case, where: str) -> str:
    """Two terminals of one address as "house/R1.+ to R1.0"."""
    premises, between = "", where
    for name in case.job.premises:
        if where.startswith(f"{name}/"):
            premises, between = name, where[len(name) + 1 :]
    if not premises and len(case.job.premises) == 1:
        premises = next(iter(case.job.premises))
    first, parted, second = between.partition(" to ")
    if not premises or not parted:
        raise InputError(f"'{where}' names no two terminals; write them as 'house/R1.+ to R1.0'.")
    _, wrong = found_terminals(case, premises, (first.strip(), second.strip()))
    if wrong:
        raise InputError(" ".join(wrong))
    return f"{premises}/{first.strip()} to {second.strip()}"


def _number(text: str, unit: str, band: tuple[float, float]) -> float:
    plain = text.strip().removesuffix(unit).strip().replace("\u2212", "-")
    try:
        value = float(plain.replace(",", ".") if "." not in plain else plain)
    except ValueError:
        value = math.nan
    if not band[0] <= value <= band[1]:
        raise InputError(
            f"'{text}' is no reading; {band[0]:g} to {band[1]:g} {unit} are allowed (our choice)."
        )
    return value
