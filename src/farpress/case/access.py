"""What a press can give away: a way in, an alarm that is unset; asked of the job, judged by others."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from farpress.case.case import Case, OutputAt
from farpress.case.driven import Driven, driven_of, function_kinds
from farpress.domain.job import Button
from farpress.domain.refs import FunctionRef, GroupRef, Ref

__all__ = ["SinglePress", "opens", "short_press", "single_presses", "unsets", "unsets_and_opens"]


def unsets(case: Case, output: OutputAt, driven: Driven) -> bool:
    """Whether a press of this output can unset an alarm."""
    return (
        driven.reading.unsets
        or driven.logic == "unset"
        or (driven.panel is not None and bool(function_kinds(case, output) & {"unset", "set and unset"}))
    )


def opens(driven: Driven) -> bool:
    """Whether a press of this output can let somebody in."""
    if driven.traits.frees_on_press:
        return True
    return driven.traits.lets_in and driven.logic in (
        "start",
        "open only",
        "partial open",
        driven.traits.opening_way,
        "release",
        None,
    )


@dataclass(frozen=True)
class SinglePress:
    """What one press can do.

    Attributes:
        name: for eyes, "button 1 (long) of parents", or that of a function.
        functions: everything it presses.
        group: whose button it is; None for a function on its own.
    """

    name: str
    functions: tuple[str, ...]
    group: str | None = None

    @property
    def subjects(self) -> tuple[Ref, ...]:
        """What a finding about it touches."""
        holders = (GroupRef(self.group),) if self.group is not None else ()
        return (*(FunctionRef(name) for name in self.functions), *holders)


def single_presses(case: Case) -> Iterator[SinglePress]:
    """Everything that one press can do: each function, and each button learned for several."""
    for name in case.job.functions:
        yield SinglePress(name, (name,))
    for group_name, group in case.job.groups.items():
        for number, button in group.buttons.items():
            presses = (
                {"short": button.short, "long": button.long} if isinstance(button, Button) else {"": button}
            )
            for length, learned in presses.items():
                if isinstance(learned, tuple) and len(learned) > 1:
                    name = f"button {number}{f' ({length})' if length else ''} of {group_name}"
                    yield SinglePress(name, learned, group_name)


def unsets_and_opens(case: Case, functions: Iterable[str]) -> tuple[str, str] | None:
    """What one press of these functions unsets and what it opens; None if it does not do both."""
    uses = [
        (output, driven)
        for function in functions
        for output in case.outputs_of(function)
        for driven in driven_of(case, output)
    ]
    unset = [driven.works for output, driven in uses if unsets(case, output, driven)]
    opened = [driven.works for _, driven in uses if opens(driven)]
    return (unset[0], opened[0]) if unset and opened else None


def short_press(button: str | tuple[str, ...] | Button) -> tuple[str, ...]:
    """Functions of a short press of a button."""
    learned = button.short if isinstance(button, Button) else button
    return (learned,) if isinstance(learned, str) else learned or ()
