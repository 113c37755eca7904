"""Things as they stand in the job file, to be written again beside themselves: a receiver, an output."""

from __future__ import annotations

import re
from collections.abc import Iterable
from itertools import count
from typing import Any

from farpress.case.case import Case

__all__ = ["as_written", "free_name", "free_number", "loaded", "new_receiver"]


def as_written(case: Case, *path: str) -> Any:
    """The entry at a path of the job file, as plain tables, lists, texts and numbers; None where none is.

    Args:
        case: a job that was read from a file.
        path: names of keys, numbers among them as text.
    """
    place = case.once(_whole)
    for key in path:
        if isinstance(place, dict):
            place = next((value for name, value in place.items() if str(name) == key), None)
        elif isinstance(place, list) and key.isdigit() and int(key) < len(place):
            place = place[int(key)]
        else:
            return None
    return _copy(place)


def _whole(case: Case) -> Any:
    return loaded(case.document.source.text) if case.document is not None else None


def loaded(text: str) -> Any:
    """The text of a job file as plain tables, lists, texts and numbers."""
    from ruamel.yaml import YAML

    return YAML(typ="safe", pure=True).load(text)


def _copy(value: Any) -> Any:
    if isinstance(value, dict):
        return {key: _copy(inner) for key, inner in value.items()}
    return [_copy(inner) for inner in value] if isinstance(value, list) else value


def free_name(wanted: str, taken: Iterable[str]) -> str:
    """A name that is not there yet, in the manner of those that are: R4 after R3, "set 2" after "set"."""
    there = set(taken)
    if wanted not in there:
        return wanted
    found = re.fullmatch(r"(.*?)(\d+)", wanted)
    stem, number = (found[1], int(found[2])) if found else (f"{wanted} ", 2)
    while f"{stem}{number}" in there:
        number += 1
    return f"{stem}{number}"


def free_number(taken: Iterable[str]) -> str:
    """The first number that is not there yet, as text."""
    there = set(taken)
    return next(str(number) for number in count(1) if str(number) not in there)


def new_receiver(case: Case, premises: str, like: str, *, outputs: int) -> tuple[str, dict[str, Any]] | None:
    """Name and entry of one more receiver of the same make, without outputs; None where none is known.

    It hangs where the other hangs, fed and housed alike; the smallest part of the job with enough outputs
    is taken, else that of the other.

    Args:
        case: a job that was read from a file.
        premises, like: the receiver beside which it comes.
        outputs: so many relays it needs.
    """
    entry = as_written(case, "premises", premises, "receivers", like)
    sheet = case.equipment.receivers.get(f"{premises}/{like}")
    if not isinstance(entry, dict) or sheet is None:
        return None
    kept = {
        key: entry[key]
        for key in ("part", "at", "level", "housing", "antenna", "fed", "learn_access", "tamper")
        if entry.get(key) is not None
    }
    part = _smallest(case, outputs)
    if part is not None:
        kept["part"] = part
    elif (sheet.sheet.relays or 0) < outputs:
        return None
    kept["learned_unknown"] = 0
    return free_name(like, case.job.premises[premises].receivers), kept


def _smallest(case: Case, outputs: int) -> str | None:
    """Of the parts that this job uses as receivers, the one with the fewest relays that are enough."""
    relays = {
        box.part: sheet.sheet.relays
        for premises, house in case.job.premises.items()
        for name, box in house.receivers.items()
        if box.part is not None and (sheet := case.equipment.receivers.get(f"{premises}/{name}")) is not None
    }
    enough = [(there, part) for part, there in relays.items() if there is not None and there >= outputs]
    return min(enough)[1] if enough else None
