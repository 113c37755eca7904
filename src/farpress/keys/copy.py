"""Carry rights from one premises to another: the same kind of function on the same button."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING

from farpress.errors import InputError
from farpress.keys.rights import rights_at

if TYPE_CHECKING:
    from farpress.case.case import Case

__all__ = ["copied_buttons", "counterparts"]


def counterparts(case: Case, source: str, target: str) -> dict[str, str | None]:
    """Function at one premises → the function of the same kind at another; None where there is none or more
    than one.

    Raises:
        InputError: no such premises.
    """
    for name in (source, target):
        if name not in case.job.premises:
            raise InputError(
                f"There is no premises '{name}' in the job; it has {', '.join(case.job.premises)}."
            )
    if source == target:
        raise InputError(f"{source} and {target} are the same premises.")
    at_target = rights_at(case, case.job.functions, target)
    found: dict[str, str | None] = {}
    for name in rights_at(case, case.job.functions, source):
        kind = case.job.functions[name].kind
        same = [
            other
            for other in at_target
            if kind is not None and kind != "other" and case.job.functions[other].kind == kind
        ]
        found[name] = same[0] if len(same) == 1 else None
    return found


def copied_buttons(
    buttons: Mapping[str, Iterable[str]], pairs: Mapping[str, str | None]
) -> tuple[dict[str, tuple[str, ...]], tuple[str, ...]]:
    """A fob's buttons with each function's counterpart added to its button, and the functions that have
    none.
    """
    held = {name for functions in buttons.values() for name in functions}
    without = []
    after = {}
    for button, functions in buttons.items():
        names = list(functions)
        for name in functions:
            if name not in pairs:
                continue
            other = pairs[name]
            if other is None:
                without.append(name)
            elif other not in held and other not in names:
                names.append(other)
        after[button] = tuple(names)
    return after, tuple(without)
