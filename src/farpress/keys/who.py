"""Who may do what at a place: rights by premises, receiver, device, alarm area, zone or function."""

from __future__ import annotations

import difflib
from collections.abc import Mapping
from typing import TYPE_CHECKING, Final, NamedTuple

from farpress.case.areas import state_paths
from farpress.case.driven import driven_of, holders
from farpress.domain.register import FobRegister, FobState
from farpress.errors import InputError
from farpress.keys.find import holder_of
from farpress.phrases import listed

if TYPE_CHECKING:
    from farpress.case.case import Case
    from farpress.record.persons import PersonEntry

__all__ = ["PlaceRight", "functions_at", "planned_rights", "who_may"]

CARRIED: Final = (FobState.ISSUED, FobState.BLOCKED, FobState.LOST)
"""A fob in one of these states is in somebody's hands."""


class PlaceRight(NamedTuple):
    """What one fob may do at a place.

    Attributes:
        fob: its label.
        state: issued, blocked or lost; else what it is though a receiver obeys it still.
        holder: name, pool or nothing.
        contact: of the holder, as a telephone number or a unit.
        organisation: tenant or firm.
        functions: what its buttons are meant for there.
        obeyed: receivers there that it is learned in, each "premises/receiver".
    """

    fob: str
    state: str
    holder: str
    contact: str
    organisation: str
    functions: tuple[str, ...]
    obeyed: tuple[str, ...]


def functions_at(case: Case, where: str) -> tuple[str, ...]:
    """Functions that work something at a place, in the order of the job.

    Args:
        case: the job.
        where: a function, premises, receiver, output, device, panel, alarm area or its input, with or
            without what stands before it ("site/panel.B", "panel.B" or "B").

    Raises:
        InputError: nothing is called so; names what is nearest.
    """
    wanted, known = _plain(where), dict[str, None]()
    found = []
    for name in case.job.functions:
        places = _places(case, name)
        known |= dict.fromkeys(places)
        if wanted in {_plain(place) for place in places}:
            found.append(name)
    if found:
        return tuple(found)
    plain = {_plain(place): place for place in known}
    close = [plain[near] for near in difflib.get_close_matches(wanted, plain, n=3, cutoff=0.5)]
    hint = f" Closest: {listed(close, last=' or ')}." if close else ""
    raise InputError(
        f"Nothing that a fob works is called '{where}'.{hint} Give a function, premises, receiver, device,"
        " panel or alarm area."
    )


def who_may(
    case: Case, register: FobRegister, people: Mapping[str, PersonEntry], where: str
) -> tuple[PlaceRight, ...]:
    """Every fob that is meant to work something at a place, or that a receiver obeys there, by label.

    Args:
        case: the job.
        register: as of now.
        people: mark → person.
        where: as `functions_at` takes it.

    Raises:
        InputError: nothing is called so.
    """
    functions = functions_at(case, where)
    outputs = {path: name for name in functions for path in case.job.functions[name].paths}
    found = []
    for label, fob in sorted(register.fobs.items()):
        meant = [name for of in fob.buttons.values() for name in of if name in functions]
        learned = [entry for entry in fob.known_at if f"{entry.receiver}/{entry.output}" in outputs]
        if not learned and not (meant and fob.state in CARRIED):
            continue
        person = people.get(fob.person) if fob.person else None
        does = [*meant, *(outputs[f"{entry.receiver}/{entry.output}"] for entry in learned)]
        found.append(
            PlaceRight(
                label,
                str(fob.state),
                holder_of(fob, people),
                person.contact if person is not None else "",
                fob.organisation,
                tuple(dict.fromkeys(does)),
                tuple(dict.fromkeys(entry.receiver for entry in learned)),
            )
        )
    return tuple(found)


def planned_rights(case: Case, where: str) -> tuple[tuple[str, int | None, tuple[str, ...]], ...]:
    """Group, its holders, and what they are to do at a place, as the job plans it."""
    functions = functions_at(case, where)
    return tuple(
        (name, holders(group), tuple(function for function in functions if function in mine))
        for name, group in case.job.groups.items()
        if set(mine := case.job.functions_of(group)) & set(functions)
    )


def _places(case: Case, function: str) -> list[str]:
    """Everything that a function works, each by the names that are used for it."""
    found = [function]
    for output in case.outputs_of(function):
        found += [output.premises, output.receiver_path, output.receiver_path.partition("/")[2], output.path]
        for driven in driven_of(case, output):
            found += [f"{output.premises}/{driven.works}", driven.works]
            for path in (driven.path, *state_paths(case, driven)):
                name = path.partition("/")[2]
                found += [path, name, *name.split(".")]
    return list(dict.fromkeys(found))


def _plain(text: str) -> str:
    return " ".join(text.casefold().split())
