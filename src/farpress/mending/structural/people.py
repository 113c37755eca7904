"""Fobs and memories: rolling code for a fixed one, a button for what is promised, a larger memory."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator
from typing import Final

from farpress.case.case import Case
from farpress.domain.finding import Change, Finding, Link, Verdict
from farpress.domain.refs import FunctionRef, GroupRef, ReceiverRef, refs_of
from farpress.mending.candidates import Candidate
from farpress.mending.structural.as_written import as_written, free_name

__all__ = ["people"]

_FIXED_CODE: Final = frozenset({"FOB-03", "SAFE-09"})
_NO_BUTTON: Final = frozenset({"FOB-05", "FOB-07"})
_MEMORY: Final = frozenset({"REG-01", "REG-02"})

_EACH_FOB_MIN: Final = 2
_RECEIVER_MIN: Final = 60
"""Minutes on site; our choice, a firm's own norms come first."""


def people(case: Case, findings: Iterable[Finding]) -> Iterator[Candidate]:
    """For each group and receiver that a finding is about, each once."""
    seen: set[tuple[str, str]] = set()
    for finding in findings:
        if finding.verdict is not Verdict.FAILS:
            continue
        groups, boxes = refs_of(GroupRef, finding.subjects), refs_of(ReceiverRef, finding.subjects)
        for group in groups:
            if finding.code in _FIXED_CODE and ("fob", group.path) not in seen:
                seen.add(("fob", group.path))
                yield from _rolling(case, group.path)
            for function in refs_of(FunctionRef, finding.subjects) if finding.code in _NO_BUTTON else ():
                if (group.path, function.path) not in seen:
                    seen.add((group.path, function.path))
                    yield from _button(case, group.path, function.path)
        for box in boxes:
            if finding.code in _MEMORY and ("memory", box.path) not in seen:
                seen.add(("memory", box.path))
                yield from _memory(case, box.path)
            elif finding.code == "REG-05":
                premises, _, name = box.path.partition("/")
                yield Candidate(
                    f"Erase {box.path} and learn the known fobs again",
                    (Change(("premises", premises, "receivers", name, "learned_unknown"), 0),),
                    Link.REGISTER,
                    _RECEIVER_MIN,
                )


def _rolling(case: Case, name: str) -> Iterator[Candidate]:
    """The fob that most other groups of this job carry, if its code changes and it has enough buttons."""
    group = case.job.groups.get(name)
    usual = Counter(
        other.fob
        for key, other in case.job.groups.items()
        if key in case.equipment.fobs and case.equipment.fobs[key].sheet.code == "rolling"
    )
    if group is None or not usual:
        return
    fob = usual.most_common(1)[0][0]
    count = group.count if group.count is not None else len(group.people)
    yield Candidate(
        f"Give {name} fobs {fob} with rolling code, and delete the old ones",
        (Change(("groups", name, "fob"), fob),),
        Link.FOB,
        _EACH_FOB_MIN * max(count, 1),
    )


def _button(case: Case, name: str, function: str) -> Iterator[Candidate]:
    """A free button, or a second fob that carries the function."""
    group, fob = case.job.groups.get(name), case.equipment.fobs.get(name)
    written = as_written(case, "groups", name)
    if group is None or function not in case.job.functions or not isinstance(written, dict):
        return
    if function in case.job.functions_of(group):
        return
    count = group.count if group.count is not None else len(group.people)
    buttons = fob.sheet.buttons if fob is not None else None
    free = [str(n) for n in range(1, (buttons or 0) + 1) if str(n) not in group.buttons]
    if free:
        change = Change(("groups", name, "buttons", free[0]), function)
        yield Candidate(
            f"Button {free[0]} of {name} for '{function}'", (change,), Link.FOB, _EACH_FOB_MIN * max(count, 1)
        )
        return
    second = free_name(f"{name} 2", case.job.groups)
    kept = {key: value for key, value in written.items() if key not in ("uses", "visits")}
    changes = [Change(("groups", second), kept | {"buttons": {1: function}})]
    changes += [
        Change(("promises", number, "to"), second)
        for number, promise in enumerate(case.job.promises)
        if promise.to == name and promise.function == function
    ]
    yield Candidate(
        f"A second fob for {name} with '{function}'", tuple(changes), Link.FOB, _EACH_FOB_MIN * max(count, 1)
    )


def _memory(case: Case, path: str) -> Iterator[Candidate]:
    """Another receiver part of this job with as many outputs, so that the same fobs can be learned."""
    premises, _, name = path.partition("/")
    box, sheet = case.job.premises[premises].receivers.get(name), case.equipment.receivers.get(path)
    if box is None or sheet is None or box.part is None:
        return
    used = {
        other.part: part.sheet
        for house, entry in case.job.premises.items()
        for key, other in entry.receivers.items()
        if other.part is not None and (part := case.equipment.receivers.get(f"{house}/{key}")) is not None
    }
    needed = len(box.outputs)
    for part_name, part_sheet in used.items():
        if part_name != box.part and (part_sheet.relays or 0) >= needed:
            yield Candidate(
                f"{part_name} instead of {box.part} as {path}",
                (Change(("premises", premises, "receivers", name, "part"), part_name),),
                Link.RECEIVER,
                _RECEIVER_MIN,
            )
