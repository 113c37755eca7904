"""A job whose file names outputs that its receivers do not have: where else their contacts could be.

Such a file is refused by the reader, and rightly: nothing of it can be judged. What mends it is a choice
between few things, so each is tried: a free number of the same receiver, a free output of another one at the
address, one more receiver of the same make beside it. What leaves the fewest faults is taken, and told first.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

from farpress.case.case import Case
from farpress.case.door import case_of
from farpress.case.evidence import evidence_in
from farpress.catalogue.store import load_catalogue
from farpress.domain.finding import Assessment, Change, Verdict
from farpress.errors import JobFileError
from farpress.jobfile.node import Node, path_text
from farpress.jobfile.reader import read_job_text
from farpress.jobfile.source import Source, read_source
from farpress.jobfile.text_to_tree import text_to_tree
from farpress.jobfile.writer import with_changes_made
from farpress.judging.assess import assess
from farpress.judging.check import without_remedies
from farpress.mending.structural.as_written import free_name, loaded

__all__ = ["MadeReadable", "made_readable"]

_MOST_OUTPUTS: Final = 8
"""Numbers that are tried at a receiver; the most that one has."""

_KEPT: Final = ("part", "at", "level", "housing", "antenna", "fed", "learn_access", "tamper")
"""What a receiver beside another one has like that one."""


@dataclass(frozen=True)
class MadeReadable:
    """A job that can be used after a change.

    Attributes:
        case: as it is then.
        changes: of its file.
        does: what was changed, a sentence each.
    """

    case: Case
    changes: tuple[Change, ...]
    does: tuple[str, ...]


@dataclass(frozen=True)
class _Try:
    does: str
    changes: tuple[Change, ...]


def made_readable(folder: Path) -> MadeReadable | None:
    """The job with contacts put where receivers have them; None where that is not what is wrong with it.

    Args:
        folder: of a job that the reader has refused.
    """
    source = read_source(folder)
    changes: tuple[Change, ...] = ()
    does: list[str] = []
    for _ in range(2 * _MOST_OUTPUTS):
        faults = _faults(source, changes)
        if not faults:
            break
        best = _best(folder, source, changes, faults)
        if best is None:
            return None
        changes, does = (*changes, *best.changes), [*does, best.does]
    case = _case(folder, source, changes)
    return MadeReadable(case, changes, tuple(does)) if case is not None and does else None


def _best(folder: Path, source: Source, changes: tuple[Change, ...], faults: frozenset[str]) -> _Try | None:
    """The change that takes one fault away and makes none, with the fewest findings that fail."""
    changed, tree = _changed(source, changes)
    tries = _tries(tree, loaded(changed.text), faults)
    good = [made for made in tries if _faults(source, (*changes, *made.changes)) < faults]
    judged = [(_failing(_case(folder, source, (*changes, *made.changes))), n) for n, made in enumerate(good)]
    return good[min(judged)[1]] if judged else None


def _failing(case: Case | None) -> int:
    """How many findings fail; none where the file has further faults, which are looked at next."""
    if case is None:
        return 0
    with without_remedies():
        judged: Assessment = assess(case)
    return sum(finding.verdict is Verdict.FAILS for finding in judged.findings)


def _tries(tree: Node, job: Any, faults: frozenset[str]) -> Iterator[_Try]:
    premises = (job.get("premises") if isinstance(job, dict) else None) or {}
    for house, entry in premises.items():
        boxes = entry.get("receivers") or {}
        for name, box in boxes.items():
            for number, output in (box.get("outputs") or {}).items():
                if path_text(("premises", house, "receivers", name, "outputs", str(number))) in faults:
                    yield from _elsewhere(tree, house, boxes, name, str(number), output)
                    return


def _elsewhere(
    tree: Node, house: str, boxes: dict[str, Any], name: str, number: str, output: Any
) -> Iterator[_Try]:
    """The free number, the free output of another receiver, the further receiver."""
    root = ("premises", house, "receivers")
    gone = Change((*root, name, "outputs", number), None)
    if not isinstance(output, dict) or output.get("interlock") is not None:
        return  # one of a pair, which stays together
    for other in (name, *(box for box in boxes if box != name)):
        taken = set(map(str, boxes[other].get("outputs") or {}))
        free = [n for n in map(str, range(1, _MOST_OUTPUTS + 1)) if n not in taken]
        where = f"output {free[0]}" if other == name else f"output {free[0]} of {other}"
        moved = Change((*root, other, "outputs", free[0]), output)
        renamed = _renamed(tree, house, f"{name}/{number}", f"{other}/{free[0]}")
        yield _Try(f"Output {number} of {house}/{name} becomes {where}.", (gone, moved, *renamed))
    new = free_name(name, boxes) if name[-1:].isdigit() else free_name(f"{name} 2", boxes)
    box = {key: boxes[name][key] for key in _KEPT if boxes[name].get(key) is not None}
    renamed = _renamed(tree, house, f"{name}/{number}", f"{new}/1")
    yield _Try(
        f"Output {number} of {house}/{name} becomes output 1 of a further receiver {new}"
        f" ({box.get('part', 'of the same make')}) beside it.",
        (gone, Change((*root, new), box | {"outputs": {1: output}}), *renamed),
    )


def _renamed(tree: Node, house: str, old: str, new: str) -> tuple[Change, ...]:
    """Every text that names the output, with its address or, at its own address, without."""
    found = []
    for path, node in _scalars(tree, ()):
        if node.data == f"{house}/{old}":
            found.append(Change(path, f"{house}/{new}"))
        elif node.data == old and path[:2] == ("premises", house):
            found.append(Change(path, new))
    return tuple(found)


def _scalars(node: Node, path: tuple[str | int, ...]) -> Iterator[tuple[tuple[str | int, ...], Node]]:
    children: list[tuple[str | int, Node]] = [(key, child) for key, (_, _, child) in node.items.items()]
    children += list(enumerate(node.elements))
    for key, child in children:
        if child.kind == "scalar":
            yield (*path, key), child
        yield from _scalars(child, (*path, key))


def _changed(source: Source, changes: tuple[Change, ...]) -> tuple[Source, Node]:
    tree, faults = text_to_tree(source)
    if tree is None:
        raise JobFileError(faults)
    return with_changes_made(source, tree, changes) if changes else (source, tree)


def _faults(source: Source, changes: tuple[Change, ...]) -> frozenset[str]:
    """Paths of everything that the reader refuses; a fault without a path is called by its words."""
    try:
        _read(source, changes)
    except JobFileError as error:
        return frozenset(fault.path or fault.says for fault in error.faults)
    return frozenset()


def _read(source: Source, changes: tuple[Change, ...]) -> Any:
    changed, _ = _changed(source, changes)
    return read_job_text(changed.text, known=load_catalogue().known_names(), file=source.file)


def _case(folder: Path, source: Source, changes: tuple[Change, ...]) -> Case | None:
    """The job as it is then; None where it still cannot be used."""
    try:
        read = _read(source, changes)
    except JobFileError:
        return None
    place = folder if folder.is_dir() else folder.parent
    return case_of(read, load_catalogue(), folder=place, events=evidence_in(place, read.job.job))
