"""Who presses what: the buttons of a job as the rehearsal's models see them, equal ones together."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Literal

from farpress.case.case import Case, OutputAt
from farpress.case.driven import switching
from farpress.core.rehearsal.model import EventAct
from farpress.domain.job import Button
from farpress.phrases import listed

__all__ = ["Presser", "pressers", "word"]


@dataclass(frozen=True)
class Presser:
    """One button, or several that do the same: what it works and who holds it.

    Attributes:
        key: identifier.
        functions: names of the functions it presses.
        paths: outputs it works.
        resets: those of them that it switches off, of the kind latch; the others it begins.
        groups: who has it.
        length: "short", "long" or "" where the button does not tell.
    """

    key: str
    functions: tuple[str, ...]
    paths: tuple[str, ...]
    groups: tuple[str, ...]
    length: str = ""
    resets: tuple[str, ...] = ()

    @property
    def by(self) -> str:
        """Who, at most two names."""
        if not self.groups:
            return "nobody's fob"
        return (
            " or ".join(self.groups)
            if len(self.groups) < 3
            else f"{self.groups[0]} or {len(self.groups) - 1} other groups"
        )

    def act(self, kind: Literal["press", "release"] = "press", *, is_held: bool = False) -> EventAct:
        """The press as values, by the first who has it."""
        who = self.groups[0] if self.groups else "nobody's fob"
        return EventAct(kind, listed(self.functions), who, self.length == "long", is_held)

    @property
    def says(self) -> str:
        """What is pressed and by whom."""
        return f"{listed(self.functions)} pressed{' long' if self.length == 'long' else ''} by {self.by}"


def pressers(case: Case, outputs: tuple[OutputAt, ...]) -> tuple[Presser, ...]:
    """Every press that reaches these outputs, equal ones together, in the order of the job."""
    known = {output.path for output in outputs}
    latches = {
        output.path: frozenset(switching(case, output, None))
        for output in outputs
        if output.output.traits.has_two_buttons
    }
    found: dict[tuple[tuple[str, ...], str], list[str]] = {}
    for group_name, group in case.job.groups.items():
        for button in group.buttons.values():
            both = (
                {"short": button.short, "long": button.long} if isinstance(button, Button) else {"": button}
            )
            for length, learned in both.items():
                names = (learned,) if isinstance(learned, str) else learned or ()
                touching = tuple(
                    name
                    for name in names
                    if name in case.job.functions and known & set(case.job.functions[name].paths)
                )
                if touching:
                    groups = found.setdefault((touching, length), [])
                    if group_name not in groups:
                        groups.append(group_name)
    for name, function in case.job.functions.items():  # a function on no button yet: somebody will have it
        if known & set(function.paths) and not any(name in names for names, _ in found):
            found[((name,), "")] = []
    made = []
    for (names, length), groups in found.items():
        worked = [
            (name, path)
            for name in names
            for path in case.job.functions[name].paths
            if path in known and name not in latches.get(path, ())
        ]
        resets = dict.fromkeys(
            path for name, path in worked if path in latches and case.job.functions[name].switches == "off"
        )
        made.append(
            Presser(
                f"{word('_'.join(names))}{'_' + length if length else ''}",
                names,
                tuple(dict.fromkeys(path for _, path in worked)),
                tuple(groups),
                length,
                tuple(resets),
            )
        )
    return tuple(made)


def word(text: str) -> str:
    """A name as a part of an identifier in a model."""
    return re.sub(r"\W", "_", text, flags=re.ASCII)
