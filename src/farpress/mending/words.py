"""Names that a user may keep or forbid: what is unknown is refused with what there is, all at once."""

from __future__ import annotations

from collections.abc import Collection, Iterator

from farpress.case.case import Case
from farpress.catalogue.store import load_catalogue
from farpress.domain.premises import Output, Receiver
from farpress.errors import InputError
from farpress.phrases import closest

__all__ = ["require_known_words"]

_KINDS = ("aerial", "relay", "contactor", "cable", "battery", "supply", "receiver", "coax", "pulse", "fuse")
"""Words that stand in the sentences of changes beside the names of parts."""

_OUTPUT_KEYS = tuple(field.alias or name for name, field in Output.model_fields.items())
_BOX_KEYS = tuple(field.alias or name for name, field in Receiver.model_fields.items())
"""Keys of an output and of a receiver, each of which may be kept alone, as R1/2/kind and R1/at."""


def require_known_words(case: Case, *, keep: Collection[str] = (), forbid: Collection[str] = ()) -> None:
    """Refuse names that mean nothing in this job.

    Args:
        case: the job.
        keep: things, as "R1", "larkfen/R1/2" or "gate".
        forbid: words of parts, as "relay" or "relay-gold-12v".

    Raises:
        InputError: one or more of them are unknown; every one is named with the nearest that there are.
    """
    things, parts = set(_things(case)), set(_parts(case))
    faults = [
        f"--keep {name}: this job has nothing of that name{closest(name, things)}; allowed is a receiver, an"
        " output as R1/2, a device, a panel, a supply, a group or a function"
        for name in keep
        if name not in things
    ]
    faults += [
        f"--forbid {word}: no part that could be used is called so{closest(word, parts)}; allowed is a part,"
        f" a piece of its name, or one of {', '.join(_KINDS)}"
        for word in forbid
        if not word.strip() or not any(word.casefold() in part.casefold() for part in parts)
    ]
    if faults:
        raise InputError(". ".join(faults) + ".")


def _things(case: Case) -> Iterator[str]:
    job = case.job
    yield from (*job.functions, *job.groups, *job.premises)
    for premises, house in job.premises.items():
        for names in (house.receivers, house.devices, house.panels, house.supplies):
            for name in names:
                yield from (name, f"{premises}/{name}")
        for name, box in house.receivers.items():
            for key in _BOX_KEYS:
                yield from (f"{name}/{key}", f"{premises}/{name}/{key}")
            for number in box.outputs:
                yield from (f"{name}/{number}", f"{premises}/{name}/{number}")
                for key in _OUTPUT_KEYS:
                    yield from (f"{name}/{number}/{key}", f"{premises}/{name}/{number}/{key}")


def _parts(case: Case) -> Iterator[str]:
    yield from _KINDS
    yield from case.job.parts
    for names in load_catalogue().parts.values():
        yield from names
