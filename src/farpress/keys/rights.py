"""What a fob's buttons do, where each is to be learned, and how grave its loss is."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING, Final, NamedTuple

from farpress.case.access import opens, unsets
from farpress.case.driven import driven_of
from farpress.domain.job import Button, Group

if TYPE_CHECKING:
    from farpress.case.case import Case

__all__ = [
    "KIND_WEIGHT",
    "OTHER_WEIGHT",
    "UNSET_WEIGHT",
    "LearningPlace",
    "buttons_of",
    "function_at",
    "places_of",
    "premises_weight",
    "right_weight",
    "rights_at",
    "type_fault",
    "type_named",
]

UNSET_WEIGHT: Final = 10.0
"""Risk of a lost right to unset an alarm, its entry included; our choice, only the ratios matter."""

KIND_WEIGHT: Final[dict[str, float]] = {"open": 2.0, "unlock": 1.0}
"""Risk of a lost right to enter; our choice. Everything else that moves, waters or calls: 0.2."""

OTHER_WEIGHT: Final = 0.2


class LearningPlace(NamedTuple):
    """One place where one button is to be learned."""

    receiver: str
    output: str
    button: str
    function: str


def buttons_of(group: Group) -> dict[str, tuple[str, ...]]:
    """Button → functions of a group, as the register keeps them: "4 long" is button 4 pressed long."""
    found: dict[str, tuple[str, ...]] = {}
    for number, button in group.buttons.items():
        if isinstance(button, Button):
            for length, learned in (("", button.short), (" long", button.long)):
                if learned:
                    found[f"{number}{length}"] = (learned,) if isinstance(learned, str) else learned
        else:
            found[str(number)] = (button,) if isinstance(button, str) else button
    return found


def places_of(case: Case, buttons: Mapping[str, Iterable[str]]) -> tuple[LearningPlace, ...]:
    """Every receiver and output at which these buttons are to be learned."""
    return tuple(
        LearningPlace(path.rsplit("/", 1)[0], path.rsplit("/", 1)[1], button, function)
        for button, functions in buttons.items()
        for function in functions
        for path in (case.job.functions[function].paths if function in case.job.functions else ())
    )


def function_at(case: Case | None, receiver: str, output: str) -> str:
    """The function that an output of a receiver is for; its path where the job names none."""
    path = f"{receiver}/{output}"
    if case is not None:
        for name, function in case.job.functions.items():
            if path in function.paths:
                return name
    return path


def rights_at(case: Case, functions: Iterable[str], premises: str) -> tuple[str, ...]:
    """Those of the functions that work something at a premises."""
    return tuple(
        name
        for name in functions
        if name in case.job.functions
        and any(path.startswith(f"{premises}/") for path in case.job.functions[name].paths)
    )


def right_weight(case: Case, function: str) -> float:
    """How grave it is that a stranger has this function."""
    known = case.job.functions.get(function)
    if known is None:
        return OTHER_WEIGHT
    uses = [(output, driven) for output in case.outputs_of(function) for driven in driven_of(case, output)]
    if known.kind in ("unset", "set and unset") or any(
        unsets(case, output, driven) for output, driven in uses
    ):
        return UNSET_WEIGHT
    if known.kind in KIND_WEIGHT:
        return KIND_WEIGHT[known.kind]
    return 1.0 if any(opens(driven) for _, driven in uses) else OTHER_WEIGHT


def premises_weight(case: Case, functions: Iterable[str]) -> float:
    """How grave it is that a stranger has these functions at one premises; unsetting stands for all of
    them.
    """
    weights = [right_weight(case, name) for name in dict.fromkeys(functions)]
    return UNSET_WEIGHT if UNSET_WEIGHT in weights else round(sum(weights), 6)


def type_named(case: Case, given: str) -> str:
    """The fob type that is meant, capitals or not; empty where neither the job nor the catalogue has it."""
    named = {name.casefold(): name for name in reversed(_types(case))}
    return named.get(given.strip().casefold(), "")


def type_fault(case: Case, given: str) -> str:
    """What is wrong with a fob type that is not known: what there is, and how one of one's own is
    described.
    """
    import difflib

    own, known = [name for name, part in case.job.parts.items() if part.kind == "fob"], _types(case)
    close = difflib.get_close_matches(given.casefold(), [name.casefold() for name in known], n=1)
    hint = f" Closest: {type_named(case, close[0])}." if close else ""
    there = (
        f"{', '.join(own)} (in this job) or {', '.join(known[len(own) :])} (catalogue)"
        if own
        else f"{', '.join(known)} (catalogue)"
    )
    return (
        f"'{given}' is no type of fob.{hint} There are {there}. Another one is described under 'parts' of the"
        " job file, with 'kind: fob'."
    )


def _types(case: Case) -> list[str]:
    from farpress.catalogue.store import load_catalogue

    own = [name for name, part in case.job.parts.items() if part.kind == "fob"]
    return [*own, *(name for name in sorted(load_catalogue().parts.get("fob", {})) if name not in own)]
