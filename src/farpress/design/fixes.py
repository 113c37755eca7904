"""What the user has decided: single choices that the design takes as they are, as 'open gate.kind=pulse'."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Final

from farpress.case.case import Case
from farpress.catalogue.store import load_catalogue
from farpress.domain.kinds import OUTPUT_KINDS
from farpress.errors import FarpressError, InputError
from farpress.phrases import closest
from farpress.units import read_quantity

__all__ = ["FUNCTION_KEYS", "NOTHING_FIXED", "PREMISES_KEYS", "Fixes", "fixes_from"]

FUNCTION_KEYS: Final = {
    "at": "place of its receiver: a mount, a device, a panel, or x,y,height",
    "receiver": "part of its receiver",
    "kind": "kind of its output",
    "for": "length of its pulse",
    "via": "relay or contactor between",
    "suppression": "part across the load",
    "cable": "cable from the contact to what it works",
}
"""What of a function can be fixed."""

PREMISES_KEYS: Final = {
    "supply at": "place of the supplies: a mount, a device, a panel, or x,y,height",
    "supply": "part of the supply of the receivers",
    "battery": "part of its battery, or none",
    "standby": "how long it must work when the mains fails",
    "other load": "rest current of what hangs on it and is not drawn",
}
"""What of a premises can be fixed."""

_PART_KIND: Final = {
    "receiver": "receiver",
    "via": "relay",
    "cable": "cable",
    "supply": "supply",
    "battery": "battery",
}
_QUANTITIES: Final = {"for": "time", "standby": "time", "other load": "current"}
_SUPPRESSION: Final = ("none", "diode", "zener", "rc", "varistor")


@dataclass(frozen=True)
class Fixes:
    """Choices that are taken as they are: (function or premises, key) → value."""

    chosen: tuple[tuple[tuple[str, str], str], ...] = ()

    def or_else(self, others: Fixes) -> Fixes:
        """These, and others for what these leave open."""
        return Fixes(tuple({**dict(others.chosen), **dict(self.chosen)}.items()))

    def of(self, name: str) -> dict[str, str]:
        """Key → value for a function or a premises."""
        return {key: value for (about, key), value in self.chosen if about == name}


NOTHING_FIXED: Final = Fixes()
"""The user leaves every choice open."""


def fixes_from(case: Case, written: Iterable[str]) -> Fixes:
    """Choices as they are written, each "name.key=value".

    Args:
        case: the job.
        written: in any order; the last of two for one choice counts.

    Raises:
        InputError: a name, key or value that is not there; every one of them is named.

    Example:
        >>> Fixes(((("gate", "kind"), "pulse"),)).of("gate")
        {'kind': 'pulse'}
    """
    chosen: dict[tuple[str, str], str] = {}
    faults: list[str] = []
    for text in written:
        left, sign, value = text.partition("=")
        name, dot, key = left.strip().rpartition(".")
        key, value = key.strip(), value.strip()
        keys = FUNCTION_KEYS if name in case.job.functions else PREMISES_KEYS
        if not (sign and dot and value):
            faults.append(f"--fix '{text}': write it as 'function.kind=pulse'")
        elif name not in case.job.functions and name not in case.job.premises:
            there = (*case.job.functions, *case.job.premises)
            faults.append(
                f"--fix '{text}': '{name}' is no function and no premises of this job{closest(name, there)}"
            )
        elif key not in keys:
            faults.append(f"--fix '{text}': of {name} can be fixed: {', '.join(keys)}{closest(key, keys)}")
        else:
            faults += [f"--fix '{text}': {fault}" for fault in _faults(case, key, value)]
            chosen[name, key] = value
    if faults:
        raise InputError(". ".join(faults) + ".")
    return Fixes(tuple(chosen.items()))


def _faults(case: Case, key: str, value: str) -> Iterator[str]:
    """What is wrong with a value; places are looked up where places are known."""
    kind = _PART_KIND.get(key)
    if kind is not None and not (value == "none" and key in ("via", "battery")):
        own = [name for name, part in case.job.parts.items() if part.kind == kind]
        there = [*own, *load_catalogue().parts[kind]]
        if value not in there:
            yield f"'{value}' is no {kind} of this job or of the catalogue{closest(value, there)}"
    if key == "kind" and value not in OUTPUT_KINDS:
        yield f"allowed is {', '.join(OUTPUT_KINDS)}{closest(value, OUTPUT_KINDS)}"
    if key == "suppression" and value not in _SUPPRESSION:
        yield f"allowed is {', '.join(_SUPPRESSION)}"
    quantity = _QUANTITIES.get(key)
    if quantity is not None:
        try:
            read_quantity(value, quantity)
        except FarpressError as error:
            yield str(error).rstrip(".")
